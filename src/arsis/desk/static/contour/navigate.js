// @ts-check
// Moving about in the song: wheel, keys, dragging the time axis.
import { addKeys } from "../keys.js";
import { seek } from "../hearing/player.js";
import { playhead, playing, rateHz, view } from "../state.js";
import { theChosen } from "./section_edits.js";
import { across, length_s, look, scene, scroll, tableShown, zoom } from "./stage.js";
import { around, moved, toSeconds } from "./sight.js";

const STEP = 1.6, WHEEL = 0.0025, PAGE = 0.8, DRAG_PX = 4;

/** What stays where it is when the view is zoomed by key: the playhead where it is in sight. */
function middle() {
  const { from_s, to_s } = view.value, at_s = playhead.value / rateHz.value;
  return at_s >= from_s && at_s <= to_s && at_s > 0 ? at_s : (from_s + to_s) / 2;
}
export const nearer = () => zoom(STEP, middle());
export const farther = () => zoom(1 / STEP, middle());
export const showAll = () => look({ from_s: 0, to_s: length_s.value });
export function showSection() {
  const one = theChosen();
  if (one) look(around(one.start_s, one.end_s, length_s.value));
}

const where = "what is in sight";
addKeys([
  { key: "n", does: "nearer", run: nearer, where },
  { key: "f", does: "farther", run: farther, where },
  { key: "s", does: "the whole song", run: showAll, where },
  { key: "e", does: "the chosen section, edge to edge", run: showSection, where },
  { key: "Shift+ArrowLeft", does: "earlier in the song", run: () => scroll(-PAGE), where },
  { key: "Shift+ArrowRight", does: "later in the song", run: () => scroll(PAGE), where },
  { key: "t", does: "the contour as a table, or no longer", run: () => { tableShown.value = !tableShown.value; }, where },
]);

/** Wheel: nearer and farther at the pointer; with Shift, or sideways: along the song. @param {WheelEvent} event @param {number} left of the stage */
export function wheel(event, left) {
  if (/** @type {HTMLElement} */ (event.target).closest(".contour-table")) return;
  event.preventDefault();
  const unit = event.deltaMode === WheelEvent.DOM_DELTA_PIXEL ? 1 : 30;
  const along = event.shiftKey ? event.deltaY || event.deltaX : Math.abs(event.deltaX) > Math.abs(event.deltaY) ? event.deltaX : 0;
  if (along) scroll((along * unit) / across.value.width);
  else zoom(Math.exp(-event.deltaY * unit * WHEEL * (event.ctrlKey ? 4 : 1)), toSeconds(view.value, across.value, event.clientX - left));
}

/** The time axis: dragged it moves the song, pressed it puts the playhead. @param {PointerEvent} start @param {number} left of the stage */
export function dragAxis(start, left) {
  if (start.button !== 0) return;
  const element = /** @type {HTMLElement} */ (start.currentTarget);
  const was = view.value, per = (was.to_s - was.from_s) / across.value.width;
  element.setPointerCapture(start.pointerId);
  const ends = new AbortController();
  let away = false;
  element.addEventListener("pointermove", (event) => {
    away ||= Math.abs(event.clientX - start.clientX) > DRAG_PX;
    if (away) look(moved(was, (start.clientX - event.clientX) * per, length_s.value));
  }, { signal: ends.signal });
  element.addEventListener("pointerup", () => {
    ends.abort();
    if (!away) seek(toSeconds(was, scene.value.across, start.clientX - left) * rateHz.value);
  }, { signal: ends.signal });
  element.addEventListener("pointercancel", () => ends.abort(), { signal: ends.signal });
}

/** While it plays, the page is turned when the playhead leaves it at its end. @param {number} before_s @param {number} now_s */
export function turnPage(before_s, now_s) {
  const { from_s, to_s } = view.peek();
  if (playing.peek() && before_s <= to_s && now_s > to_s && now_s - before_s < 1) look(moved(view.peek(), now_s - from_s - 0.05 * (to_s - from_s), length_s.peek()));
}
