// @ts-check
// The panel at the side: one of several at a time.
import { h } from "../vendor/preact.js";
import { signal } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { addKeys } from "../keys.js";
import { Advice } from "./advice.js";
import { Print, print } from "./print.js";
import { Record } from "./record.js";
import { References } from "./references.js";
import { Revisions } from "./revisions.js";
import { Section } from "./section.js";

const html = htm.bind(h);

const PANELS = { section: Section, print: Print, revisions: Revisions, advice: Advice, records: References, release: Record };
/** @type {import("../vendor/signals.js").Signal<keyof PANELS>} */
export const panel = signal("section");

addKeys([
  { key: "Ctrl+p", does: "print the song", where: "changes", run: () => { panel.value = "print"; void print(); } },
  { key: "Ctrl+s", does: "keep this state, with a note", where: "changes", run: () => {
    panel.value = "revisions";
    setTimeout(() => document.getElementById("keep-note")?.focus());
  } },
]);

export function Side() {
  const Chosen = PANELS[panel.value];
  return html`<nav class="panels" aria-label="panels">${Object.keys(PANELS).map((name) => html`
      <button aria-pressed=${panel.value === name} onClick=${() => { panel.value = /** @type {keyof PANELS} */ (name); }}>${name}</button>`)}</nav>
    <div class="panel"><${Chosen} /></div>`;
}
