// @ts-check
// Printing the open song: what of it, into which file, and what came of it.
import { h } from "../vendor/preact.js";
import { signal } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { change, level } from "../format.js";
import { plan, rateHz, settled } from "../state.js";
import { Coming, Open, Take, Warnings, beginOnSong, isOpen, newest } from "./jobs.js";

const html = htm.bind(h);
/** @typedef {import("../state.js").Json} Json */

const BITS = [["", "as the mix asks for"], ["16", "16 bit"], ["24", "24 bit"], ["32", "32 bit"], ["32f", "32 bit float"]];
const RATES_HZ = [44100, 48000, 88200, 96000, 176400, 192000];
const wish = signal({ what: "", container: "wav", bits: "", rate_hz: "" });
const printed = newest("print"), reported = newest("report");

/** Once every change is in the plan on disk: the server prints what stands there. */
export async function print() {
  const { what, container, bits, rate_hz } = wish.value;
  const [kind, name] = what ? JSON.parse(what) : [];
  while (!settled()) await new Promise((done) => setTimeout(done, 20));
  await beginOnSong("print", { container, ...(bits && { bits }), ...(rate_hz && { rate_hz: Number(rate_hz) }), ...(kind && { [kind]: name }) });
}

export function Print() {
  const versions = plan.value?.version ?? [], passes = Object.keys(plan.value?.pass ?? {});
  return html`<form class="wish" onSubmit=${(/** @type {Event} */ event) => { event.preventDefault(); void print(); }}>
      <${Choice} name="what" label="what" options=${[["", "the song"],
        ...versions.map((/** @type {Json} */ one) => [JSON.stringify(["version", one.name]), one.name]),
        ...passes.map((name) => [JSON.stringify(["pass", name]), `pass ${name} alone`])]} />
      <${Choice} name="container" label="file" options=${[["wav", "WAV"], ["flac", "FLAC"], ["aiff", "AIFF"]]} />
      <${Choice} name="bits" label="word" options=${BITS} />
      <${Choice} name="rate_hz" label="rate" options=${[["", `the mix's, ${rateHz.value / 1000} kHz`],
        ...RATES_HZ.filter((hz) => hz !== rateHz.value).map((hz) => [String(hz), `${hz / 1000} kHz`])]} />
      <button disabled=${printed.value && isOpen(printed.value)}>print</button>
      <button type="button" disabled=${reported.value && isOpen(reported.value)} onClick=${() => void beginOnSong("report")}>make a report</button>
    </form>
    ${printed.value && html`<${Printed} job=${printed.value} />`}
    ${reported.value && html`<${Coming} job=${reported.value} />`}
    ${reported.value?.state === "done" && html`<p><${Open} job=${reported.value}>open the report<//> <${Take} job=${reported.value} /></p>`}`;
}

/** @param {{ name: "what" | "container" | "bits" | "rate_hz", label: string, options: string[][] }} props */
function Choice({ name, label, options }) {
  const set = (/** @type {any} */ event) => { wish.value = { ...wish.value, [name]: event.target.value }; };
  return html`<label>${label} <select value=${wish.value[name]} onChange=${set}>
    ${options.map(([value, text]) => html`<option value=${value}>${text}</option>`)}</select></label>`;
}

/** @param {{ job: Json }} props */
function Printed({ job }) {
  const made = job.result;
  if (!made) return html`<${Coming} job=${job} />`;
  const took = made.took;
  return html`<section aria-label="the last print">
    <h2>${made.out} <span class="soft">${made.bits} bit, ${made.rate_hz / 1000} kHz</span></h2>
    <dl class="figures">
      <div><dt>loudness</dt><dd>${level(made.integrated_lufs)} LUFS</dd></div>
      <div><dt>true peak</dt><dd>${level(made.true_peak_dbtp, 2)} dBTP</dd></div>
      <div><dt>limiter took at most</dt><dd class="took">${level(took.max_db)} dB</dd></div>
      <div><dt>at work</dt><dd>${percent(took.share)} of the time</dd></div>
    </dl>
    <${Warnings} warnings=${made.warnings} />
    <p><${Take} job=${job} /></p>
    <details><summary>what the limiter took, section by section</summary>
      <table><thead><tr><th scope="col">section</th><th scope="col">mean, dB</th><th scope="col">most, dB</th><th scope="col">share</th><th scope="col">of the step, LU</th></tr></thead>
      <tbody>${Object.entries(took.sections).map(([name, one]) => html`<tr><th scope="row">${name}</th>
        <td>${level(one.mean_db, 2)}</td><td>${level(one.max_db, 2)}</td><td>${percent(one.share)}</td><td>${change(one.step_db, 2)}</td></tr>`)}</tbody></table>
      <p class="soft">SHA-256 ${made.sha256}</p></details>
  </section>`;
}

/** @param {number} share */
const percent = (share) => (share > 0 && share < 0.005 ? "<1 %" : `${Math.round(100 * share)} %`);
