// @ts-check
// The part of the song in sight: pure arithmetic between seconds and pixels.

/** @typedef {{ from_s: number, to_s: number }} View */
/** Where the song lies across the page: `left` pixels are for the heads of the rows. @typedef {{ left: number, width: number }} Across */

const LEAST_S = 1; // narrower than this the peaks have nothing finer to show

/** @param {View} view @param {Across} across */
export const toX = (view, across) => (/** @type {number} */ seconds) =>
  across.left + ((seconds - view.from_s) / (view.to_s - view.from_s)) * across.width;

/** @param {View} view @param {Across} across @param {number} x */
export const toSeconds = (view, across, x) =>
  view.from_s + ((x - across.left) / across.width) * (view.to_s - view.from_s);

/** The view moved and resized so that it lies in the song. @param {View} view @param {number} length_s @returns {View} */
export function within(view, length_s) {
  const span = Math.min(Math.max(view.to_s - view.from_s, Math.min(LEAST_S, length_s)), length_s);
  const from_s = Math.min(Math.max(view.from_s, 0), length_s - span);
  return { from_s, to_s: from_s + span };
}

/** Nearer (by > 1) or farther, with `at_s` staying where it is. @param {View} view @param {number} by @param {number} at_s @param {number} length_s */
export function zoomed(view, by, at_s, length_s) {
  const span = Math.min(Math.max((view.to_s - view.from_s) / by, Math.min(LEAST_S, length_s)), length_s);
  const share = (at_s - view.from_s) / (view.to_s - view.from_s);
  const from_s = at_s - share * span;
  return within({ from_s, to_s: from_s + span }, length_s);
}

/** @param {View} view @param {number} by_s @param {number} length_s */
export const moved = (view, by_s, length_s) => within({ from_s: view.from_s + by_s, to_s: view.to_s + by_s }, length_s);

/** A view that shows a stretch with some of what is around it. @param {number} start_s @param {number} end_s @param {number} length_s */
export function around(start_s, end_s, length_s) {
  const more = 0.15 * (end_s - start_s);
  return within({ from_s: start_s - more, to_s: end_s + more }, length_s);
}

const STEPS_S = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600];

/** Times for the axis, `apart` pixels or more from each other, with the decimals they need.
 * @param {View} view @param {Across} across @returns {{ at_s: number[], places: number }} */
export function ticks(view, across, apart = 70) {
  const least_s = (apart / across.width) * (view.to_s - view.from_s);
  const step = STEPS_S.find((one) => one >= least_s) ?? 1200;
  const first = Math.ceil(view.from_s / step - 1e-9);
  const count = Math.floor(view.to_s / step + 1e-9) - first + 1;
  return { at_s: Array.from({ length: Math.max(count, 0) }, (_, i) => (first + i) * step), places: step < 0.1 ? 2 : step < 1 ? 1 : 0 };
}
