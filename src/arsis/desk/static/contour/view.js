// @ts-check
// The contour: the song from left to right, its passes under it.
import { h } from "../vendor/preact.js";
import { useEffect, useRef } from "../vendor/preact-hooks.js";
import htm from "../vendor/htm.js";
import { level } from "../format.js";
import { choose, doc, plan } from "../state.js";
import { Canvas, mostTook } from "./canvas.js";
import { Names } from "./names.js";
import { dragAxis, farther, nearer, showAll, showSection, wheel } from "./navigate.js";
import { Loop, Playhead } from "./over.js";
import { PassDeeds, Passes } from "./passes.js";
import { rideMost } from "./ride_points.js";
import { Rides } from "./rides.js";
import { Risers } from "./risers.js";
import { SectionLine } from "./section_line.js";
import { age, followPeaks, ride, rideShown, scene, scheme, shownSections, size, tableShown, waved } from "./stage.js";
import { Table } from "./table.js";

const html = htm.bind(h);
const AGES = { none: "measuring", before: "figures of the change before; measuring", now: "" };

export function Contour() {
  if (!doc.value) return html`<div class="contour" />`;
  return html`<div class="contour">
    <div class="section-line"><${SectionLine} /><span class="end"><${Sight} /></span></div>
    <${Stage} />
    <${Passes} />
  </div>`;
}

function Sight() {
  return html`<button aria-label="farther" title="farther (f)" onClick=${farther}>−</button><button aria-label="nearer" title="nearer (n)" onClick=${nearer}>+</button>
    <button title="the chosen section (e)" onClick=${showSection}>section</button><button title="the whole song (s)" onClick=${showAll}>song</button>
    <button aria-pressed=${rideShown.value || ride.value.length > 0} disabled=${ride.value.length > 0} onClick=${() => { rideShown.value = !rideShown.value; }}>ride</button>
    <button aria-pressed=${tableShown.value} title="the contour as a table (t)" onClick=${() => { tableShown.value = !tableShown.value; }}>table</button>`;
}

function Stage() {
  const stage = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => {
    const element = /** @type {HTMLElement} */ (stage.current);
    const measure = () => { size.value = { width: element.clientWidth, height: element.clientHeight, dpr: devicePixelRatio || 1 }; };
    const watch = new ResizeObserver(measure);
    watch.observe(element);
    const onWheel = (/** @type {WheelEvent} */ event) => wheel(event, element.getBoundingClientRect().left);
    element.addEventListener("wheel", onWheel, { passive: false });
    addEventListener("resize", measure);
    const dark = matchMedia("(prefers-color-scheme: dark)"), turn = () => { scheme.value++; };
    dark.addEventListener("change", turn);
    const end = followPeaks();
    return () => { watch.disconnect(); end(); removeEventListener("resize", measure); dark.removeEventListener("change", turn); element.removeEventListener("wheel", onWheel); };
  }, []);
  return html`<div class="stage" ref=${stage} onClick=${chooseUnder}>
    <${Canvas} /><${Key} /><${Names} /><${Risers} /><${Rides} /><${Axis} /><${Loop} /><${Playhead} /><${PassDeeds} /><${Table} />
  </div>`;
}

/** A press on a plateau chooses its section. @param {any} event */
function chooseUnder(event) {
  if (event.target.tagName !== "CANVAS") return;
  const found = scene.value.plateaus.find((one) => one.left <= event.offsetX && event.offsetX < one.right && event.offsetX >= scene.value.across.left);
  if (found) choose({ section: found.name, pass: shownSections.value[found.place].pass });
}

function Axis() {
  const { lanes, across } = scene.value;
  const start = (/** @type {any} */ event) => dragAxis(event, event.currentTarget.parentElement.getBoundingClientRect().left);
  return html`<div class="axis" title="press: the playhead; drag: along the song" style=${{ top: `${lanes.axis.top}px`, height: `${lanes.axis.bottom - lanes.axis.top}px`, left: `${across.left}px`, width: `${across.width}px` }} onPointerDown=${start} />`;
}

/** The most the limiter took, and whether that is past what the plan allows. @param {{ most_db: number | null }} props */
function Most({ most_db }) {
  if (age.value === "none") return null;
  const most = mostTook();
  if (most < 0.05) return " nothing";
  if (most_db === null) return html`,<br />most ${level(most)} dB`;
  return most > most_db ? html`<br /><span class="over">${level(most)} dB, past ${level(most_db)}</span>` : html`,<br />most ${level(most)} of ${level(most_db)} dB`;
}

/** What is what, in words, beside each lane. */
function Key() {
  const { lanes } = scene.value, most_db = plan.value.finish.limiter?.most_db ?? null;
  const at = (/** @type {number} */ top) => ({ top: `${top}px` });
  return html`<div class="key">
    <div style=${at(2)}>step, LU</div>
    ${lanes.took ? html`<div style=${at(lanes.took.top + 1)}><i class="took" />limiter took<${Most} most_db=${most_db} /></div>` : null}
    <div style=${at(lanes.plot.top + 6)}><i class="print" />print, LUFS<br /><i class="mix" />mix, LUFS<br /><i class=${`wave ${waved.value}`} />waves of ${waved.value}${plan.value.finish.limiter ? "" : html`<br />no limiter`}</div>
    <div style=${at(lanes.plot.bottom - 34)} class="age" role="status">${AGES[age.value]}</div>
    ${lanes.ride ? html`<div style=${at(lanes.ride.top + 4)}>drawn ride,<br />± ${rideMost(ride.value)} dB</div>` : null}
  </div>`;
}
