// @ts-check
// The contour as plain geometry: what stands where, and which words fit. Pure; `draw.js` paints it.
import { change, level, time } from "../format.js";
import { ticks, toX } from "./sight.js";
import { place } from "./snap.js";

/** @typedef {import("./sight.js").View} View @typedef {import("./sight.js").Across} Across @typedef {import("./figures.js").Figures} Figures */
/** @typedef {{ top: number, bottom: number }} Lane */
/** @typedef {{ name: string, kind: string, start_s: number, end_s: number, pass: string, ride_db: number, join: { fade_ms: number, lead_ms: number } | null }} Section */
/** @typedef {{ place: number, name: string, pass: string, pattern: number, left: number, right: number, top: number, mix: number | null, known: boolean,
 *   silent: boolean, label: { x: number, letter: string, figures: string } | null }} Plateau */
/** @typedef {{ place: number, name: string, x: number, room: number, step: string, narrow: boolean, under: string[] }} Riser */
/** @typedef {{ sections: Section[], figures: Figures[], passes: string[], view: View, across: Across, height: number,
 *   limiter: boolean, ride: boolean, beats?: import("./snap.js").Beats }} Given */

const FLOOR_LUFS = -60; // quieter is drawn at the bottom
const NAMES = 24, AXIS = 20, TOOK = 26;
const LOW = 340; // a lower stage has smaller lanes
const LINE = 12;
const WIDE_ROOM = 40, STEP_ROOM = 24; // pixels that the words on a riser take
const LETTER_ROOM = 18, FIGURES_ROOM = 66, GLYPH = 6.4;
const BEAT_ROOM = 9;
const UNMEASURED = 0.6; // of the plot's height

/** @param {Given} given */
export function sceneOf(given) {
  const { sections, figures, view, across, height } = given;
  const lanes = lanesOf(height, Math.max(0, ...figures.map((one) => underRiser(one).length)), given.limiter, given.ride);
  const range = rangeOf(figures);
  const x = toX(view, across);
  const y = yOf(range, lanes.plot);
  const end = across.left + across.width;
  const seen = sections.map((_, i) => i).filter((i) => sections[i].end_s > view.from_s && sections[i].start_s < view.to_s);
  const plateaus = seen.map((i) => plateauOf(given, i, lanes.plot, range ? y : null, x, end));
  const risers = seen.filter((i) => i > 0 && sections[i].start_s >= view.from_s)
    .map((i) => riserOf(sections, figures, i, x, end, height < LOW));
  const axis = ticks(view, across);
  return {
    lanes, range, across, view, plateaus, risers,
    grid: range ? gridOf(range, lanes.plot).map((lufs) => ({ y: y(lufs), text: level(lufs, 0) })) : [],
    beats: beatsOf(given, x),
    ticks: axis.at_s.map((at_s) => ({ x: x(at_s), text: time(at_s, axis.places) })),
    joins: risers.map((riser) => joinOf(sections[riser.place - 1], sections[riser.place], x)).filter((one) => one !== null),
  };
}

/** @typedef {ReturnType<typeof sceneOf>} Scene */

/** @param {number} height @param {number} underLines @param {boolean} limiter @param {boolean} ride */
export function lanesOf(height, underLines, limiter, ride) {
  let at = 0;
  const rideHeight = height < LOW ? 48 : 64;
  const next = (/** @type {number} */ size) => ({ top: at, bottom: (at += size) });
  const steps = next(20 + LINE * Math.min(underLines, height < LOW ? 1 : 2));
  const took = limiter ? next(TOOK) : null;
  const plot = next(Math.max(height - at - NAMES - AXIS - (ride ? rideHeight : 0), 40));
  const names = next(NAMES);
  return { steps, took, plot, names, ride: ride ? next(rideHeight) : null, axis: next(AXIS) };
}

/** From well under the quietest section to over the loudest; null where nothing is measured.
 * @param {Figures[]} figures @returns {{ low: number, high: number } | null} */
export function rangeOf(figures) {
  const levels = figures.filter((one) => one.known).flatMap((one) => [one.print_lufs, one.mix_lufs])
    .filter((one) => one !== null).map((one) => Math.max(/** @type {number} */ (one), FLOOR_LUFS));
  if (!levels.length) return figures.some((one) => one.known) ? { low: FLOOR_LUFS, high: -10 } : null;
  const low = Math.min(...levels), high = Math.max(...levels);
  return { low: low - Math.max(3, 0.35 * (high - low)), high: high + 1.5 };
}

/** @param {{ low: number, high: number } | null} range @param {Lane} plot */
export const yOf = (range, plot) => (/** @type {number | null} */ lufs) => {
  if (!range || lufs === null) return plot.bottom;
  const share = (Math.max(lufs, FLOOR_LUFS) - range.low) / (range.high - range.low);
  return plot.bottom - Math.min(Math.max(share, 0), 1) * (plot.bottom - plot.top);
};

/** @param {{ low: number, high: number }} range @param {Lane} plot */
function gridOf(range, plot) {
  const least = (24 / (plot.bottom - plot.top)) * (range.high - range.low);
  const step = [1, 2, 3, 6, 12, 24].find((one) => one >= least) ?? 48;
  const first = Math.ceil(range.low / step), count = Math.floor(range.high / step) - first + 1;
  return Array.from({ length: count }, (_, i) => (first + i) * step);
}

