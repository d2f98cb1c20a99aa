// @ts-check
// The chain of the chosen pass, or the finish: a line for each processor, with inputs made from the declarations.
import { h } from "../vendor/preact.js";
import { useEffect, useRef, useState } from "../vendor/preact-hooks.js";
import { signal } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { ask } from "../api.js";
import { addKeys } from "../keys.js";
import { choose, chosen, edit, plan, tried } from "../state.js";
import { begin, chain, drop, held, linksOf, owner, setLink } from "./change.js";
import { Field, Text } from "./field.js";
import { Finish } from "./finish.js";
import { Response } from "./response.js";

const html = htm.bind(h);

/** @typedef {import("./change.js").Link} Link
 * @typedef {{ kind: string, name: string, about: string, keys: import("./scale.js").Spec[] }} Kind */

/** @type {import("../vendor/signals.js").Signal<any>} */
const declared = signal(null);

addKeys([
  { key: "x", does: "bypass the chosen processor, or let it work again", where: "the chain", run: () => {
    const place = chosen.value.link;
    if (place !== null && chain.value[place]) set(place, "bypass", !chain.value[place].bypass, true);
  } },
  { key: "h", does: "the finish, or back to the pass", where: "the chain", run: turn },
]);

export function Chain() {
  useEffect(() => { void tried(ask("/api/declarations")).then((got) => { declared.value = got; }); }, []);
  const of = owner.value;
  if (!plan.value || !declared.value) return null;
  if (of === undefined) return html`<p class="soft">Choose a pass, or the finish, to see what it does.</p>`;
  const printed = of === null ? null : plan.value.pass[of].print;
  return html`<div class="chain">
    <${Head} of=${of} />
    <${Response} />
    <div class="links">
      ${printed ? html`<p>Printed elsewhere: ${printed}</p>` : html`<ol>${chain.value.map((one, place) => html`<${Line} one=${one} place=${place} />`)}</ol>
        ${!chain.value.length && html`<p class="soft">${of === null ? "No processors." : "Left alone: no processors."}</p>`}`}
      ${!printed && html`<${Add} of=${of} />`}
      ${of === null && html`<${Finish} declared=${declared.value} />`}
    </div>
  </div>`;
}

let before = ""; // the pass that was open before the finish

/** From a pass to the finish, and back. */
function turn() {
  choose({ pass: owner.value === null ? before : null });
}

/** @param {{ of: string | null }} props */
function Head({ of }) {
  if (of === null) {
    return html`<header><h2>the finish</h2><span class="soft">what every section shares after the joins</span>
      ${before in plan.value.pass && html`<button onClick=${turn}>pass ${before}</button>`}</header>`;
  }
  before = of;
  const used = plan.value.section.filter((/** @type {any} */ one) => one.pass === of).length;
  const note = plan.value.pass[of].note;
  return html`<header><h2>pass ${of}</h2>
    <label class="note">note <${Text} key=${of} value=${note} keep=${(/** @type {string} */ text) => void edit("set_pass_note", { name: of, note: text })} /></label>
    <span class="soft">${used === 1 ? "1 section" : `${used} sections`}</span>
    <button onClick=${turn}>the finish</button></header>`;
}

/** @param {number} place @param {string} key @param {any} value @param {boolean} last */
function set(place, key, value, last) {
  const of = owner.value;
  if (of === undefined) return;
  const table = { ...chain.value[place], [key]: value };
  const kind = kindOf(table);
  const name = kind.keys.find((one) => one.key === key)?.name ?? key;
  setLink({ owner: of, place }, table, `${of === null ? "finish" : `pass ${of}`}: ${kind.name}, ${name}`, last);
}

/** @param {Link} link @returns {Kind} */
function kindOf(link) {
  return declared.value.processors.find((/** @type {Kind} */ one) => one.kind === link.kind);
}

let pointing = false; // a line opens when the pointer lets go: what it points at must not move away under it

