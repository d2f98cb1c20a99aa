// @ts-check
// What the evidence asks for, the least move that answers it, what the move will do; or: leave it.
import { h } from "../vendor/preact.js";
import htm from "../vendor/htm.js";
import { doc, settled } from "../state.js";
import { Coming, beginOnSong, isOpen, newest } from "./jobs.js";

const html = htm.bind(h);
/** @typedef {import("../state.js").Json} Json */

const heard = newest("advise"), taken = newest("apply");

/** The version of the plan that each was asked for, as far as this page knows. @type {Map<string, number>} */
const versions = new Map();

async function listen() {
  while (!settled()) await new Promise((done) => setTimeout(done, 20));
  const version = doc.value.version, job = await beginOnSong("advise");
  if (job) versions.set(job.id, version);
}

export function Advice() {
  const job = heard.value, found = job?.result;
  return html`<p><button disabled=${job && isOpen(job)} onClick=${() => void listen()}>listen to the print</button></p>
    ${job && html`<${Coming} job=${job} />`}
    ${taken.value && html`<${Taken} job=${taken.value} />`}
    ${found && html`<p>${found.advice.length === 0 ? "Leave it." : found.advice.length === 1 ? "One move." : `${found.advice.length} moves.`}
        ${(versions.get(job.id) ?? doc.value?.version) !== doc.value?.version && html` <span class="soft">The plan has changed since.</span>`}</p>
      <ul class="advice">${found.advice.map((/** @type {Json} */ one) => html`<${Move} key=${one.id} one=${one} />`)}</ul>
      <${Said} title="the mix" told=${found.mix.map((/** @type {Json} */ one) => `${one.placed}. ${one.means}`)} />
      <${Said} title="for the mixer" told=${found.ask_mixer} />
      <${Said} title="left alone" told=${found.leave} />`}`;
}

/** @param {{ one: Json }} props */
function Move({ one }) {
  const busy = taken.value !== null && isOpen(taken.value);
  return html`<li><p>${one.evidence.says} <span class="soft">sure: ${Math.round(100 * one.confidence)} %</span></p>
    <dl class="figures"><div><dt>move</dt><dd>${one.does}</dd></div><div><dt>then</dt><dd>${one.then}</dd></div><div><dt>cost</dt><dd>${one.cost}</dd></div>
      ${one.conflicts.map((/** @type {string} */ text) => html`<div><dt>mind</dt><dd>${text}</dd></div>`)}</dl>
    <button disabled=${busy} aria-label=${`take this move: ${one.move.says}`} onClick=${() => void beginOnSong("apply", { advice: one.id })}>take this move</button></li>`;
}

/** @param {{ job: Json }} props */
function Taken({ job }) {
  if (!job.result) return html`<${Coming} job=${job} />`;
  return html`<p>Put into the plan and kept as revision ${job.result.revision}: ${job.result.advice.move.says}. Revision ${job.result.before} is the plan before it.</p>`;
}

/** @param {{ title: string, told: string[] }} props */
function Said({ title, told }) {
  return told.length ? html`<details><summary>${title} (${told.length})</summary><ul>${told.map((text) => html`<li>${text}</li>`)}</ul></details>` : null;
}
