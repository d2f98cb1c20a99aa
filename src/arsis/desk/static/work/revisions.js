// @ts-check
// Recall: states of the plan that are kept with a note, compared, heard, gone back to.
import { h } from "../vendor/preact.js";
import { signal } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { ask } from "../api.js";
import { doc, keep, restore, say, songId, sounds, source, tried } from "../state.js";

const html = htm.bind(h);
/** @typedef {import("../state.js").Json} Json */

const note = signal("");
/** What differs, in words, of which revision and from what. */
const told = signal(/** @type {{ version: number, song: string, number: number, to: string, words: string[] } | null} */ (null));

/** @param {number} number @param {number | "now"} other */
async function compare(number, other) {
  const song = songId.value, version = doc.value.version;
  const [a, b] = other === "now" ? [number, "now"] : [other, number];
  const got = await tried(ask(`/api/songs/${encodeURIComponent(song)}/revisions/${a}/diff?with=${b}`));
  if (got) told.value = { version, song, number, to: other === "now" ? "now" : `revision ${other}`, words: got.told };
}

/** @param {Event} event */
async function keepIt(event) {
  event.preventDefault();
  const before = doc.value.revisions.length;
  await keep(note.value);
  const after = doc.value.revisions.at(-1);
  if (doc.value.revisions.length === before && doc.value.kept_as) say(`nothing has changed since revision ${after.number}: ${after.note}`);
  else if (doc.value.revisions.length > before) note.value = "";
}

export function Revisions() {
  const kept = [...(doc.value?.revisions ?? [])].reverse();
  return html`<form class="wish" onSubmit=${keepIt}>
      <label class="wide">what this state is <input id="keep-note" required value=${note} onInput=${(/** @type {any} */ event) => { note.value = event.target.value; }} /></label>
      <button>keep it</button></form>
    ${doc.value?.revisions_fault && html`<p class="fault">${doc.value.revisions_fault}</p>`}
    ${kept.length === 0 && html`<p class="soft">No state is kept yet.</p>`}
    <ol class="revisions" reversed>${kept.map((one, i) => html`<${Revision} key=${one.number} one=${one} before=${kept[i + 1]} />`)}</ol>`;
}

/** @param {{ one: Json, before: Json | undefined }} props */
function Revision({ one, before }) {
  const sound = sounds.value?.sounds.find((/** @type {Json} */ sound) => sound.id === `revision:${one.number}`);
  const shown = told.value?.number === one.number && told.value.song === songId.value ? told.value : null;
  const name = `revision ${one.number}`;
  return html`<li value=${one.number}><strong>${one.note}</strong> <span class="soft">${one.date.replace("T", " ").replace(/:\d\dZ$/, "")} UTC${doc.value?.kept_as === one.number ? "; as it is now" : ""}</span>
    <div class="row">
      <button aria-label=${`what changed since ${name}`} onClick=${() => void compare(one.number, "now")}>changes since</button>
      ${before && html`<button aria-label=${`what changed from revision ${before.number} to ${name}`} onClick=${() => void compare(one.number, before.number)}>changes in it</button>`}
      ${sound && html`<button aria-label=${`hear ${name}`} aria-pressed=${source.value === sound.id} onClick=${() => { source.value = sound.id; }}>hear it</button>`}
      ${doc.value?.kept_as !== one.number && html`<button aria-label=${`go back to ${name}`} onClick=${() => void restore(one.number)}>go back to it</button>`}
    </div>
    <div role="status">${shown && html`<p class="soft">from ${shown.to === "now" ? `${name} to now` : `${shown.to} to ${name}`}${shown.to === "now" && shown.version !== doc.value?.version ? ", as it was then" : ""}:</p>
      <ul>${shown.words.length ? shown.words.map((text) => html`<li>${text}</li>`) : html`<li>nothing differs</li>`}</ul>`}</div></li>`;
}
