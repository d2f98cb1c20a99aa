// @ts-check
// The hearing bar: start and stop, the place, what is heard and how loud, loops.
import { h } from "../vendor/preact.js";
import { computed, effect } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { change, level, time } from "../format.js";
import { addKeys } from "../keys.js";
import { loop, playhead, playing, rateHz, sounds, source } from "../state.js";
import { Blind, blind, judging, LETTERS, setting } from "./blind.js";
import { levelDb, levels, LOWEST_DB, matched, matchedOver, setLevel, trims } from "./levels.js";
import { Meters } from "./meters.js";
import { here, loopJoin, loopKind, loopSection, sectionStart, setJoinLoop, setSectionLoop } from "./places.js";
import { awaiting, late, less, missed, offsets, seek, toggle } from "./player.js";
import { DIFFERENCE, isRecord } from "./sources.js";

const html = htm.bind(h);

const choices = computed(() => {
  if (judging.value) return LETTERS.slice(0, blind.value?.ids.length);
  const ids = (sounds.value?.sounds ?? []).map((/** @type {any} */ one) => one.id);
  return ids.length ? [...ids, DIFFERENCE] : [];
});

/** @type {string} the source before the present one */
let previous = "mix";
let present = source.value;
effect(() => {
  if (source.value === present) return;
  [previous, present] = [present, source.value];
});

/** @param {string | undefined} id */
function choose(id) {
  if (id !== undefined && choices.value.includes(id)) source.value = id;
}

const by = (/** @type {number} */ seconds) => seek(playhead.value + seconds * rateHz.value);
const where = "hearing";
addKeys([
  { key: "Space", does: "play, stop", run: toggle, where },
  { key: "m", does: "hear the mix", run: () => choose("mix"), where },
  { key: "p", does: "hear the print", run: () => choose("print"), where },
  { key: "d", does: "hear the difference", run: () => choose(DIFFERENCE), where },
  { key: "w", does: "hear what was heard before this", run: () => choose(previous), where },
  ...[1, 2, 3, 4, 5, 6, 7, 8, 9].map((n) => ({ key: String(n), does: n === 1 ? "hear the first of the list; 2 the second, up to 9" : "", run: () => choose(choices.value[n - 1]), where })),
  { key: "o", does: "loop the section, or no more", run: () => loopOr("section"), where },
  { key: "j", does: "loop the join into the section, or no more", run: () => loopOr("join"), where },
  { key: ",", does: "one second back", run: () => by(-1), where },
  { key: ".", does: "one second on", run: () => by(1), where },
  { key: "<", does: "to the section's beginning, then the one before", run: () => seek(sectionStart(-1)), where },
  { key: ">", does: "to the next section", run: () => seek(sectionStart(1)), where },
  { key: "0", does: "to the beginning", run: () => seek(0), where },
  { key: "-", does: "monitor 1 dB down", run: () => setLevel(levelDb.value - 1), where },
  { key: "+", does: "monitor 1 dB up", run: () => setLevel(levelDb.value + 1), where },
]);

/** @param {"section" | "join"} kind */
function loopOr(kind) {
  if (loopKind.value === kind) loop.value = null;
  else if (kind === "section") setSectionLoop(loopSection.value);
  else setJoinLoop(loopJoin.value);
}

const position = computed(() => time(playhead.value / rateHz.value));
const sectionName = computed(() => here.value?.name ?? "");
const state = computed(() => {
  if (awaiting.value) return "waiting for the sound";
  if (late.value) return "still as before the change";
  return missed.value > 0 ? `${(missed.value / rateHz.value).toFixed(2)} s silent: sound came late` : "";
});

function Place() {
  return html`<button class="play" aria-pressed=${playing.value} onClick=${toggle}>${playing.value ? "stop" : "play"}</button>
    <span class="place"><span class="figure">${position}</span> ${" "}<span>${sectionName}</span></span>`;
}

function Loops() {
  const kind = loopKind.value;
  const range = loop.value;
  return html`<span class="row" role="group" aria-label="loop">
    <span class="soft">loop</span>
    <button aria-pressed=${kind === "section"} title="loop ${loopSection.value?.name ?? "the section"}" onClick=${() => loopOr("section")}>this section</button>
    <button aria-pressed=${kind === "join"} disabled=${!loopJoin.value && kind !== "join"} title="the join into ${loopJoin.value?.name ?? "it"} with two seconds either side"
      onClick=${() => loopOr("join")}>this join</button>
    ${range && html`<button onClick=${() => { loop.value = null; }}>none</button>
      ${!state.value && html`<span class="soft">${time(range.from / rateHz.value)} to ${time(range.to / rateHz.value)}</span>`}`}</span>`;
}

