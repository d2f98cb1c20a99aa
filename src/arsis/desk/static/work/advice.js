// @ts-check
// What the evidence asks for, the least move that answers it, what the move will do; or: leave it.
import { h } from "../vendor/preact.js";
import htm from "../vendor/htm.js";
import { judging } from "../hearing/blind.js";
import { matchedOver } from "../hearing/levels.js";
import { here, setSectionLoop } from "../hearing/places.js";
import { play } from "../hearing/player.js";
import { moveSound } from "../hearing/sources.js";
import { dropMove, loop, playing, sections, settled, sounds, source } from "../state.js";
import { Coming, beginOnSong, isOpen, newest } from "./jobs.js";

const html = htm.bind(h);
/** @typedef {import("../state.js").Json} Json */

const heard = newest("advise"), taken = newest("apply");

async function listen() {
  while (!settled()) await new Promise((done) => setTimeout(done, 20));
  await beginOnSong("advise");
}

/** Whether a move is put aside. @param {Json} one */
const isDropped = (one) => sounds.value?.moves?.dropped.includes(one.id) ?? false;

export function Advice() {
  const job = heard.value, found = job?.result;
  const moves = (found?.advice ?? []).filter((/** @type {Json} */ one) => !isDropped(one));
  const dropped = (found?.advice ?? []).filter(isDropped);
  return html`<p><button disabled=${job && isOpen(job)} onClick=${() => void listen()}>listen to the print</button></p>
    ${job && html`<${Coming} job=${job} />`}
    ${taken.value && html`<${Taken} job=${taken.value} />`}
    ${found && html`<p>${found.advice.length === 0 ? "Leave it." : found.advice.length === 1 ? "One move." : `${found.advice.length} moves.`}
        ${sounds.value?.moves?.stand === false && html` <span class="soft">The plan or its mix has changed since.</span>`}</p>
      <ul class="advice">${moves.map((/** @type {Json} */ one) => html`<${Move} key=${one.id} one=${one} />`)}</ul>
      <${Dropped} moves=${dropped} />
      <${Said} title="the mix" told=${found.mix.map((/** @type {Json} */ one) => `${one.placed}. ${one.means}`)} />
      <${Said} title="for the mixer" told=${found.ask_mixer} />
      <${Said} title="left alone" told=${found.leave} />`}`;
}

/** @param {{ one: Json }} props */
function Move({ one }) {
  const busy = taken.value !== null && isOpen(taken.value);
  const levelled = source.value === moveSound(one.id) && one.move.ride_db !== null && matchedOver.value === "loop" && loop.value;
  return html`<li><p>${one.evidence.says} <span class="soft">sure: ${Math.round(100 * one.confidence)} %</span></p>
    <dl class="figures"><div><dt>move</dt><dd>${one.does}</dd></div><div><dt>then</dt><dd>${one.then}</dd></div><div><dt>cost</dt><dd>${one.cost}</dd></div>
      ${one.conflicts.map((/** @type {string} */ text) => html`<div><dt>mind</dt><dd>${text}</dd></div>`)}</dl>
    <div class="row"><${Hear} one=${one} />
      <button disabled=${busy} aria-label=${`take this move: ${one.move.says}`} onClick=${() => void beginOnSong("apply", { advice: one.id })}>take this move</button>
      <button aria-label=${`drop it: ${one.move.says}`} onClick=${() => void dropMove(one.id, true)}>drop it</button></div>
    ${levelled && html`<p class="soft">Matched over the loop, a ride cannot be heard: match over the song.</p>`}</li>`;
}

/** To and fro between the print and the print with a move, which is not in the plan. @param {{ one: Json }} props */
function Hear({ one }) {
  const id = moveSound(one.id), on = source.value === id;
  const there = sounds.value?.sounds.some((/** @type {Json} */ sound) => sound.id === id);
  if (sounds.value?.moves?.stand === false) return html`<span class="soft">of the plan as it was; listen again to hear it</span>`;
  return html`<button disabled=${!there || judging.value} aria-label=${`${on ? "hear the print without it" : "hear it"}: ${one.move.says}`}
      onClick=${() => (on ? void (source.value = "print") : hearMove(one))}>${on ? "hear the print" : "hear it"}</button>`;
}

/** Loops a section that the move concerns, unless one is looped already. @param {Json} one */
function hearMove(one) {
  const concerned = sections.value.filter((/** @type {Json} */ section) => one.sections.includes(section.name));
  const inside = concerned.find((/** @type {Json} */ section) => section.name === here.value?.name);
  if (!inside || !loop.value) setSectionLoop(inside ?? concerned[0]);
  source.value = moveSound(one.id);
  if (!playing.value) void play();
}

/** @param {{ moves: Json[] }} props */
function Dropped({ moves }) {
  return moves.length ? html`<details><summary>dropped (${moves.length})</summary><ul>${moves.map((one) => html`<li>${one.move.says} ${" "}
    <button aria-label=${`take up again: ${one.move.says}`} onClick=${() => void dropMove(one.id, false)}>take up again</button></li>`)}</ul></details>` : null;
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
