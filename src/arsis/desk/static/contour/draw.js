// @ts-check
// Paints the scene of the contour. Each call costs what its pixels cost, whatever the length of the song.
import { PATTERNS, tile } from "./patterns.js";
import { toSeconds, toX } from "./sight.js";

/** @typedef {import("./scene.js").Scene} Scene @typedef {import("./peaks.js").Peaks} Peaks */
/** @typedef {Record<"paper" | "sheet" | "ink" | "soft" | "rule" | "grid" | "line" | "print" | "print-edge" | "mix" | "took" | "mark" | "chosen", string>} Colours */
/** @typedef {{ scene: Scene, wave: Peaks | null, waveHeight: number, waveIsMix: boolean, took_db: number[] | null, tookHop_s: number, mostTook_db: number, limit_db: number | null,
 *   chosen: string | null, stale: boolean, ride: { time_s: number, gain_db: number }[], rideMost_db: number }} Painting */

const NAMES = ["paper", "sheet", "ink", "soft", "rule", "grid", "line", "print", "print-edge", "mix", "took", "mark", "chosen"];
const LEAST_TOOK_DB = 0.01;
const SERIF = `Charter, "Bitstream Charter", "DejaVu Serif", Georgia, serif`;

/** The page's colours as they are now. @returns {Colours} */
export function coloursOf(/** @type {Element} */ element) {
  const style = getComputedStyle(element);
  return /** @type {any} */ (Object.fromEntries(NAMES.map((name) => [name, style.getPropertyValue(`--${name}`).trim()])));
}

/** @param {Colours} colours @param {number} dpr */
export const tilesOf = (colours, dpr) => Array.from({ length: PATTERNS }, (_, i) => tile(i, colours.mark, dpr));

/** @param {CanvasRenderingContext2D} g @param {Painting} what @param {Colours} colours @param {(OffscreenCanvas | null)[]} tiles
 * @param {{ width: number, height: number, dpr: number }} size */
export function paint(g, what, colours, tiles, size) {
  const { scene } = what;
  g.setTransform(size.dpr, 0, 0, size.dpr, 0, 0);
  g.clearRect(0, 0, size.width, size.height);
  grid(g, scene, colours);
  g.save();
  g.beginPath();
  g.rect(scene.across.left, 0, scene.across.width, size.height);
  g.clip();
  const patterns = tiles.map((one) => one && g.createPattern(one, "repeat"));
  for (const plateau of scene.plateaus) fill(g, plateau, scene, colours, patterns, size.dpr);
  if (what.wave) wave(g, what.wave, what, colours, size.dpr);
  for (const plateau of scene.plateaus) edge(g, plateau, scene, colours, plateau.name === what.chosen);
  outline(g, scene, colours);
  joins(g, scene, colours);
  if (scene.lanes.took) took(g, what, colours);
  risers(g, what, colours);
  if (scene.lanes.ride) rideLine(g, what, colours);
  for (const plateau of scene.plateaus) label(g, plateau, scene, colours);
  g.restore();
  axis(g, what, colours);
}

/** @param {CanvasRenderingContext2D} g @param {Scene} scene @param {Colours} colours */
function grid(g, scene, colours) {
  g.fillStyle = colours.grid;
  for (const one of scene.grid) g.fillRect(scene.across.left, Math.round(one.y), scene.across.width, 1);
}

/** @param {CanvasRenderingContext2D} g @param {import("./scene.js").Plateau} one @param {Scene} scene @param {Colours} colours
 * @param {(CanvasPattern | null)[]} patterns @param {number} dpr */
function fill(g, one, scene, colours, patterns, dpr) {
  const { lanes: { plot } } = scene;
  g.fillStyle = one.known ? colours.print : colours.grid;
  g.fillRect(one.left, one.top, one.right - one.left, plot.bottom - one.top);
  const pattern = patterns[one.pattern % patterns.length];
  if (!pattern) return;
  const left = Math.max(one.left, scene.across.left);
  pattern.setTransform(new DOMMatrix().translate(one.left % 8, plot.bottom % 8).scale(1 / dpr));
  g.fillStyle = pattern;
  g.fillRect(left, one.top, Math.min(one.right, scene.across.left + scene.across.width) - left, plot.bottom - one.top);
}

