// @ts-check
// Beats as places to hold on to, and as words.

/** @typedef {{ beats_s: number[], downbeats_s: number[] } | null} Beats */

/** Where the first time of a rising list at or after `at_s` stands. @param {number[]} times @param {number} at_s */
export function place(times, at_s) {
  let low = 0, high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle] < at_s) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** @param {number[]} times @param {number} at_s @returns {number | null} */
export function nearest(times, at_s) {
  const i = place(times, at_s);
  const two = times.slice(Math.max(i - 1, 0), i + 1);
  return two.length ? two.reduce((best, one) => (Math.abs(one - at_s) < Math.abs(best - at_s) ? one : best)) : null;
}

/** The beat near `at_s`, a downbeat from farther away; else `at_s` itself. @param {number} at_s @param {Beats} beats @param {number} near_s */
export function snapped(at_s, beats, near_s) {
  for (const [times, reach] of /** @type {[number[], number][]} */ ([[beats?.downbeats_s ?? [], 1.6 * near_s], [beats?.beats_s ?? [], near_s]])) {
    const one = nearest(times, at_s);
    if (one !== null && Math.abs(one - at_s) <= reach) return one;
  }
  return at_s;
}

const SAME_S = 0.0005;

/** The next time of the list in a direction; null past its ends. @param {number[]} times @param {number} at_s @param {1 | -1} way */
export function next(times, at_s, way) {
  const i = way > 0 ? place(times, at_s + SAME_S) : place(times, at_s - SAME_S) - 1;
  return times[i] ?? null;
}

/** "bar 17, beat 1", with how far it lies after it; null where there are no beats. @param {number} at_s @param {Beats} beats */
export function barAndBeat(at_s, beats) {
  if (!beats?.beats_s?.length) return null;
  const beat_s = nearest(beats.beats_s, at_s) ?? 0;
  const bar = place(beats.downbeats_s, beat_s + SAME_S);
  const since = bar ? beats.downbeats_s[bar - 1] : beats.beats_s[0];
  const beat = place(beats.beats_s, beat_s + SAME_S) - place(beats.beats_s, since - SAME_S);
  const off_ms = Math.round(1000 * (at_s - beat_s));
  const beside = Math.abs(off_ms) < 1 ? "" : `, ${Math.abs(off_ms)} ms ${off_ms > 0 ? "after" : "before"}`;
  return `${bar ? `bar ${bar}` : "upbeat"}, beat ${beat}${beside}`;
}
