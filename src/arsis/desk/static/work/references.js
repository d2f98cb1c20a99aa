// @ts-check
// Records to compare with.
import { h } from "../vendor/preact.js";
import { signal } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { reach } from "../api.js";
import { level } from "../format.js";
import { readSounds, say, sounds, source, tried } from "../state.js";

const html = htm.bind(h);
/** @typedef {import("../state.js").Json} Json */

const ENDINGS = ".wav,.aif,.aiff,.flac,.ogg,.opus,.mp3,.m4a";
const MOST_MIB = 256;
const coming = signal("");

/** @param {any} event */
async function take(event) {
  const files = [...event.target.files];
  event.target.value = "";
  for (const file of files) {
    if (file.size > MOST_MIB * 2 ** 20) {
      say(`${file.name}: too large; allowed: up to ${MOST_MIB} MiB`, { must: true });
      continue;
    }
    coming.value = file.name;
    await tried(reach(`/api/references/${encodeURIComponent(file.name)}`, { method: "PUT", body: file }));
    coming.value = "";
  }
  await readSounds();
}

export function References() {
  const there = (sounds.value?.sounds ?? []).filter((/** @type {Json} */ one) => one.id.startsWith("reference:"));
  return html`<p><label>add records <input type="file" multiple accept=${ENDINGS} onChange=${take} /></label></p>
    <p role="status" class="soft">${coming.value && `${coming.value} is being read`}</p>
    ${there.length === 0 && html`<p class="soft">None yet. They stay in this release's folder “references”, and are heard at the loudness of the rest.</p>`}
    <ul class="rows">${there.map((/** @type {Json} */ one) => html`<li><span>${one.label}</span> <span class="soft">${one.lufs === null ? "" : `${level(one.lufs)} LUFS`}</span>
      <button aria-label=${`hear ${one.label}`} aria-pressed=${source.value === one.id} onClick=${() => { source.value = one.id; }}>hear it</button></li>`)}</ul>`;
}