/** The waves rise from the bottom: how far the sound swings from zero, at one scale all over the song.
 * @param {CanvasRenderingContext2D} g @param {Peaks} peaks @param {Painting} what @param {Colours} colours @param {number} dpr */
function wave(g, peaks, what, colours, dpr) {
  const { scene: { plateaus, lanes: { plot }, across, view } } = what;
  const columns = Math.round(across.width * dpr);
  const swing = peaks.swing(view.from_s * peaks.rateHz, view.to_s * peaks.rateHz, columns);
  g.fillStyle = what.waveIsMix ? colours.mix : colours["print-edge"];
  g.globalAlpha = 0.42;
  for (const one of plateaus) {
    const most = plot.bottom - one.top;
    const first = Math.max(Math.ceil((one.left - across.left) * dpr), 0), end = Math.min(Math.ceil((one.right - across.left) * dpr), columns);
    for (let x = first; x < end; x++) {
      const height = Math.round(Math.min(swing[x] * what.waveHeight, most) * dpr) / dpr;
      g.fillRect(across.left + x / dpr, plot.bottom - height, 1 / dpr, height);
    }
  }
  g.globalAlpha = 1;
}

/** @param {CanvasRenderingContext2D} g @param {import("./scene.js").Plateau} one @param {Scene} scene @param {Colours} colours @param {boolean} chosen */
function edge(g, one, scene, colours, chosen) {
  const thick = chosen ? 4 : one.known ? 2 : 1;
  g.fillStyle = one.known ? colours["print-edge"] : colours.line;
  g.fillRect(one.left, Math.round(one.top) + 1 - thick, one.right - one.left, thick);
  g.fillStyle = colours.rule;
  g.fillRect(scene.across.left, scene.lanes.plot.bottom, scene.across.width, 1);
}

/** @param {CanvasRenderingContext2D} g @param {Scene} scene @param {Colours} colours */
function outline(g, scene, colours) {
  g.strokeStyle = colours.mix;
  g.lineWidth = 1.5;
  g.setLineDash([5, 3]);
  g.beginPath();
  let before = false;
  for (const one of scene.plateaus) {
    if (one.mix !== null) {
      if (before) g.lineTo(one.left, one.mix);
      else g.moveTo(Math.max(one.left, scene.across.left - 8), one.mix);
      g.lineTo(Math.min(one.right, scene.across.left + scene.across.width + 8), one.mix);
    }
    before = one.mix !== null;
  }
  g.stroke();
  g.setLineDash([]);
}

/** A fade as a small wedge over the bottom of the plateaus, as long as it lasts. @param {CanvasRenderingContext2D} g @param {Scene} scene @param {Colours} colours */
function joins(g, scene, colours) {
  const { bottom } = scene.lanes.plot;
  g.fillStyle = colours.ink;
  for (const one of scene.joins) {
    const left = Math.min(one.left, one.right - 5);
    g.beginPath();
    g.moveTo(left, bottom);
    g.lineTo(one.right, bottom - 9);
    g.lineTo(one.right, bottom);
    g.fill();
  }
}

/** @param {CanvasRenderingContext2D} g @param {Painting} what @param {Colours} colours */
function took(g, what, colours) {
  const { scene: { lanes, across, view }, took_db, tookHop_s, mostTook_db, limit_db } = what;
  const { top, bottom } = /** @type {import("./scene.js").Lane} */ (lanes.took);
  const scale = (bottom - top - 3) / mostTook_db;
  g.fillStyle = colours.rule;
  g.fillRect(across.left, top, across.width, 1);
  if (limit_db !== null && limit_db <= mostTook_db) for (let x = across.left; x < across.left + across.width; x += 8) g.fillRect(x, Math.round(top + limit_db * scale), 3, 1);
  if (!took_db) return;
  g.fillStyle = colours.took;
  const columns = Math.round(across.width), per = (view.to_s - view.from_s) / columns / tookHop_s;
  for (let x = 0; x < columns; x++) {
    const first = Math.floor(view.from_s / tookHop_s + x * per), end = Math.min(Math.max(Math.ceil(view.from_s / tookHop_s + (x + 1) * per), first + 1), took_db.length);
    let most = 0;
    for (let i = first; i < end; i++) most = Math.max(most, Math.abs(took_db[i] ?? 0));
    if (most >= LEAST_TOOK_DB) g.fillRect(across.left + x, top, 1, Math.max(Math.min(most, mostTook_db) * scale, 0.5));
  }
}

