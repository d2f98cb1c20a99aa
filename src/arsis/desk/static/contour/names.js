// @ts-check
// The names of the sections under their plateaus: choose one, or write another name in its place.
import { h } from "../vendor/preact.js";
import { useEffect, useRef } from "../vendor/preact-hooks.js";
import htm from "../vendor/htm.js";
import { level } from "../format.js";
import { choose, chosen } from "../state.js";
import { chooseAt, rename, renaming } from "./section_edits.js";
import { across, allFigures, scene, shownSections } from "./stage.js";

const html = htm.bind(h);
const GLYPH = 7, LEAST_FIELD = 110;

export const kindInWords = (/** @type {string} */ kind) => kind.replace("_", "-");

/** @param {import("./scene.js").Plateau} plateau */
function said(plateau) {
  const one = shownSections.value[plateau.place], lufs = allFigures.value[plateau.place].print_lufs;
  return [one.name, kindInWords(one.kind), `pass ${one.pass}`, lufs === null ? "" : `${level(lufs)} LUFS`].filter(Boolean).join(", ");
}

/** @param {KeyboardEvent} event @param {number} place */
function press(event, place) {
  const way = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
  if (event.key === "F2") renaming.value = shownSections.value[place].name;
  else if (way && !event.altKey && !event.shiftKey) {
    chooseAt(place + way);
    const lane = /** @type {HTMLElement} */ (event.currentTarget).parentElement;
    requestAnimationFrame(() => requestAnimationFrame(() => /** @type {HTMLElement} */ (lane?.querySelector("[aria-pressed=true]"))?.focus()));
  } else return;
  event.preventDefault();
}

/** @param {{ plateau: import("./scene.js").Plateau }} props */
function Name({ plateau }) {
  const { left, width } = across.value;
  const from = Math.max(plateau.left, left), room = Math.min(plateau.right, left + width) - from;
  const { name, pass } = shownSections.value[plateau.place];
  if (renaming.value === name) return html`<${Field} name=${name} left=${Math.min(from, left + width - LEAST_FIELD)} room=${Math.max(room, LEAST_FIELD)} />`;
  const isChosen = chosen.value.section === name;
  return html`<button class="name" aria-label=${said(plateau)} aria-pressed=${isChosen} title=${said(plateau)} tabindex=${isChosen ? 0 : -1}
    style=${{ left: `${from}px`, width: `${Math.max(room, 3)}px` }}
    onClick=${() => choose({ section: name, pass })} onDblClick=${() => { renaming.value = name; }}
    onKeyDown=${(/** @type {KeyboardEvent} */ event) => press(event, plateau.place)}>${GLYPH * name.length < room || room > 60 ? name : ""}</button>`;
}

/** @param {{ name: string, left: number, room: number }} props */
function Field({ name, left, room }) {
  const field = useRef(/** @type {HTMLInputElement | null} */ (null));
  useEffect(() => field.current?.select(), []);
  const press = (/** @type {any} */ event) => {
    if (event.key === "Enter") event.target.blur();
    if (event.key === "Escape") { event.target.value = name; event.target.blur(); }
    event.stopPropagation();
  };
  return html`<input class="name" ref=${field} aria-label=${`name of ${name}`} value=${name} style=${{ left: `${left}px`, width: `${room}px` }}
    onKeyDown=${press} onBlur=${(/** @type {any} */ event) => void rename(name, event.target.value)} />`;
}

export function Names() {
  const { lanes, plateaus } = scene.value;
  return html`<div class="names" role="group" aria-label="sections" style=${{ top: `${lanes.names.top}px` }}>
    ${plateaus.map((one) => html`<${Name} key=${one.place} plateau=${one} />`)}</div>`;
}
