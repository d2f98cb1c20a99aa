// @ts-check
// The risers: each the start of a section, to be dragged or moved by keys.
import { h } from "../vendor/preact.js";
import htm from "../vendor/htm.js";
import { change, level, time } from "../format.js";
import { addKeys } from "../keys.js";
import { beats, choose, chosen, edit, rateHz, settled, view } from "../state.js";
import { cleanJoin, held, hold, release, SAME_S, takeCleanJoin } from "./clean_join.js";
import { told } from "./scene.js";
import { merge } from "./section_edits.js";
import { barAndBeat, next, snapped } from "./snap.js";
import { moved } from "./sight.js";
import { across, allFigures, dragged, length_s, look, scene, shownSections, size } from "./stage.js";

const html = htm.bind(h);
const SNAP_PX = 10, DRAG_PX = 3;
const LEAST_S = 0.1; // a section by hand is never shorter

const where = "a riser in hand", run = () => {};
addKeys([
  { key: "← or →", does: "a beat earlier or later; with Shift 10 ms, with Alt 1 ms", run, where },
  { key: "Page up or down", does: "a bar later or earlier", run, where },
  { key: "Delete or Escape", does: "merge with the section before; while it is dragged, leave it where it was", run, where },
]);

/** @param {number} place @param {number} at_s */
function bounded(place, at_s) {
  const all = shownSections.value;
  const least_s = Math.min(LEAST_S, (all[place].end_s - all[place - 1].start_s) / 4);
  const low = all[place - 1].start_s + least_s, high = all[place].end_s - least_s;
  return Math.round(Math.max(Math.min(at_s, high), low) * rateHz.value) / rateHz.value;
}

let strokes = 0;

/** Lets the section start there: seen at once, and in the plan as soon as the server has it. @param {number} place @param {number} at_s */
export async function moveTo(place, at_s) {
  const { name } = shownSections.value[place];
  dragged.value = { name, start_s: at_s };
  hold(name, at_s);
  await edit("move_start", { name, start_s: at_s }, { gesture: `start of ${name} ${strokes}`, label: `the start of ${name}` });
  if (settled() && dragged.value?.name === name) dragged.value = null;
}

/** @param {KeyboardEvent} event @param {number} place */
function press(event, place) {
  const now = shownSections.value[place].start_s;
  const way = { ArrowLeft: -1, ArrowRight: 1, PageDown: -1, PageUp: 1 }[event.key];
  if (event.key === "Delete") void merge(place);
  else if (event.key === "Escape" && dragged.value) dragged.value = null;
  else if (way && !event.ctrlKey && !event.metaKey) {
    const at_s = stepped(now, /** @type {1 | -1} */ (way), event);
    void moveTo(place, bounded(place, at_s));
    follow(at_s);
  } else return;
  event.preventDefault();
  event.stopPropagation();
}

/** @param {number} now @param {1 | -1} way @param {KeyboardEvent} event */
function stepped(now, way, event) {
  if (event.altKey) return now + way * 0.001;
  if (event.shiftKey) return now + way * 0.01;
  const times = event.key.startsWith("Page") ? beats.value?.downbeats_s : beats.value?.beats_s;
  return next(times ?? [], now, way) ?? now + way * 0.1;
}

/** @param {number} at_s */
function follow(at_s) {
  const span = view.value.to_s - view.value.from_s;
  if (at_s < view.value.from_s) look(moved(view.value, at_s - view.value.from_s - 0.1 * span, length_s.value));
  if (at_s > view.value.to_s) look(moved(view.value, at_s - view.value.to_s + 0.1 * span, length_s.value));
}

/** @param {PointerEvent} start @param {number} place */
function drag(start, place) {
  if (start.button !== 0) return;
  const element = /** @type {HTMLElement} */ (start.currentTarget);
  const { name, pass, start_s } = shownSections.value[place];
  const seconds = (/** @type {number} */ pixels) => (pixels / across.value.width) * (view.value.to_s - view.value.from_s);
  strokes++;
  element.focus({ preventScroll: true });
  element.setPointerCapture(start.pointerId);
  choose({ section: name, pass });
  let away = false;
  const ends = new AbortController();
  const listen = (/** @type {string} */ kind, /** @type {(event: any) => void} */ run) => element.addEventListener(kind, run, { signal: ends.signal });
  listen("pointermove", (event) => {
    const by = event.clientX - start.clientX;
    away ||= Math.abs(by) > DRAG_PX;
    if (!away) return;
    const at_s = start_s + seconds(by);
    const to_s = bounded(place, event.altKey ? at_s : snapped(at_s, beats.value, seconds(SNAP_PX)));
    dragged.value = { name, start_s: to_s };
    hold(name, to_s);
  });
  listen("pointerup", () => { ends.abort(); if (away && dragged.value) void moveTo(place, dragged.value.start_s); });
  listen("pointercancel", () => { ends.abort(); dragged.value = null; });
  listen("keydown", (event) => { if (event.key === "Escape") { ends.abort(); dragged.value = null; } });
}

