// @ts-check
// The drawn ride as a list of points: pure.

/** @typedef {{ time_s: number, gain_db: number }} Point */

export const LEAST_DB = -24, MOST_DB = 12;
const TENTH = 10;

/** What the lane reaches up and down. @param {Point[]} points */
export const rideMost = (points) => Math.max(2, Math.ceil(1.2 * Math.max(0, ...points.map((one) => Math.abs(one.gain_db)))));

/** The ride at a time: straight between points, level outside them. @param {Point[]} points @param {number} time_s */
export function rideAt(points, time_s) {
  const after = points.findIndex((one) => one.time_s >= time_s);
  if (after < 0) return points.at(-1)?.gain_db ?? 0;
  if (after === 0) return points[0].gain_db;
  const [a, b] = [points[after - 1], points[after]];
  return a.gain_db + ((b.gain_db - a.gain_db) * (time_s - a.time_s)) / (b.time_s - a.time_s);
}

/** @param {number} gain_db */
export const tidy = (gain_db) => Math.round(Math.min(Math.max(gain_db, LEAST_DB), MOST_DB) * TENTH) / TENTH + 0;

/** @param {Point[]} points @param {number} time_s @param {number} gain_db @returns {Point[]} */
export function withPoint(points, time_s, gain_db) {
  const others = points.filter((one) => Math.abs(one.time_s - time_s) > 0.001);
  return [...others, { time_s, gain_db: tidy(gain_db) }].sort((a, b) => a.time_s - b.time_s);
}

/** A point moved, but not past its neighbours. @param {Point[]} points @param {number} i @param {Partial<Point>} to @param {number} length_s @returns {Point[]} */
export function withMoved(points, i, to, length_s) {
  const least = (points[i - 1]?.time_s ?? -0.001) + 0.001, most = (points[i + 1]?.time_s ?? length_s + 0.001) - 0.001;
  const time_s = Math.min(Math.max(to.time_s ?? points[i].time_s, least), most);
  return points.map((one, at) => (at === i ? { time_s, gain_db: tidy(to.gain_db ?? one.gain_db) } : one));
}

/** @param {Point[]} points @param {number} i */
export const without = (points, i) => points.filter((_, at) => at !== i);