/** @param {CanvasRenderingContext2D} g @param {Painting} what @param {Colours} colours */
function risers(g, what, colours) {
  const { scene } = what;
  g.textAlign = "left";
  for (const one of scene.risers) {
    g.fillStyle = colours.line;
    g.globalAlpha = 0.55;
    g.fillRect(Math.round(one.x), 2, 1, scene.lanes.names.bottom - 2);
    g.globalAlpha = 1;
    g.fillStyle = what.stale ? colours.soft : colours.ink;
    g.font = `600 ${one.narrow ? 10 : 14}px ${SERIF}`;
    g.fillText(one.step, one.x + (one.narrow ? 2 : 5), 15);
    g.font = `11px ${SERIF}`;
    g.fillStyle = colours.soft;
    one.under.forEach((text, i) => g.fillText(text, one.x + 5, 28 + 12 * i));
  }
}

/** @param {CanvasRenderingContext2D} g @param {Painting} what @param {Colours} colours */
function rideLine(g, what, colours) {
  const { scene, ride, rideMost_db } = what;
  const { top, bottom } = /** @type {import("./scene.js").Lane} */ (scene.lanes.ride);
  const { left, width } = scene.across;
  const x = toX(scene.view, scene.across);
  const y = (/** @type {number} */ db) => (top + bottom) / 2 - (db / rideMost_db) * ((bottom - top) / 2 - 8);
  g.fillStyle = colours.sheet;
  g.fillRect(left, top, width, bottom - top);
  g.fillStyle = colours.rule;
  g.fillRect(left, Math.round(y(0)), width, 1);
  g.fillRect(left, top, width, 1);
  if (!ride.length) return;
  g.strokeStyle = colours.ink;
  g.lineWidth = 1.5;
  g.beginPath();
  g.moveTo(left, y(ride[0].gain_db));
  for (const point of ride) g.lineTo(x(point.time_s), y(point.gain_db));
  g.lineTo(left + width, y(ride[ride.length - 1].gain_db));
  g.stroke();
}

/** @param {CanvasRenderingContext2D} g @param {import("./scene.js").Plateau} one @param {Scene} scene @param {Colours} colours */
function label(g, one, scene, colours) {
  if (!one.label) return;
  const y = Math.min(one.top + 16, scene.lanes.plot.bottom - 4);
  g.textAlign = "left";
  g.lineJoin = "round";
  g.lineWidth = 3;
  g.strokeStyle = one.silent ? colours.paper : one.known ? colours.print : colours.grid;
  let { x } = one.label;
  for (const [text, font, colour] of [[one.label.letter, `600 14px ${SERIF}`, colours.ink], [one.label.figures, `12px ${SERIF}`, colours.ink]]) {
    g.font = font;
    g.fillStyle = colour;
    g.strokeText(text, x, y);
    g.fillText(text, x, y);
    if (text) x += g.measureText(text).width + 6;
  }
}

/** What stands beside and under the plot. @param {CanvasRenderingContext2D} g @param {Painting} what @param {Colours} colours */
function axis(g, what, colours) {
  const { lanes, across, grid: lines, ticks, beats } = what.scene;
  g.fillStyle = colours.line;
  for (const one of beats) g.fillRect(Math.round(one.x), lanes.axis.bottom - (one.down ? 4 : 2), 1, one.down ? 4 : 2);
  g.font = `11px ${SERIF}`;
  g.fillStyle = colours.soft;
  g.textAlign = "right";
  for (const one of lines) if (one.y > lanes.plot.top + 4) g.fillText(one.text, across.left - 6, one.y + 4);
  g.textAlign = "center";
  for (const one of ticks) {
    g.fillRect(Math.round(one.x), lanes.axis.top, 1, 4);
    g.fillText(one.text, Math.min(Math.max(one.x, across.left + 12), across.left + across.width - 8), lanes.axis.top + 15);
  }
}

/** The time under a pixel. @param {Scene} scene @param {number} x */
export const timeAt = (scene, x) => toSeconds(scene.view, scene.across, x);
