// @ts-check
// The chosen section in figures: of the mix, of the print, and the step into it.
import { h } from "../vendor/preact.js";
import htm from "../vendor/htm.js";
import { change, level, time } from "../format.js";
import { chosen, doc, sections, shape } from "../state.js";

const html = htm.bind(h);
/** @typedef {import("../state.js").Json} Json */

const FIGURES = [["loudness_lufs", "loudness, LUFS"], ["max_short_term_lufs", "loudest 3 s, LUFS"], ["true_peak_dbtp", "true peak, dBTP"],
  ["crest_db", "crest, dB"], ["attack_db", "attack, dB"], ["width_db", "width, dB"], ["correlation", "correlation"]];
const BANDS = [["low", "low"], ["low_mid", "low mid"], ["mid", "mid"], ["presence", "presence"], ["air", "air"]];

// Less is not worth a word.
const LEAST_TAKEN = 0.05;

export function Section() {
  const one = sections.value.find((/** @type {Json} */ one) => one.name === chosen.value.section);
  if (!one) return html`<p class="soft">Choose a section to see its figures.</p>`;
  const found = shape.value?.sections?.find((/** @type {Json} */ entry) => entry.name === one.name);
  const stale = shape.value && shape.value.version !== doc.value?.version;
  return html`<h2>${one.name} <span class="soft">${one.kind.replace("_", " ")}, ${time(one.start_s)} to ${time(one.end_s)}, pass ${one.pass}</span></h2>
    ${!found && html`<p class="soft">Being measured.</p>`}
    ${found && html`${stale && html`<p class="soft">Of the plan before the last change; it is being measured anew.</p>`}
      ${found.step_mix_lu !== null && html`<p>The step into it: mix ${change(found.step_mix_lu)} LU, asked ${change(found.step_asked_db)} dB, print ${change(found.step_print_lu)} LU${found.took.step_db >= LEAST_TAKEN && html`; <span class="took">the limiter took ${level(found.took.step_db)} dB of it</span>`}</p>`}
      ${found.took.max_db < LEAST_TAKEN ? html`<p class="soft">Nothing was limited.</p>`
        : html`<p class="took">The limiter took ${level(found.took.mean_db, 2)} dB on the mean, ${level(found.took.max_db, 2)} dB at most.</p>`}
      <table><thead><tr><td></td><th scope="col">mix</th><th scope="col">print</th><th scope="col">change</th></tr></thead>
        <tbody>${FIGURES.map(([key, name]) => html`<${Row} name=${name} mix=${found.mix[key]} print=${found.print[key]} places=${key === "correlation" ? 2 : 1} />`)}
          ${BANDS.map(([key, name]) => html`<${Row} name=${`${name}, dB`} mix=${found.mix.bands_db[key]} print=${found.print.bands_db[key]} places=${1} />`)}</tbody></table>
      <p class="soft">Bands: against the section’s own level.</p>`}`;
}

/** @param {{ name: string, mix: number | null, print: number | null, places: number }} props */
function Row({ name, mix, print, places }) {
  const by = mix === null || print === null || mix === undefined || print === undefined ? null : print - mix;
  return html`<tr><th scope="row">${name}</th><td>${level(mix, places)}</td><td>${level(print, places)}</td><td>${change(by, places)}</td></tr>`;
}