/** A riser in words. @param {number} place */
function said(place) {
  const { start_s } = shownSections.value[place], of = allFigures.value[place];
  const step = of.step_lu === null ? "" : `step ${change(of.step_lu)} LU`;
  const asked = told(of.asked_db) ? `asked ${change(of.asked_db)} dB` : "";
  const took = told(of.took_db) ? `the limiter took ${level(of.took_db)}` : "";
  return [time(start_s, 3), barAndBeat(start_s, beats.value), step, asked, took].filter(Boolean).join(", ");
}

/** @param {{ riser: import("./scene.js").Riser }} props */
function Riser({ riser }) {
  const { lanes, risers } = scene.value;
  const section = shownSections.value[riser.place];
  const before = risers.find((one) => one.place === riser.place - 1)?.x ?? -100, after = risers.find((one) => one.place === riser.place + 1)?.x ?? 1e6;
  const reach = Math.max(Math.min(12, (riser.x - before) / 2, (after - riser.x) / 2), 3);
  return html`<div class="riser" role="slider" aria-orientation="horizontal" tabindex=${chosen.value.section === section.name ? 0 : -1}
    aria-label=${`start of ${section.name}`} aria-valuemin=${shownSections.value[riser.place - 1].start_s} aria-valuemax=${section.end_s}
    aria-valuenow=${section.start_s} aria-valuetext=${said(riser.place)}
    style=${{ left: `${riser.x - reach}px`, width: `${2 * reach}px`, height: `${lanes.plot.bottom}px` }}
    onPointerDown=${(/** @type {PointerEvent} */ event) => drag(event, riser.place)}
    onKeyDown=${(/** @type {KeyboardEvent} */ event) => press(event, riser.place)}
    onFocus=${() => { strokes++; choose({ section: section.name, pass: section.pass }); hold(section.name, section.start_s); }}
    onBlur=${(/** @type {any} */ event) => { if (!event.relatedTarget?.closest?.(".tip")) release(); }} />`;
}

export function Risers() {
  return html`${scene.value.risers.map((riser) => html`<${Riser} key=${riser.place} riser=${riser} />`)}<${Tip} />`;
}

/** Beside the riser that is held: its time, its beat, and where the clean join is. */
function Tip() {
  const at = held.value;
  const riser = scene.value.risers.find((one) => one.name === at?.name);
  if (!at || !riser) return null;
  const { start_s } = shownSections.value[riser.place], join = cleanJoin.value;
  const left = riser.x > size.value.width - 260;
  const off_ms = join ? Math.round(1000 * (join.at_s - start_s)) : 0;
  const here = join && Math.abs(join.at_s - start_s) < SAME_S;
  return html`<div class="tip" style=${{ top: `${scene.value.lanes.steps.bottom + 4}px`, ...(left ? { right: `${size.value.width - riser.x + 14}px` } : { left: `${riser.x + 14}px` }) }}
    onFocusOut=${(/** @type {any} */ event) => { if (!event.relatedTarget?.closest?.(".tip, .riser")) release(); }}>
    <div><b>${time(start_s, 3)}</b> ${barAndBeat(start_s, beats.value) ?? (beats.value ? "no beats found" : "looking for beats")}</div>
    ${join ? html`<div>${here ? "a clean join is here" : html`clean join ${Math.abs(off_ms)} ms ${off_ms > 0 ? "later" : "earlier"}
      <button onClick=${() => void takeCleanJoin()}>take it</button> <kbd>c</kbd>`}</div>` : html`<div class="soft">looking for the clean join</div>`}
    ${join?.note ? html`<div class="soft">${join.note}</div>` : null}
  </div>`;
}
