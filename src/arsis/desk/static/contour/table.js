// @ts-check
// The contour as a table: always there for those who read it so, and to be shown to everybody.
import { h } from "../vendor/preact.js";
import htm from "../vendor/htm.js";
import { change, level, time } from "../format.js";
import { joinInto } from "./scene.js";
import { allFigures, shownSections, tableShown } from "./stage.js";

const html = htm.bind(h);
const HEADS = ["from", "to", "kind", "pass", "ride, dB", "mix, LUFS", "print, LUFS", "step in the mix, LU", "step that arrived, LU", "asked, dB", "took of the step, LU", "limiter at most, dB", "fade into it, ms"];

/** @param {any} before @param {any} section */
function entered(before, section) {
  const join = joinInto(before, section);
  return join ? `${join.fade_ms}, done ${join.lead_ms} before` : "–";
}

export function Table() {
  const sections = shownSections.value;
  return html`<div class=${tableShown.value ? "contour-table" : "words-only"} tabindex=${tableShown.value ? 0 : undefined}>
    <table><caption class="words-only">the contour of the song, section by section</caption>
      <thead><tr><th scope="col" class="words">section</th>${HEADS.map((head) => html`<th scope="col">${head}</th>`)}</tr></thead>
      <tbody>${sections.map((/** @type {any} */ one, /** @type {number} */ i) => {
        const of = allFigures.value[i];
        const cells = [time(one.start_s, 2), time(one.end_s, 2), one.kind.replace("_", "-"), one.pass, change(one.ride_db ?? 0), level(of.mix_lufs), level(of.print_lufs),
          change(of.step_mix_lu), change(of.step_lu), change(of.asked_db), level(of.took_db), level(of.took_most_db), entered(sections[i - 1], one)];
        return html`<tr><th scope="row" class="words">${one.name}</th>${cells.map((text) => html`<td>${text}</td>`)}</tr>`;
      })}</tbody></table></div>`;
}
