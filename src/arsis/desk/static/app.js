// @ts-check
// The page: its parts put together.
import { h, render } from "./vendor/preact.js";
import "./vendor/signals.js";
import htm from "./vendor/htm.js";
import { Head } from "./head.js";
import { Help } from "./help.js";
import { press } from "./keys.js";
import { start } from "./state.js";
import { Contour } from "./contour/view.js";
import { Hearing } from "./hearing/transport.js";
import { Chain } from "./chain/editor.js";
import { Side } from "./work/side.js";
import { Notices } from "./work/notices.js";

const html = htm.bind(h);

function Desk() {
  return html`<div id="desk">
    <${Head} />
    <main id="song" aria-label="the song"><${Contour} /></main>
    <section id="hear" aria-label="hearing"><${Hearing} /></section>
    <div id="below">
      <section id="chain" aria-label="the chosen pass"><${Chain} /></section>
      <aside id="side" aria-label="section, print and revisions"><${Side} /></aside>
    </div>
    <${Notices} />
    <${Help} />
  </div>`;
}

addEventListener("keydown", press);
// A wheel scrolls: a number that has the focus would be stepped by it.
addEventListener("wheel", () => { if (document.activeElement?.matches("input[type=number]")) /** @type {HTMLElement} */ (document.activeElement).blur(); }, { capture: true, passive: true });
render(html`<${Desk} />`, document.body);
void start();
