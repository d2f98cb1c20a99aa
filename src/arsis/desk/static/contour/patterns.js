// @ts-check
// A pattern for each pass, the same as in the reports; `contour.css` has them for the rows.

/** @typedef {(g: CanvasRenderingContext2D) => void} Mark */
/** @param {...number[]} lines */
const lines = (...lines) => (/** @type {CanvasRenderingContext2D} */ g) => {
  g.beginPath();
  for (const [fromX, fromY, toX, toY] of lines) {
    g.moveTo(fromX, fromY);
    g.lineTo(toX, toY);
  }
  g.stroke();
};
const UP = [-4, 12, 12, -4], UP_BEFORE = [-4, 4, 4, -4], UP_AFTER = [4, 12, 12, 4];
const DOWN = [-4, -4, 12, 12], DOWN_BEFORE = [-4, 4, 4, 12], DOWN_AFTER = [4, -4, 12, 4];

/** Nothing for the first pass, then lines, dots, crossed lines, upright and level lines. @type {(Mark | null)[]} */
const MARKS = [
  null,
  lines(UP, UP_BEFORE, UP_AFTER),
  (g) => { g.beginPath(); g.arc(4, 4, 1.3, 0, 2 * Math.PI); g.fill(); },
  lines(UP, UP_BEFORE, UP_AFTER, DOWN, DOWN_BEFORE, DOWN_AFTER),
  lines([4, 0, 4, 8]),
  lines([0, 4, 8, 4]),
];
export const PATTERNS = MARKS.length;

/** The pattern of the pass in this place, null for the plain one. @param {number} place @param {string} colour @param {number} dpr */
export function tile(place, colour, dpr) {
  const mark = MARKS[place % PATTERNS];
  if (!mark) return null;
  const tile = new OffscreenCanvas(8 * dpr, 8 * dpr);
  const g = /** @type {any} */ (tile.getContext("2d"));
  g.scale(dpr, dpr);
  g.strokeStyle = g.fillStyle = colour;
  g.lineWidth = 1;
  mark(g);
  return tile;
}
