// @ts-check
// The head of the page: the release, its songs, undo and redo.
import { h } from "./vendor/preact.js";
import htm from "./vendor/htm.js";
import { addKeys } from "./keys.js";
import { showHelp } from "./help.js";
import { connected, doc, openSong, redo, release, songId, undo } from "./state.js";

const html = htm.bind(h);

addKeys([
  { key: "Ctrl+z", does: "take the last change back", run: () => void undo(), where: "changes" },
  { key: "Ctrl+Shift+z", does: "make it again", run: () => void redo(), where: "changes" },
]);

export function Head() {
  const songs = release.value?.songs ?? [];
  return html`<header>
    <h1>${release.value?.title ?? ""}</h1>
    <span class="soft">${release.value?.artist ?? ""}</span>
    <label>song ${" "}
      <select value=${songId} onChange=${(/** @type {any} */ event) => void openSong(event.target.value)}>
        ${songs.map((/** @type {any} */ one, /** @type {number} */ i) => html`<option value=${one.id}>${i + 1}. ${one.title}</option>`)}
      </select>
    </label>
    <span class="end">
      <span role="status" class="soft">${connected.value ? "" : "the server is not there; nothing is lost, the plan is on disk"}</span>
      <button disabled=${!doc.value?.undo} title=${doc.value?.undo ?? ""} onClick=${() => void undo()}>take back</button>
      <button disabled=${!doc.value?.redo} title=${doc.value?.redo ?? ""} onClick=${() => void redo()}>make again</button>
      <button onClick=${showHelp}>keys</button>
    </span>
  </header>`;
}