/** @param {Given} given @param {number} i @param {Lane} plot @param {((lufs: number | null) => number) | null} y
 * @param {(seconds: number) => number} x @param {number} end @returns {Plateau} */
function plateauOf(given, i, plot, y, x, end) {
  const section = given.sections[i], of = given.figures[i];
  const left = x(section.start_s), right = x(section.end_s);
  const known = of.known && y !== null;
  const top = known ? y(of.print_lufs) : plot.bottom - UNMEASURED * (plot.bottom - plot.top);
  const from = Math.max(left, given.across.left), room = Math.min(right, end) - from;
  const said = [level(of.print_lufs), section.ride_db ? `ride ${change(section.ride_db)}` : ""].filter(Boolean).join(", ");
  const silent = known && of.print_lufs === null;
  const words = !known ? "" : silent ? "silent" : room > LETTER_ROOM + GLYPH * said.length + 12 ? said : room > FIGURES_ROOM ? level(of.print_lufs) : "";
  return {
    place: i, name: section.name, pass: section.pass, pattern: Math.max(given.passes.indexOf(section.pass), 0), left, right, top,
    mix: known ? /** @type {any} */ (y)(of.mix_lufs) : null, known, silent,
    label: room > LETTER_ROOM ? { x: from + 6, letter: GLYPH * 1.4 * section.pass.length < room - 8 ? section.pass : "", figures: words } : null,
  };
}

/** Whether a figure is more than 0.0. @param {number | null} value */
export const told = (value) => value !== null && Math.abs(value) >= 0.05;

/** What stands under a step: what was asked, and what the limiter took of it. @param {Figures} of */
export function underRiser(of) {
  const lines = told(of.asked_db) ? [`asked ${change(of.asked_db)}`] : [];
  if (told(of.took_db)) lines.push(`took ${level(of.took_db)}`);
  return lines;
}

const fits = (/** @type {string} */ text, /** @type {number} */ room) => 6 * text.length + 8 < room;

/** The lines that have room; where only one has, what was taken goes first once it is a quarter of what was asked.
 * @param {Figures} of @param {number} room @param {boolean} oneLine */
function underWithin(of, room, oneLine) {
  const lines = underRiser(of);
  if (lines.length < 2 || !oneLine) return lines.filter((text) => fits(text, room));
  const both = lines.join(", ");
  const first = Math.abs(of.took_db ?? 0) > 0.25 * Math.abs(of.asked_db ?? 0) ? lines[1] : lines[0];
  return [both, first].filter((text) => fits(text, room)).slice(0, 1);
}

/** @param {Section[]} sections @param {Figures[]} figures @param {number} i @param {(seconds: number) => number} x @param {number} end
 * @param {boolean} oneLine @returns {Riser} */
function riserOf(sections, figures, i, x, end, oneLine) {
  const at = x(sections[i].start_s), room = Math.min(x(sections[i].end_s), end) - at;
  return {
    place: i, name: sections[i].name, x: at, room, narrow: room <= WIDE_ROOM,
    step: room > STEP_ROOM && figures[i].step_lu !== null ? change(figures[i].step_lu) : "",
    under: underWithin(figures[i], room, oneLine),
  };
}

/** The bars in sight, and the beats once there is room for them. @param {Given} given @param {(seconds: number) => number} x */
function beatsOf({ beats, view, across }, x) {
  const shown = [];
  for (const [times, down] of /** @type {[number[], boolean][]} */ ([[beats?.beats_s ?? [], false], [beats?.downbeats_s ?? [], true]])) {
    const first = place(times, view.from_s), end = place(times, view.to_s);
    if ((end - first) * BEAT_ROOM > across.width) continue;
    for (let i = first; i < end; i++) shown.push({ x: x(times[i]), down });
  }
  return shown;
}

export const USUAL_JOIN = { fade_ms: 20, lead_ms: 2 };

/** How a section is entered; null between two of one pass and ride, where nothing fades. @param {Section | undefined} before @param {Section} section */
export function joinInto(before, section) {
  if (!before || (before.pass === section.pass && (before.ride_db ?? 0) === (section.ride_db ?? 0))) return null;
  return section.join ?? USUAL_JOIN;
}

/** @param {Section} before @param {Section} section @param {(seconds: number) => number} x */
function joinOf(before, section, x) {
  const join = joinInto(before, section);
  if (!join) return null;
  const to_s = section.start_s - join.lead_ms / 1000;
  return { name: section.name, left: x(to_s - join.fade_ms / 1000), right: x(to_s) };
}

/** How many pixels a swing of full scale takes, the same all over the song: so that the waves stay inside their plateaus.
 * @param {Plateau[]} plateaus of the whole song @param {number[]} swings the farthest of each @param {Lane} plot */
export function waveHeight(plateaus, swings, plot) {
  const whole = plot.bottom - plot.top;
  const fits = plateaus.flatMap((one, i) => (swings[i] > 0.02 ? [(0.78 * (plot.bottom - one.top)) / swings[i]] : []));
  return Math.min(Math.max(Math.min(...fits, whole), 0.25 * whole), whole);
}
