// @ts-check
// What the page has to tell: a quiet list, and each thing that people have to know said once, with what can be done.
import { h } from "../vendor/preact.js";
import { effect, untracked } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { ask, hear, listen } from "../api.js";
import { connected, doc, notices, openSong, release, say, songId, takeSide, tried, unsay } from "../state.js";

const html = htm.bind(h);
/** @typedef {import("../state.js").Json} Json */
const GONE_MS = 1500;

/** @param {string} id */
const planOf = (id) => release.value?.songs.find((/** @type {Json} */ one) => one.id === id)?.plan ?? "the plan";

/** @param {string} name */
function settle(name) {
  notices.value = notices.value.filter((one) => one.once !== name);
}

// A hand edit of the plan's file met an edit of the page.
effect(() => {
  const clash = doc.value?.clash;
  untracked(() => {
    if (!clash) return settle("clash");
    say(`The plan's file was changed by hand at the same time: ${clash.told.join("; ")}. Both are kept as steps; the page's stands on top.`, {
      must: true, once: "clash",
      choices: [{ label: "keep the page's", run: () => void takeSide("desk") }, { label: "take the file's", run: () => void takeSide("disk") }],
    });
  });
});

// The plan's file cannot be read as it is.
effect(() => {
  const faults = doc.value?.fault, file = planOf(songId.value);
  untracked(() => {
    if (!faults) return settle("fault");
    const told = faults.map((/** @type {Json} */ one) => `${file}${one.line ? `:${one.line}` : ""}: ${one.key}: found ${one.found}; allowed: ${one.allowed}`);
    say(`${told.join("\n")}\nThe desk keeps to the last good plan. Nothing can be changed here until the file is mended.`, {
      must: true, once: "fault", choices: [{ label: "write the desk's plan over it", run: () => void takeSide("desk") }],
    });
  });
});

// What a choice did, where there is more to say.
effect(() => {
  const said = doc.value?.said;
  if (said) untracked(() => say(said));
});

// The mix is another file now.
hear("mix", (news) => {
  if (news.song !== songId.value) return;
  say(`${news.told}. What is heard and shown is still of the file as it was.`, { must: true, once: "mix", choices: [{ label: "read it anew", run: () => void reopen() }] });
});

async function reopen() {
  const id = songId.value;
  if ((await tried(ask(`/api/songs/${encodeURIComponent(id)}/reopen`, {}))) && id === songId.value) await openSong(id);
}

hear("notice", (news) => { if (!news.song || news.song === songId.value) say(news.told ?? news.text, { must: true }); });

// The server has gone, or knows this page no more.
let waiting = 0;
hear("gone", () => { waiting ||= setTimeout(() => { waiting = 0; void lookForServer(); }, GONE_MS); });
hear("hello", () => {
  clearTimeout(waiting);
  waiting = 0;
  if (notices.value.some((one) => one.once === "gone")) say("The server is there again; the page shows the plan as it is on disk.", { once: "gone" });
});

async function lookForServer() {
  if (connected.value || document.hidden) return;
  const status = await fetch("/api/release").then((answer) => answer.status, () => 0);
  const text = status === 403
    ? "The server was started anew and does not know this page. Every change is in the plan on disk: open the address that it printed."
    : "The server is not there. Every change that was taken is in the plan on disk; the page comes back when the server does.";
  if (notices.value.find((one) => one.once === "gone")?.text !== text) say(text, { must: true, once: "gone" });
  if (status) listen(); // a stream that was refused does not come back by itself
}

export function Notices() {
  return html`<div class="notices" role="log" aria-label="notices">${notices.value.map((one) => html`<div key=${one.id} class=${one.must ? "notice must" : "notice"}>
    <p>${one.text}</p>
    <div class="row">${one.choices.map((/** @type {Json} */ choice) => html`<button onClick=${() => { unsay(one.id); choice.run(); }}>${choice.label}</button>`)}
      <button aria-label=${`put away: ${one.text.slice(0, 40)}`} onClick=${() => unsay(one.id)}>${one.choices.length ? "later" : "put away"}</button></div></div>`)}</div>`;
}
