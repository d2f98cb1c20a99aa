// @ts-check
// What is done to the chosen section, by button or by key.
import { effect, signal } from "../vendor/signals.js";
import { addKeys } from "../keys.js";
import { choose, chosen, edit, playhead, rateHz, say, sections, settled, view } from "../state.js";
import { takeCleanJoin } from "./clean_join.js";
import { USUAL_JOIN } from "./scene.js";
import { moved } from "./sight.js";
import { length_s, look, passes } from "./stage.js";

/** The section whose name is being written. */
export const renaming = signal(/** @type {string | null} */ (null));

export const placeOf = (/** @type {string | null} */ name) => sections.value.findIndex((/** @type {any} */ one) => one.name === name);
/** The chosen section with its place, null where none is. */
export const theChosen = () => sections.value[placeOf(chosen.value.section)] ?? null;

// A section that is gone, by an undo or by hand, leaves the choice to the one in its place.
let lastPlace = 0;
effect(() => {
  const place = placeOf(chosen.value.section), { length } = sections.value;
  if (place >= 0) lastPlace = place;
  else if (length) choose({ section: sections.value[Math.min(lastPlace, length - 1)].name });
});

/** Chooses a section and its pass, and brings it into sight. @param {number} place */
export function chooseAt(place) {
  const one = sections.value[Math.min(Math.max(place, 0), sections.value.length - 1)];
  if (!one) return;
  choose({ section: one.name, pass: one.pass });
  const span = view.value.to_s - view.value.from_s;
  if (one.start_s < view.value.from_s || one.start_s >= view.value.to_s) look(moved(view.value, one.start_s - view.value.from_s - 0.1 * span, length_s.value));
}

/** A name that no section has: "verse 2" after "verse 1". @param {string} name @param {string[]} taken */
export function nextName(name, taken) {
  const [, stem, number] = /** @type {RegExpMatchArray} */ (name.match(/^(.*?)\s*(\d*)$/));
  let n = number ? Number(number) + 1 : 2;
  while (taken.includes(`${stem} ${n}`)) n++;
  return `${stem} ${n}`;
}

export async function splitAtPlayhead() {
  const at_s = playhead.value / rateHz.value;
  const there = sections.value.find((/** @type {any} */ one) => one.start_s < at_s && at_s < one.end_s);
  if (!there) return say("the playhead stands at the edge of a section: put it where the section is to be split");
  const name = nextName(there.name, sections.value.map((/** @type {any} */ one) => one.name));
  if (await edit("split", { at_s, name }, { label: `split ${there.name}` })) choose({ section: name, pass: there.pass });
}

/** @param {number} place */
export async function merge(place) {
  if (place < 1) return say("the first section has none before it");
  const [before, one] = [sections.value[place - 1], sections.value[place]];
  if (await edit("merge", { name: one.name }, { label: `merge ${one.name} into ${before.name}` })) choose({ section: before.name, pass: before.pass });
}

/** @param {string} name @param {string} to */
export async function rename(name, to) {
  renaming.value = null;
  if (!to.trim() || to === name) return;
  const mine = chosen.value.section === name;
  if ((await edit("rename", { name, to: to.trim() }, { label: `rename ${name}` })) && mine) choose({ section: to.trim() });
}

/** @param {string} name @param {string} pass_name */
export async function assign(name, pass_name) {
  if (await edit("assign", { name, pass_name }, { label: `${name} to pass ${pass_name}` })) choose({ section: name, pass: pass_name });
}

let askedJoin = { name: "", join: USUAL_JOIN };

/** Changes one thing of how a section is entered, on top of what is on its way already.
 * @param {{ name: string, join: typeof USUAL_JOIN | null }} one @param {Partial<typeof USUAL_JOIN>} change */
export function setJoin(one, change) {
  const from = settled() || askedJoin.name !== one.name ? one.join : askedJoin.join;
  askedJoin = { name: one.name, join: { ...USUAL_JOIN, ...from, ...change } };
  return edit("set_join", askedJoin, { label: `the join into ${one.name}` });
}

/** @param {number} by_db */
function nudgeRide(by_db) {
  const one = theChosen();
  if (!one) return;
  const from_db = settled() || asked.name !== one.name ? one.ride_db : asked.ride_db;
  asked = { name: one.name, ride_db: Math.min(Math.max(Math.round((from_db + by_db) * 100) / 100, -24), 12) };
  void edit("set_ride", asked, { gesture: `ride of ${one.name}`, label: `the ride of ${one.name}` });
}
let asked = { name: "", ride_db: 0 };

/** @param {1 | -1} way */
function turnPass(way) {
  const one = theChosen(), all = passes.value;
  if (one && all.length > 1) void assign(one.name, all[(all.indexOf(one.pass) + way + all.length) % all.length]);
}

const where = "sections";
addKeys([
  { key: "ArrowLeft", does: "choose the section before", run: () => chooseAt(placeOf(chosen.value.section) - 1), where },
  { key: "ArrowRight", does: "choose the next section", run: () => chooseAt(placeOf(chosen.value.section) + 1), where },
  { key: "/", does: "split the section at the playhead", run: () => void splitAtPlayhead(), where },
  { key: "&", does: "merge the section with the one before", run: () => void merge(placeOf(chosen.value.section)), where },
  { key: "r", does: "rename the section", run: () => { renaming.value = chosen.value.section; }, where },
  { key: "a", does: "give the section to the next pass", run: () => turnPass(1), where },
  { key: "Shift+a", does: "give the section to the pass before", run: () => turnPass(-1), where },
  { key: "Shift+ArrowUp", does: "the section's ride 0.1 dB up", run: () => nudgeRide(0.1), where },
  { key: "Shift+ArrowDown", does: "the section's ride 0.1 dB down", run: () => nudgeRide(-0.1), where },
  { key: "c", does: "take the clean join of the riser in hand", run: () => void takeCleanJoin(), where },
]);
