// @ts-check
// What comes after the finish's chain: its gain, the limiter, the dither.
import { h } from "../vendor/preact.js";
import htm from "../vendor/htm.js";
import { begin, drop, finish, held, setFinish, setLimiter } from "./change.js";
import { Field } from "./field.js";

const html = htm.bind(h);

/** @typedef {import("./scale.js").Spec} Spec */

/** @param {{ declared: any }} props */
export function Finish({ declared }) {
  const now = finish.value;
  const limiter = now.limiter;
  const own = (/** @type {string} */ key) => declared.finish.find((/** @type {Spec} */ one) => one.key === key);
  const fresh = () => Object.fromEntries(declared.limiter.map((/** @type {Spec} */ one) => [one.key, one.start]));
  return html`<ul>
    <${Group} name="gain" specs=${[own("gain_db")]} table=${now} what="finish" put=${(/** @type {any} */ keys, /** @type {string} */ name, /** @type {boolean} */ last) => setFinish(keys, `finish: ${name}`, last)} />
    <${Group} name="limiter" specs=${limiter ? declared.limiter : []} table=${limiter} what="limiter"
      put=${(/** @type {any} */ keys, /** @type {string} */ name, /** @type {boolean} */ last) => setLimiter({ ...limiter, ...keys }, `limiter: ${name}`, last)}>
      ${limiter ? html`<button onClick=${() => { begin(); setLimiter(null, "limiter taken out", true); }}>take out</button>`
        : html`<button onClick=${() => { begin(); setLimiter(fresh(), "limiter put in", true); }}>put in</button>`}
    </${Group}>
    <${Group} name="word" specs=${[own("dither"), own("share_limiter")]} table=${now} what="finish" put=${(/** @type {any} */ keys, /** @type {string} */ name) => { begin(); setFinish(keys, `finish: ${name}`, true); }} />
  </ul>`;
}

/** @param {{ name: string, specs: Spec[], table: any, what: "finish" | "limiter", put: (keys: any, name: string, last: boolean) => void, children?: any }} props */
function Group({ name, specs, table, what, put, children }) {
  return html`<li><fieldset><legend class="words-only">${name}</legend><span class="name">${name}</span>
    <div class="fields">${specs.map((spec) => html`<${Field} key=${spec.key} id=${`finish-${name}-${spec.key}`} spec=${spec} value=${table[spec.key]} open=${true}
      see=${(/** @type {any} */ value) => { held.value = { what, owner: null, place: 0, table: what === "limiter" ? { ...table, [spec.key]: value } : { [spec.key]: value } }; }}
      set=${(/** @type {any} */ value, /** @type {boolean} */ last) => put({ [spec.key]: value }, spec.name, last)} begin=${begin} drop=${drop} />`)}</div>
    ${children}</fieldset></li>`;
}
