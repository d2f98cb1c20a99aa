// @ts-check
// A row for each pass on the time axis of the contour: where it is used, and where it could be.
import { h } from "../vendor/preact.js";
import { useEffect, useRef } from "../vendor/preact-hooks.js";
import { signal } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { choose, chosen, edit, finishChosen, plan } from "../state.js";
import { PATTERNS } from "./patterns.js";
import { assign } from "./section_edits.js";
import { across, passes, scene, shownSections } from "./stage.js";

const html = htm.bind(h);
const renamed = signal(/** @type {string | null} */ (null));

/** The first letter that no pass has. @param {string[]} taken */
export function freeLetter(taken) {
  const letters = [..."ABCDEFGHIJKLMNOPQRSTUVWXYZ"];
  return letters.find((one) => !taken.includes(one)) ?? `A${taken.length}`;
}

/** @param {string | null} of the pass it starts as a copy of */
async function make(of) {
  const name = freeLetter(passes.value);
  const made = of ? await edit("copy_pass", { name: of, to: name }, { label: `pass ${name}, a copy of ${of}` }) : await edit("new_pass", { name }, { label: `pass ${name}` });
  if (made) choose({ pass: name });
}

/** @param {string} name */
async function remove(name) {
  if (await edit("remove_pass", { name }, { label: `pass ${name} taken away` })) choose({ pass: passes.value[0] ?? null });
}

/** @param {string} name @param {string} to */
async function rename(name, to) {
  renamed.value = null;
  if (!to.trim() || to === name) return;
  if (await edit("rename_pass", { name, to: to.trim() }, { label: `pass ${name} renamed` })) choose({ pass: to.trim() });
}

/** Left and right go along the row, up and down to the next one. @param {KeyboardEvent} event */
function walk(event) {
  const at = /** @type {HTMLElement} */ (event.target);
  const row = at.closest(".row");
  const along = { ArrowLeft: "previousElementSibling", ArrowRight: "nextElementSibling" }[event.key];
  const over = { ArrowUp: "previousElementSibling", ArrowDown: "nextElementSibling" }[event.key];
  if (event.shiftKey || event.altKey || event.ctrlKey || !row) return;
  const to = along ? /** @type {any} */ (at)[along] : over ? /** @type {any} */ (row)[over]?.querySelector(`[data-place="${at.dataset.place}"]`) : null;
  if (!along && !over) return;
  event.preventDefault();
  if (to?.matches?.(".stretch")) to.focus();
}

/** @param {{ name: string, place: number }} props */
function Row({ name, place }) {
  const { left, width } = across.value;
  const isChosen = chosen.value.pass === name && !finishChosen.value;
  const note = plan.value.pass[name].note;
  const used = shownSections.value.filter((/** @type {any} */ one) => one.pass === name).length;
  const row = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => { if (isChosen) row.current?.scrollIntoView({ block: "nearest" }); }, [isChosen]);
  return html`<div class="row" ref=${row} role="group" aria-label=${`pass ${name}`}>
    <div class="head" style=${{ width: `${left}px` }}>${renamed.value === name ? html`<${Field} name=${name} />` : html`
      <button aria-pressed=${isChosen} title=${note} onClick=${() => choose({ pass: name })} onDblClick=${() => { renamed.value = name; }}>
        <span class=${`swatch pattern-${place % PATTERNS}`} /><span class="words-only">pass ${" "}</span><b>${name}</b> <span class="note">${note}</span>
        <span class="words-only">, used by ${used} section${used === 1 ? "" : "s"}</span></button>`}</div>
    ${scene.value.plateaus.map((one) => {
      const section = shownSections.value[one.place], here = section.pass === name;
      const from = Math.max(one.left, left), to = Math.min(one.right, left + width);
      return html`<button key=${one.place} data-place=${one.place} class=${here ? `stretch used pattern-${place % PATTERNS}` : "stretch"} aria-pressed=${here}
        tabindex=${section.name === chosen.value.section ? 0 : -1} style=${{ left: `${from}px`, width: `${Math.max(to - from - 1, 2)}px` }}
        aria-label=${here ? `${section.name} uses pass ${name}` : `give ${section.name} to pass ${name}`} title=${here ? section.name : `give ${section.name} to pass ${name}`}
        onKeyDown=${walk} onClick=${() => (here ? choose({ section: section.name, pass: name }) : void assign(section.name, name))} />`;
    })}
  </div>`;
}

/** @param {{ name: string }} props */
function Field({ name }) {
  const field = useRef(/** @type {HTMLInputElement | null} */ (null));
  useEffect(() => field.current?.select(), []);
  const press = (/** @type {any} */ event) => {
    if (event.key === "Escape") event.target.value = name;
    if (event.key === "Enter" || event.key === "Escape") event.target.blur();
    event.stopPropagation();
  };
  return html`<input ref=${field} aria-label=${`name of pass ${name}`} value=${name} onKeyDown=${press} onBlur=${(/** @type {any} */ event) => void rename(name, event.target.value)} />`;
}

export function Passes() {
  return html`<div class="passes" role="group" aria-label="passes">${passes.value.map((name, i) => html`<${Row} key=${name} name=${name} place=${i} />`)}</div>`;
}

/** What can be done with passes, behind one button beside the time axis. */
export function PassDeeds() {
  const menu = useRef(/** @type {any} */ (null)), button = useRef(/** @type {any} */ (null));
  const name = chosen.value.pass;
  const users = shownSections.value.filter((/** @type {any} */ one) => one.pass === name).length;
  const deed = (/** @type {() => void} */ run) => () => { menu.current.hidePopover(); run(); };
  const beside = () => {
    const box = button.current.getBoundingClientRect();
    Object.assign(menu.current.style, { left: `${box.left}px`, bottom: `${innerHeight - box.top + 4}px` });
  };
  return html`<button ref=${button} popovertarget="pass-deeds" class="deeds" style=${{ top: `${scene.value.lanes.axis.bottom - 26}px` }} onClick=${beside}>passes …</button>
    <div id="pass-deeds" popover ref=${menu} role="group" aria-label="passes: new, rename, remove">
      <button onClick=${deed(() => void make(null))}>new pass, empty</button>
      ${name ? html`<button onClick=${deed(() => void make(name))}>new pass, a copy of ${name}</button>
      <button onClick=${deed(() => { renamed.value = name; })}>rename pass ${name}</button>
      <button disabled=${users > 0} onClick=${deed(() => void remove(name))}>remove pass ${name}${users ? " (it is used)" : ""}</button>` : null}
    </div>`;
}
