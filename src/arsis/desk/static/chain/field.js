// @ts-check
// One setting as native inputs, made from its declaration.
import { h } from "../vendor/preact.js";
import { useRef, useState } from "../vendor/preact-hooks.js";
import htm from "../vendor/htm.js";
import { say } from "../state.js";
import { misfit, shown, spoken, step, way } from "./scale.js";

const html = htm.bind(h);

/** @typedef {import("./scale.js").Spec} Spec
 * @typedef {(value: any, last: boolean) => void} Set  last: the hand has let go.
 * @typedef {{ spec: Spec, value: any, id: string, open?: boolean, set: Set, see?: (value: any) => void, begin?: () => void, drop?: () => void }} Props
 * open: with a slider. see: what is being typed, not to be sent yet. begin: a hand takes hold of it. drop: what was typed is not meant. */

/** @param {Props} props */
export function Field(props) {
  const { spec, id } = props;
  return html`<div class="field ${spec.type}">
    <label for=${id}>${spec.name}</label>
    ${spec.type === "word" ? html`<${Choice} ...${props} />` : spec.type === "yes_no" ? html`<${Tick} ...${props} />` : html`<${Amount} ...${props} />`}
  </div>`;
}

/** @param {Props} props */
function Choice({ spec, value, id, set }) {
  return html`<select id=${id} title=${spec.about} value=${value} onChange=${(/** @type {any} */ event) => set(event.target.value, true)}>
    ${spec.words.map((word) => html`<option value=${word}>${word.replaceAll("_", " ")}</option>`)}
  </select>`;
}

/** @param {Props} props */
function Tick({ spec, value, id, set }) {
  return html`<input type="checkbox" id=${id} title=${spec.about} checked=${value} onChange=${() => set(!value, true)} />`;
}

/** The slider's way, which grows where a value lies outside, and never under a hand that moves it.
 * @param {Spec} spec @param {number} value @param {boolean | undefined} open */
function useWay(spec, value, open) {
  const kept = useRef(/** @type {import("./scale.js").Way | null} */ (null));
  if (!open) kept.current = null;
  else if (!kept.current || value < kept.current.low || value > kept.current.high) kept.current = way(spec, value);
  return kept.current;
}

/** @param {Props} props */
function Amount({ spec, value, id, open, set, see, begin, drop }) {
  const [typed, setTyped] = useState(/** @type {string | null} */ (null));
  const along = useWay(spec, value, open);
  const meant = useRef(true); // what is held: not while it is being typed
  const type = (/** @type {any} */ event) => {
    meant.current = false;
    setTyped(event.target.value);
    if (!misfit(spec, event.target.valueAsNumber)) see?.(event.target.valueAsNumber);
  };
  const forget = () => {
    setTyped(null);
    if (!meant.current) drop?.();
    meant.current = true;
  };
  const enter = (/** @type {any} */ event) => {
    const wrong = misfit(spec, event.target.valueAsNumber);
    meant.current = !wrong;
    forget();
    if (wrong) say(`${wrong} is allowed`, { once: id });
    else set(event.target.valueAsNumber, true);
  };
  return html`<span class="amount">
      <input type="number" id=${id} title=${spec.about} min=${spec.low} max=${spec.high} step=${step(spec)} value=${typed ?? shown(value)}
        onInput=${type} onChange=${enter} onBlur=${forget} onKeyDown=${(/** @type {any} */ event) => { if (event.key === "Escape") forget(); }} />
      <span class="unit">${spec.unit}</span></span>
    ${along && html`<input type="range" aria-label="${spec.name}, slider" aria-valuetext=${spoken(spec, value)}
      min=${along.min} max=${along.max} step=${along.step} value=${along.place(value)} onPointerDown=${begin}
      onInput=${(/** @type {any} */ event) => set(along.value(event.target.valueAsNumber), false)}
      onChange=${(/** @type {any} */ event) => set(along.value(event.target.valueAsNumber), true)} />`}`;
}

/** A line of text that is kept when it is left or entered. @param {{ value: string, keep: (text: string) => void }} props */
export function Text({ value, keep }) {
  const [typed, setTyped] = useState(/** @type {string | null} */ (null));
  return html`<input type="text" value=${typed ?? value} onInput=${(/** @type {any} */ event) => setTyped(event.target.value)}
    onBlur=${() => setTyped(null)} onChange=${(/** @type {any} */ event) => { setTyped(null); keep(event.target.value); }}
    onKeyDown=${(/** @type {any} */ event) => { if (event.key === "Escape") setTyped(null); }} />`;
}
