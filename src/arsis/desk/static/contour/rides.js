// @ts-check
// The drawn ride: a lane of points over the time axis.
import { h } from "../vendor/preact.js";
import { useEffect } from "../vendor/preact-hooks.js";
import htm from "../vendor/htm.js";
import { change, time } from "../format.js";
import { addKeys } from "../keys.js";
import { beats, edit, playhead, rateHz, settled, view } from "../state.js";
import { rideAt, rideMost, tidy, withMoved, without, withPoint } from "./ride_points.js";
import { next, snapped } from "./snap.js";
import { across, drawn, length_s, ride, rideShown, scene } from "./stage.js";
import { toSeconds, toX } from "./sight.js";

/** @typedef {import("./ride_points.js").Point} Point */
const html = htm.bind(h);
const SNAP_PX = 8, REACH = 12;
let strokes = 0;

/** @param {Point[]} points @param {string} label */
async function keep(points, label) {
  drawn.value = points;
  await edit("draw_ride", { points }, { gesture: `ride ${strokes}`, label });
  if (settled()) drawn.value = null;
}

/** @param {number} time_s @param {number} [gain_db] */
function add(time_s, gain_db = rideAt(ride.value, time_s)) {
  strokes++;
  rideShown.value = true;
  const at_s = Math.round(time_s * rateHz.value) / rateHz.value;
  void keep(withPoint(ride.value, at_s, gain_db), "a point of the ride");
  requestAnimationFrame(() => requestAnimationFrame(() => focus(ride.value.findIndex((/** @type {Point} */ one) => Math.abs(one.time_s - at_s) < 1e-6))));
}
const focus = (/** @type {number} */ i) => /** @type {HTMLElement | null} */ (document.querySelector(`[data-point="${i}"]`))?.focus();

const where = "drawn ride", run = () => {};
addKeys([
  { key: "l", does: "a point at the playhead", run: () => add(playhead.value / rateHz.value), where },
  { key: "Shift+l", does: "show or hide its lane", run: () => { rideShown.value = !rideShown.value; }, where },
  { key: "↑ or ↓", does: "on a point: 0.1 dB; with Page up or down 1 dB", run, where },
  { key: "← or →", does: "on a point: by a beat; with Shift 10 ms, with Alt 1 ms", run, where },
  { key: "Delete or Backspace", does: "on a point: take it away", run, where },
]);

/** @param {number} i */
function remove(i) {
  strokes++;
  void keep(without(ride.value, i), "a point of the ride less");
  requestAnimationFrame(() => focus(Math.max(i - 1, 0)));
}

/** @param {KeyboardEvent} event @param {number} i */
function press(event, i) {
  const point = ride.value[i];
  const up = { ArrowUp: 0.1, ArrowDown: -0.1, PageUp: 1, PageDown: -1 }[event.key];
  const way = /** @type {1 | -1 | undefined} */ ({ ArrowLeft: -1, ArrowRight: 1 }[event.key]);
  if (event.ctrlKey || event.metaKey) return;
  if (event.key === "Delete" || event.key === "Backspace") remove(i);
  else if (up) void keep(withMoved(ride.value, i, { gain_db: point.gain_db + up }, length_s.value), "the drawn ride");
  else if (way) {
    const to = event.altKey ? point.time_s + way * 0.001 : event.shiftKey ? point.time_s + way * 0.01
      : next(beats.value?.beats_s ?? [], point.time_s, way) ?? point.time_s + way * 0.1;
    void keep(withMoved(ride.value, i, { time_s: to }, length_s.value), "the drawn ride");
  } else return;
  event.preventDefault();
}

/** The level under a pixel of the lane. @param {import("./scene.js").Lane} lane @param {number} most_db @param {number} y from the top of the stage */
const gainAt = (lane, most_db, y) => (((lane.top + lane.bottom) / 2 - y) / ((lane.bottom - lane.top) / 2 - 8)) * most_db;

