// @ts-check
// The overlay that lists every key.
import { h } from "./vendor/preact.js";
import { useRef, useEffect } from "./vendor/preact-hooks.js";
import { signal } from "./vendor/signals.js";
import htm from "./vendor/htm.js";
import { addKeys, keys } from "./keys.js";

const html = htm.bind(h);
const shown = signal(false);

const ARROWS = { Left: "←", Right: "→", Up: "↑", Down: "↓" };
/** A key as people write it. @param {string} key */
const written = (key) => key.replaceAll("+", " + ").replace(/Arrow(\w+)/, (_, way) => ARROWS[/** @type {keyof typeof ARROWS} */ (way)]);

export const showHelp = () => { shown.value = true; };

addKeys([{ key: "?", does: "this list", run: showHelp, where: "the page" }]);

export function Help() {
  const dialog = useRef(/** @type {HTMLDialogElement | null} */ (null));
  useEffect(() => { if (shown.value && !dialog.current?.open) dialog.current?.showModal(); }, [shown.value]);
  const listed = keys.value.filter((one) => one.does);
  const places = [...new Set(listed.map((one) => one.where ?? "the page"))];
  return html`<dialog ref=${dialog} aria-label="keys" onClose=${() => { shown.value = false; }}>
    <form method="dialog"><button autofocus class="end">close</button><h2>Keys</h2>
      ${places.map((place) => html`<section><h3>${place}</h3><dl class="keys">
        ${listed.filter((one) => (one.where ?? "the page") === place).map((one) => html`<div><dt><kbd>${written(one.key)}</kbd></dt><dd>${one.does}</dd></div>`)}
      </dl></section>`)}</form>
  </dialog>`;
}
