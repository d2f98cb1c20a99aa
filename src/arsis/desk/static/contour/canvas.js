// @ts-check
// The canvas of the contour: painted anew in the next frame after anything it shows has changed.
import { h } from "../vendor/preact.js";
import { useEffect, useRef } from "../vendor/preact-hooks.js";
import { computed, effect } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { chosen, plan, shape } from "../state.js";
import { coloursOf, paint, tilesOf } from "./draw.js";
import { rideMost } from "./ride_points.js";
import { waveHeight } from "./scene.js";
import { age, dragged, peaks, ride, scene, scheme, size, waved, wholeScene } from "./stage.js";

const html = htm.bind(h);

/** How high a full swing stands: it does not follow the view. */
const swingHeight = computed(() => {
  const wave = peaks.value[waved.value];
  const { plateaus, lanes, across } = wholeScene.value;
  const at = (/** @type {number} */ x) => ((x - across.left) / across.width) * (wave?.frames ?? 0);
  return waveHeight(plateaus, plateaus.map((one) => wave?.most(at(one.left), at(one.right)) ?? 0), lanes.plot);
});

/** @returns {import("./draw.js").Painting} */
function painting() {
  const limit_db = plan.value?.finish?.limiter?.most_db ?? null;
  return {
    scene: scene.value, wave: peaks.value[waved.value] ?? null, waveIsMix: waved.value === "mix", waveHeight: swingHeight.value,
    took_db: shape.value?.took_db ?? null, tookHop_s: shape.value?.took_hop_s ?? 0.02, mostTook_db: tookScale(mostTook(), limit_db), limit_db,
    chosen: chosen.value.section, stale: age.value === "before" || dragged.value !== null, ride: ride.value, rideMost_db: rideMost(ride.value),
  };
}

/** The most the limiter took anywhere, dB. */
export const mostTook = () => Math.max(0, ...(shape.value?.sections ?? []).map((/** @type {any} */ one) => one.took?.max_db ?? 0));
/** @param {number} most_db @param {number | null} limit_db */
const tookScale = (most_db, limit_db) => Math.max(1, 1.15 * most_db, limit_db !== null && limit_db <= 6 ? 1.1 * limit_db : 0);

export function Canvas() {
  const canvas = useRef(/** @type {HTMLCanvasElement | null} */ (null));
  useEffect(() => {
    const element = /** @type {HTMLCanvasElement} */ (canvas.current);
    const g = /** @type {CanvasRenderingContext2D} */ (element.getContext("2d"));
    /** @type {{ key: string, colours: any, tiles: any }} */
    let look = { key: "", colours: null, tiles: null };
    let frame = 0;
    const redraw = (/** @type {any} */ what, /** @type {any} */ at, /** @type {number} */ tone) => {
      frame = 0;
      const key = `${tone} ${at.dpr}`;
      if (look.key !== key) {
        const colours = coloursOf(element);
        look = { key, colours, tiles: tilesOf(colours, at.dpr) };
      }
      if (!at.width || !at.height) return;
      const width = Math.round(at.width * at.dpr), height = Math.round(at.height * at.dpr);
      if (element.width !== width || element.height !== height) [element.width, element.height] = [width, height];
      paint(g, what, look.colours, look.tiles, at);
    };
    const end = effect(() => {
      const what = painting(), at = size.value, tone = scheme.value;
      cancelAnimationFrame(frame);
      frame = requestAnimationFrame(() => redraw(what, at, tone));
    });
    return () => { end(); cancelAnimationFrame(frame); };
  }, []);
  return html`<canvas ref=${canvas} aria-hidden="true" />`;
}
