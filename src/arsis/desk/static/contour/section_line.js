// @ts-check
// The chosen section in one line: its kind, pass, ride and join, to be changed in place.
import { h } from "../vendor/preact.js";
import { useEffect, useRef } from "../vendor/preact-hooks.js";
import htm from "../vendor/htm.js";
import { edit } from "../state.js";
import { assign, merge, placeOf, renaming, setJoin, splitAtPlayhead, theChosen } from "./section_edits.js";
import { kindInWords } from "./names.js";
import { USUAL_JOIN } from "./scene.js";
import { passes } from "./stage.js";

const html = htm.bind(h);
const KINDS = ["intro", "verse", "pre_chorus", "chorus", "bridge", "break", "build", "solo", "interlude", "outro", "other"];

/** A number of the plan. What is being typed is left alone when the plan changes meanwhile.
 * @param {{ words: string, unit: string, value: number | null, usual: number, low: number, high: number, step: number, set: (value: number) => Promise<boolean> }} props */
function Number_({ words, unit, value, usual, low, high, step, set }) {
  const field = useRef(/** @type {HTMLInputElement | null} */ (null)), typing = useRef(false);
  const show = () => { if (field.current && !typing.current) field.current.value = value === null ? "" : String(value); };
  useEffect(show, [value]);
  const change = async (/** @type {any} */ event) => {
    const { valueAsNumber } = event.currentTarget;
    typing.current = false;
    const allowed = valueAsNumber >= low && valueAsNumber <= high;
    if (!allowed || !(await set(valueAsNumber))) show();
  };
  return html`<label>${words} <input ref=${field} type="number" placeholder=${usual} min=${low} max=${high} step=${step}
    onInput=${() => { typing.current = true; }} onBlur=${() => { typing.current = false; }} onChange=${change} />${unit ? html` <span class="soft">${unit}</span>` : null}</label>`;
}

export function SectionLine() {
  const one = theChosen();
  if (!one) return html`<span class="soft">no section is chosen</span>`;
  const first = placeOf(one.name) === 0;
  const name = one.name;
  return html`<h2><button title="another name (r)" onClick=${() => { renaming.value = name; }}>${name}</button></h2>
    <label>kind <select value=${one.kind} onChange=${(/** @type {any} */ event) => void edit("set_kind", { name, kind: event.target.value }, { label: `the kind of ${name}` })}>
      ${KINDS.map((kind) => html`<option value=${kind}>${kindInWords(kind)}</option>`)}</select></label>
    <label>pass <select value=${one.pass} onChange=${(/** @type {any} */ event) => void assign(name, event.target.value)}>
      ${passes.value.map((pass) => html`<option value=${pass}>${pass}</option>`)}</select></label>
    <${Number_} key=${`ride ${name}`} words="ride" unit="dB" value=${one.ride_db} usual=${0} low=${-24} high=${12} step=${0.1}
      set=${(/** @type {number} */ ride_db) => edit("set_ride", { name, ride_db }, { label: `the ride of ${name}` })} />
    ${first ? null : html`<${Number_} key=${`fade ${name}`} words="fade" unit="" value=${one.join?.fade_ms ?? null} usual=${USUAL_JOIN.fade_ms} low=${0} high=${4000} step=${1}
      set=${(/** @type {number} */ fade_ms) => setJoin(one, { fade_ms })} />
    <${Number_} key=${`lead ${name}`} words="ms, done" unit="ms before" value=${one.join?.lead_ms ?? null} usual=${USUAL_JOIN.lead_ms} low=${-500} high=${500} step=${1}
      set=${(/** @type {number} */ lead_ms) => setJoin(one, { lead_ms })} />
    ${one.join ? html`<button onClick=${() => void edit("set_join", { name, join: null }, { label: `the join into ${name}` })}>as usual</button>` : null}
    <button aria-label="merge with the section before" title="with the section before (&)" onClick=${() => void merge(placeOf(name))}>merge</button>`}
    <button aria-label="split at the playhead" title="at the playhead (/)" onClick=${() => void splitAtPlayhead()}>split</button>`;
}
