// @ts-check
// The release as a whole: as one record, delivered, and checked.
import { h } from "../vendor/preact.js";
import { effect, signal } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { ask } from "../api.js";
import { change, level, time } from "../format.js";
import { tried } from "../state.js";
import { Coming, Open, Take, Warnings, beginOnRelease, isOpen, newest } from "./jobs.js";

const html = htm.bind(h);
/** @typedef {import("../state.js").Json} Json */

const profiles = signal(/** @type {Json[]} */ ([]));
const profile = signal("hires");
const shape = newest("record", false), delivery = newest("deliver", false), check = newest("verify", false);

const readProfiles = async () => { profiles.value = (await tried(ask("/api/profiles"))) ?? profiles.value; };
effect(() => { if (delivery.value?.state === "done") void readProfiles(); });

export function Record() {
  if (!profiles.value.length) void readProfiles();
  const chosen = profiles.value.find((one) => one.name === profile.value);
  const busy = (/** @type {Json} */ job) => job !== null && isOpen(job);
  return html`<p><button disabled=${busy(shape.value)} onClick=${() => void beginOnRelease("record")}>look at the songs as one record</button></p>
    ${shape.value && html`<${Shape} job=${shape.value} />`}
    <form class="wish" onSubmit=${(/** @type {Event} */ event) => { event.preventDefault(); void beginOnRelease("deliver", { profile: profile.value }); }}>
      <label>profile <select value=${profile} onChange=${(/** @type {any} */ event) => { profile.value = event.target.value; }}>
        ${profiles.value.map((one) => html`<option value=${one.name}>${one.name}${one.delivered ? " (is there)" : ""}</option>`)}</select></label>
      <button disabled=${busy(delivery.value)}>deliver</button>
      <button type="button" disabled=${!chosen?.delivered || busy(check.value)} onClick=${() => void beginOnRelease("verify", { profile: profile.value })}>check the delivery</button>
      <p class="soft">${chosen?.about}</p>
    </form>
    ${delivery.value && html`<${Delivery} job=${delivery.value} />`}
    ${check.value && html`<${Check} job=${check.value} />`}`;
}

/** @param {{ job: Json }} props */
function Shape({ job }) {
  if (!job.result) return html`<${Coming} job=${job} />`;
  const { songs, length_s, loudness_lufs } = job.result.shape;
  return html`<table><caption>${time(length_s, 0)}, ${level(loudness_lufs)} LUFS</caption>
      <thead><tr><th scope="col">song</th><th scope="col">starts</th><th scope="col">LUFS</th><th scope="col">step, LU</th><th scope="col">dBTP</th></tr></thead>
      <tbody>${songs.map((/** @type {Json} */ one) => html`<tr><th scope="row">${one.place}. ${one.title}</th><td>${time(one.start_s, 0)}</td>
        <td>${level(one.loudness_lufs)}</td><td>${change(one.step_lu)}</td><td>${level(one.true_peak_dbtp)}</td></tr>`)}</tbody></table>
    <${Warnings} warnings=${job.result.warnings} />
    <p><${Open} job=${job}>open the record's page<//> <${Take} job=${job} /></p>`;
}

/** @param {{ job: Json }} props */
function Delivery({ job }) {
  const made = job.result;
  if (!made) return html`<${Coming} job=${job} />`;
  return html`<section aria-label="the delivery"><h2>${made.out}${made.was_there ? ": is there already, as it was made" : ""}</h2>
    <table><thead><tr><th scope="col">file</th><th scope="col">LUFS</th><th scope="col">dBTP</th></tr></thead>
      <tbody>${made.sounds.map((/** @type {Json} */ one) => html`<tr><th scope="row">${one.path}</th>
        <td>${level(one.integrated_lufs)}</td><td>${level(one.true_peak_dbtp, 2)}</td></tr>`)}</tbody></table>
    <${Warnings} warnings=${made.warnings} />
    ${made.notes.map((/** @type {string} */ one) => html`<p class="soft">${one}</p>`)}
    <details><summary>its ${job.files.length} files</summary><ul class="files">
      ${job.files.map((/** @type {Json} */ _, /** @type {number} */ n) => html`<li><${Take} job=${job} n=${n} /></li>`)}</ul></details></section>`;
}

/** @param {{ job: Json }} props */
function Check({ job }) {
  const found = job.result;
  if (!found) return html`<${Coming} job=${job} />`;
  return html`<section aria-label="the check of the delivery"><h2>${found.delivery}: ${found.holds ? "holds" : `${found.findings.length} found wrong`}</h2>
    <p>${found.files} files, ${found.sounds} with sound; ${found.rebuilt.length} made again from mix and plan, bit for bit</p>
    ${found.findings.length > 0 && html`<ul class="fault">${found.findings.map((/** @type {Json} */ one) => html`<li>${one.file}: ${one.what}
      ${one.expected !== null && ` (expected ${one.expected}, found ${one.found})`}</li>`)}</ul>`}
    ${[...new Set(found.not_rebuilt.map((/** @type {Json} */ one) => one.why))].map((why) => html`<p class="soft">not made again: ${why}</p>`)}</section>`;
}