function Monitor() {
  return html`<span class="row"><label class="row"><span class="soft">monitor</span>
      <input type="range" min=${LOWEST_DB} max="0" step="1" value=${levelDb.value} aria-describedby="level-help"
        aria-valuetext="${level(levelDb.value, 0)} dB" onInput=${(/** @type {any} */ event) => setLevel(event.target.valueAsNumber)} /></label>
    <span class="figure level">${level(levelDb.value, 0)} dB</span>
    <button popovertarget="level-help" aria-label="about the monitor level">?</button>
    <p id="level-help" popover>One level for everything that is heard; 0 dB is the print as it is. Every page starts at −20 dB, a louder
      level is never remembered, and it rises by 6 dB a second at most. Set your monitors low before the first play. Hearing that is lost
      does not come back: keep one level for a session, rest ten minutes in every hour, and turn down when speech sounds dull.</p></span>`;
}

/** The trim of a source in words: of a difference, both; in brackets where it stands in for one that is not known yet.
 * @param {string} id */
function trimText(id) {
  if (!levels.value) return "";
  const of = (/** @type {string} */ one) => {
    const text = `${change(trims.value[one] ?? 0)} dB`;
    return typeof levels.value?.lufs[one] === "number" ? text : `(${text})`;
  };
  return (id === DIFFERENCE ? less.value : [id]).map(of).join(", ");
}

/** A chosen source has no use for the space bar of its own. @param {KeyboardEvent} event */
function playWithSpace(event) {
  const at = /** @type {any} */ (event.target);
  if (event.key !== " " || at.type !== "radio" || !at.checked) return;
  event.preventDefault();
  toggle();
}

function Sources() {
  const all = sounds.value?.sounds ?? [];
  const label = (/** @type {string} */ id) => all.find((/** @type {any} */ one) => one.id === id)?.label ?? id;
  return html`<fieldset class="row sources"><legend class="words-only">hear</legend>
    ${choices.value.map((/** @type {string} */ id) => html`<label title=${trimText(id).includes("(") || !levels.value ? "its loudness is not measured yet" : "what it is turned down by"}>
      <input type="radio" name="source" value=${id} checked=${source.value === id} onChange=${() => choose(id)} />
      ${" "}<span class="name" title=${label(id)}>${label(id)}</span> <span class="soft figure">${trimText(id)}</span></label>`)}
  </fieldset>`;
}

function Matching() {
  return html`<label title="the louder ones are turned down to the quietest; off: each keeps its own level, and none is louder than matched">
      <input type="checkbox" checked=${matched.value} onChange=${(/** @type {any} */ event) => { matched.value = event.target.checked; }} disabled=${judging.value} /> matched</label>
    <label>over ${" "}<select value=${matchedOver.value} onChange=${(/** @type {any} */ event) => { matchedOver.value = event.target.value; }}>
      <option value="song">the song</option><option value="loop">the loop</option></select></label>`;
}

/** What the difference is of. It has no figures of its own: this stands in their place. */
function Less() {
  const all = sounds.value?.sounds ?? [];
  const pick = (/** @type {0 | 1} */ n, /** @type {string} */ name) => html`<select aria-label=${name} value=${less.value[n]}
    onChange=${(/** @type {any} */ event) => { less.value = n ? [less.value[0], event.target.value] : [event.target.value, less.value[1]]; }}>
    ${all.map((/** @type {any} */ one) => html`<option value=${one.id}>${one.label}</option>`)}</select>`;
  return html`<span class="row less">${pick(0, "difference of")} less ${pick(1, "less")}</span>`;
}

/** A record has its own time: which second of it is heard at the loop's beginning, or the song's. */
function RecordTime() {
  const id = source.value;
  const sound = sounds.value?.sounds.find((/** @type {any} */ one) => one.id === id);
  const from_s = (loop.value?.from ?? 0) / rateHz.value;
  const ahead_s = offsets.value[id] ?? sound?.offset_s ?? 0;
  const set = (/** @type {any} */ event) => {
    if (Number.isFinite(event.target.valueAsNumber)) offsets.value = { ...offsets.value, [id]: event.target.valueAsNumber - from_s };
  };
  return html`<label title="which second of the record is heard at the ${loop.value ? "loop's" : "song's"} beginning">from its second
    ${" "}<input type="number" step="0.1" value=${Number((from_s + ahead_s).toFixed(3))} onChange=${set} /></label>`;
}

export function Hearing() {
  return html`<div class="hearing" onKeyDown=${playWithSpace}><div class="row">
      <${Place} /><${Monitor} /><${Loops} />
      <span class="soft" role="status">${state}</span>
      <button class="end" onClick=${() => { setting.value = true; }} disabled=${setting.value || blind.value}>compare blind</button>
    </div>
    ${blind.value || setting.value ? html`<${Blind} />` : html`<div class="row">
      <${Sources} /></div>`}
    <div class="row">${source.value === DIFFERENCE ? html`<${Less} />` : html`<${Meters} />`}
      ${isRecord(source.value) && html`<${RecordTime} />`}<${Matching} /></div></div>`;
}
