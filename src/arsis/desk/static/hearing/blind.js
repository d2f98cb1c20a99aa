// @ts-check
// The blind comparison: sounds under letters, mixed anew for each trial, at matched loudness.
import { h } from "../vendor/preact.js";
import { batch, computed, effect, signal } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { loop, playhead, songId, sounds, source } from "../state.js";
import { matched, matchedOver } from "./levels.js";
import { chanceByGuessing, oddsInWords } from "./odds.js";
import { hidden, play, seek } from "./player.js";

const html = htm.bind(h);

export const LETTERS = ["X", "Y", "Z"];
const TRIALS = 10;

/** @typedef {{ ids: string[], asked: string, trials: number, answers: boolean[], from: number, before: string }} Blind
 * asked: the sound that has to be found. from: where each trial begins. before: the source chosen before. */

/** Null while nothing is compared blind. */
export const blind = signal(/** @type {Blind | null} */ (null));
export const setting = signal(false);
export const judging = computed(() => hidden.value !== null);

effect(() => {
  void songId.value;
  batch(() => {
    blind.value = hidden.value = null;
    setting.value = false;
  });
});

/** A number from 0 to `below`, each as likely as the others. @param {number} below */
function drawn(below) {
  const most = 2 ** 32 - (2 ** 32 % below);
  const draw = new Uint32Array(1);
  do crypto.getRandomValues(draw);
  while (draw[0] >= most);
  return draw[0] % below;
}

/** @param {string[]} ids */
function shuffled(ids) {
  const left = [...ids];
  return ids.map(() => left.splice(drawn(left.length), 1)[0]);
}

/** Mixes the letters anew and goes back to where the trials begin, so that nothing carries over from the last one.
 * @param {Blind} now */
function deal(now) {
  const ids = shuffled(now.ids);
  batch(() => {
    hidden.value = Object.fromEntries(ids.map((id, n) => [LETTERS[n], id]));
    source.value = LETTERS[0];
  });
  seek(now.from);
}

/** @param {string[]} ids @param {string} asked @param {number} trials */
export function begin(ids, asked, trials) {
  const now = { ids, asked, trials, answers: [], from: loop.value?.from ?? playhead.value, before: source.value };
  batch(() => {
    matched.value = true;
    if (loop.value) matchedOver.value = "loop";
    blind.value = now;
    setting.value = false;
  });
  deal(now);
  void play();
}

/** @param {string} letter that is taken for the sound asked for */
export function answer(letter) {
  const now = blind.value;
  if (!now || !hidden.value) return;
  const next = { ...now, answers: [...now.answers, hidden.value[letter] === now.asked] };
  blind.value = next;
  if (next.answers.length < next.trials) deal(next);
  else end();
}

/** Ends the trials; the result stays on show. */
export function end() {
  batch(() => {
    hidden.value = null;
    source.value = blind.value?.before ?? "print";
  });
}

/** What came of it, in words. @param {Blind} now */
export function result({ answers, trials, ids }) {
  const right = answers.filter(Boolean).length;
  if (!answers.length) return "Nothing was answered.";
  const chance = oddsInWords(chanceByGuessing(right, answers.length, ids.length));
  const early = answers.length < trials ? ` Ended after ${answers.length} of ${trials}: the odds hold only where the end was not chosen by ear.` : "";
  return `${right} of ${answers.length} right. By guessing alone one does as well or better: ${chance}.${early}`;
}

const labelOf = (/** @type {string} */ id) => sounds.value?.sounds.find((/** @type {any} */ one) => one.id === id)?.label ?? id;

function Setting() {
  const all = sounds.value?.sounds ?? [];
  const take = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    const form = new FormData(/** @type {HTMLFormElement} */ (event.target));
    const ids = [...new Set(["first", "second", "third"].map((name) => String(form.get(name) ?? "")).filter(Boolean))];
    if (ids.length > 1) begin(ids, ids[0], Math.min(100, Math.max(1, Number(form.get("trials")) || TRIALS)));
  };
  const choice = (/** @type {string} */ name, /** @type {string} */ label, /** @type {string} */ first, none = false) => html`
    <label>${label} ${" "}<select name=${name} defaultValue=${first}>
      ${none && html`<option value="">–</option>`}
      ${all.map((/** @type {any} */ one) => html`<option value=${one.id} selected=${one.id === first}>${one.label}</option>`)}</select></label>`;
  return html`<form class="row" onSubmit=${take} aria-label="blind comparison">
    ${choice("first", "find", "print")} ${choice("second", "against", "mix")} ${choice("third", "and", "", true)}
    <label>in <input type="number" name="trials" min="1" max="100" defaultValue=${TRIALS} /> trials</label>
    <button>begin</button>
    <button type="button" onClick=${() => { setting.value = false; }}>leave it</button>
  </form>`;
}

function Trial(/** @type {{ now: Blind }} */ { now }) {
  const letters = LETTERS.slice(0, now.ids.length);
  return html`<fieldset class="row sources"><legend class="words-only">hear, blind</legend>
      ${letters.map((letter) => html`<label><input type="radio" name="source" value=${letter} checked=${source.value === letter}
        onChange=${() => { source.value = letter; }} /> ${letter}</label>`)}
    </fieldset>
    <span>trial ${now.answers.length + 1} of ${now.trials}: which is ${labelOf(now.asked)}?</span>
    ${letters.map((letter) => html`<button onClick=${() => answer(letter)}>it is ${letter}</button>`)}
    <button onClick=${end}>end it here</button>`;
}

/** The row that takes the place of the sources while something is compared blind. */
export function Blind() {
  const now = blind.value;
  if (setting.value) return html`<${Setting} />`;
  if (!now) return null;
  if (judging.value) return html`<div class="row" role="group" aria-label="blind comparison"><${Trial} now=${now} /></div>`;
  return html`<div class="row"><span role="status">${result(now)}</span>
    <button onClick=${() => begin(now.ids, now.asked, now.trials)}>once more</button>
    <button onClick=${() => { blind.value = null; }}>done</button></div>`;
}