/** @param {PointerEvent} start @param {number} i */
function drag(start, i) {
  if (start.button !== 0) return;
  const element = /** @type {HTMLElement} */ (start.currentTarget);
  const was = ride.value, point = was[i], lane = /** @type {import("./scene.js").Lane} */ (scene.value.lanes.ride), most_db = rideMost(was);
  const perPixel = (view.value.to_s - view.value.from_s) / across.value.width;
  strokes++;
  element.focus({ preventScroll: true });
  element.setPointerCapture(start.pointerId);
  const ends = new AbortController();
  const listen = (/** @type {string} */ kind, /** @type {(event: any) => void} */ run) => element.addEventListener(kind, run, { signal: ends.signal });
  listen("pointermove", (event) => {
    const at_s = point.time_s + (event.clientX - start.clientX) * perPixel;
    const time_s = Math.abs(event.clientX - start.clientX) < 4 ? point.time_s : event.altKey ? at_s : snapped(at_s, beats.value, SNAP_PX * perPixel);
    const gain_db = point.gain_db + gainAt(lane, most_db, event.clientY) - gainAt(lane, most_db, start.clientY);
    drawn.value = withMoved(was, i, { time_s, gain_db: tidy(gain_db) }, length_s.value);
  });
  listen("pointerup", () => { ends.abort(); if (drawn.value) void keep(drawn.value, "the drawn ride"); });
  for (const kind of ["pointercancel", "keydown"]) listen(kind, (event) => { if (kind !== "keydown" || event.key === "Escape") { ends.abort(); drawn.value = null; } });
}

export function Rides() {
  const lane = scene.value.lanes.ride;
  useEffect(() => { strokes++; }, []);
  if (!lane) return null;
  const points = ride.value, most_db = rideMost(points), x = toX(view.value, across.value);
  const y = (/** @type {number} */ db) => (lane.top + lane.bottom) / 2 - (db / most_db) * ((lane.bottom - lane.top) / 2 - 8);
  const twice = (/** @type {any} */ event) => {
    if (event.target !== event.currentTarget) return;
    const box = event.currentTarget.getBoundingClientRect(), stage = event.currentTarget.parentElement.getBoundingClientRect();
    const at_s = toSeconds(view.value, across.value, event.clientX - stage.left);
    add(Math.min(Math.max(at_s, 0), length_s.value), gainAt(lane, most_db, event.clientY - box.top + lane.top));
  };
  return html`<div class="ride" role="group" aria-label="drawn ride" style=${{ top: `${lane.top}px`, height: `${lane.bottom - lane.top}px`, left: `${across.value.left}px`, width: `${across.value.width}px` }}
    title=${points.length ? "" : "a double click draws a point"} onDblClick=${twice}>
    ${points.length ? null : html`<span class="soft hint">no ride is drawn: a double click, or the key l at the playhead, makes a point</span>`}
    ${points.map((/** @type {Point} */ one, /** @type {number} */ i) => (one.time_s < view.value.from_s || one.time_s > view.value.to_s ? null : html`<div key=${i} class="point" role="slider" tabindex="0" data-point=${i}
      aria-orientation="vertical" aria-label=${`point ${i + 1} of ${points.length} of the drawn ride`} aria-valuemin="-24" aria-valuemax="12" aria-valuenow=${one.gain_db}
      aria-valuetext=${`${change(one.gain_db)} dB at ${time(one.time_s, 2)}`} title=${`${change(one.gain_db)} dB at ${time(one.time_s, 2)}`}
      style=${{ left: `${x(one.time_s) - across.value.left - REACH}px`, top: `${y(one.gain_db) - lane.top - REACH}px` }}
      onPointerDown=${(/** @type {PointerEvent} */ event) => drag(event, i)} onKeyDown=${(/** @type {KeyboardEvent} */ event) => press(event, i)}>
        <span class=${one.gain_db > 0 ? "value under" : "value"}>${change(one.gain_db)}</span></div>`))}
  </div>`;
}