/** @param {{ one: Link, place: number }} props */
function Line({ one, place }) {
  const kind = kindOf(one);
  const open = chosen.value.link === place;
  const id = (/** @type {string} */ key) => `link-${place}-${key}`;
  // Words that say what everyone expects wait until the link is opened.
  const rest = kind.keys.filter((spec) => spec.key !== "bypass" && (open || spec.type !== "word" || one[spec.key] !== spec.default));
  const bypass = kind.keys.find((spec) => spec.key === "bypass");
  const at = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => { if (open) at.current?.scrollIntoView({ block: "nearest" }); }, [open]);
  const take = () => { pointing = false; if (!open) choose({ link: place }); };
  const here = { owner: owner.value, place, was: linksOf(owner.value ?? null)[place] };
  return html`<li ref=${at} class="${open ? "open" : ""} ${one.bypass ? "bypassed" : ""}"><fieldset onPointerDown=${() => { pointing = true; }} onFocusIn=${() => { if (!pointing) take(); }} onClick=${take}>
    <legend class="words-only">${place + 1}: ${kind.name}${one.bypass ? ", bypassed" : ""}</legend>
    <button class="name" id=${id("name")} aria-pressed=${open} title=${kind.about}>${kind.name}</button>
    ${bypass && html`<${Field} id=${id("bypass")} spec=${bypass} value=${one.bypass} set=${(/** @type {any} */ value) => { begin(); set(place, "bypass", value, true); }} />`}
    <div class="fields">${rest.map((spec) => html`<${Field} key=${`${kind.kind}-${spec.key}`} id=${id(spec.key)} spec=${spec} value=${one[spec.key]} open=${open}
      see=${(/** @type {any} */ value) => { held.value = { what: "link", owner: owner.value ?? null, place, table: { ...one, [spec.key]: value } }; }}
      set=${(/** @type {any} */ value, /** @type {boolean} */ last) => set(place, spec.key, value, last)} begin=${begin} drop=${drop} />`)}</div>
    <span class="order">
      <button id=${id("up")} aria-label="${kind.name} earlier" title="earlier" disabled=${place === 0} onClick=${() => void move(here, -1)}>↑</button>
      <button id=${id("down")} aria-label="${kind.name} later" title="later" disabled=${place === chain.value.length - 1} onClick=${() => void move(here, 1)}>↓</button>
      <button aria-label="remove ${kind.name}" title="remove" onClick=${() => void remove(here)}>×</button>
    </span></fieldset></li>`;
}

/** @param {any} link @param {number} by */
async function move(link, by) {
  if (!(await edit("move_processor", { ...link, to: link.place + by }))) return;
  choose({ link: link.place + by });
  focus(`link-${link.place + by}-${by < 0 ? "up" : "down"}`, `link-${link.place + by}-${by < 0 ? "down" : "up"}`);
}

/** @param {any} link */
async function remove(link) {
  if (!(await edit("remove_processor", link))) return;
  choose({ link: null });
  focus(`link-${link.place}-name`, `link-${link.place - 1}-name`, "add-kind");
}

/** Puts the focus on the first of these that takes it, once the page shows them. @param {...string} ids */
function focus(...ids) {
  requestAnimationFrame(() => {
    const there = ids.map((id) => /** @type {HTMLButtonElement | null} */ (document.getElementById(id)));
    there.find((one) => one && !one.disabled)?.focus();
  });
}

/** @param {{ of: string | null }} props */
function Add({ of }) {
  const [kind, setKind] = useState("bell");
  const add = async () => {
    const { keys } = declared.value.processors.find((/** @type {Kind} */ one) => one.kind === kind);
    const place = chosen.value.link === null ? chain.value.length : chosen.value.link + 1;
    const processor = { kind, ...Object.fromEntries(keys.map((/** @type {any} */ spec) => [spec.key, spec.start])) };
    if (!(await edit("add_processor", { owner: of, processor, place }))) return;
    choose({ link: place });
    focus(`link-${place}-${keys[0].key}`);
  };
  return html`<p class="add"><label for="add-kind">new</label>${" "}
    <select id="add-kind" value=${kind} onChange=${(/** @type {any} */ event) => setKind(event.target.value)}>
      ${declared.value.processors.map((/** @type {Kind} */ one) => html`<option value=${one.kind} title=${one.about}>${one.name}</option>`)}
    </select>${" "}
    <button onClick=${add}>put in</button></p>`;
}
