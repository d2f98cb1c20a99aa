// @ts-check
// Settings under a hand: what is seen at once, and what is sent of it.
import { computed, signal } from "../vendor/signals.js";
import { chosen, edit, finishChosen, plan } from "../state.js";

/** @typedef {{ kind: string, [key: string]: any }} Link
 * A link of a chain; owner null is the finish. @typedef {{ owner: string | null, place: number }} Target
 * What is under a hand, and what it would be. @typedef {{ what: "link" | "limiter" | "finish", owner: string | null, place: number, table: any }} Held
 * How it is sent. @typedef {{ name: string, args: any, label: string }} Sent */

const EVERY_MS = 80; // while a slider moves: each of them is written to the plan and rendered
const CALM_MS = 1200; // keys pressed one soon after the other are one step of undo

/** Whose chain is open: the name of a pass, null for the finish; undefined where nothing is chosen. */
export const owner = computed(() => {
  const name = chosen.value.pass;
  if (!plan.value || (name === null && !finishChosen.value)) return undefined;
  return name === null || name in plan.value.pass ? name : undefined;
});

/** What is under a hand; null where nothing is. */
export const held = signal(/** @type {Held | null} */ (null));

/** The open chain as it is seen: the plan's, with what is under a hand. */
export const chain = computed(() => {
  const links = owner.value === undefined ? [] : linksOf(owner.value);
  const now = held.value;
  if (now?.what !== "link" || now.owner !== owner.value) return links;
  return links.map((one, i) => (i === now.place ? now.table : one));
});

/** The finish's own settings and its limiter as they are seen. */
export const finish = computed(() => {
  const { what, table } = held.value ?? {};
  return { ...plan.value?.finish, ...(what === "finish" ? table : {}), ...(what === "limiter" ? { limiter: table } : {}) };
});

/** @param {string | null} of @returns {Link[]} */
export function linksOf(of) {
  return (of === null ? plan.value?.finish.chain : plan.value?.pass[of]?.chain) ?? [];
}

let gesture = { id: "", at: 0 };
let known = /** @type {Set<string>} */ (new Set()); // the link as this gesture found it and left it
let sent = 0, timer = 0;

/** A hand takes hold: what follows is a step of undo of its own. */
export function begin() {
  gesture = { id: "", at: 0 };
}

/** What is under the hand is not meant. */
export function drop() {
  clearTimeout(timer);
  held.value = null;
}

/** Whether a new gesture begins. */
function moved() {
  const now = performance.now();
  const fresh = !gesture.id || now - gesture.at > CALM_MS;
  gesture = { id: fresh ? crypto.randomUUID() : gesture.id, at: now };
  return fresh;
}

/** Sends what is held; not more often than is of use. @param {Held} now @param {Sent} what @param {boolean} last the hand has let go */
function put(now, what, last) {
  clearTimeout(timer);
  held.value = now;
  const wait = last ? 0 : sent + EVERY_MS - performance.now();
  if (wait > 0) timer = setTimeout(() => void send(now, what, last), wait);
  else void send(now, what, last);
}

/** @param {Held} now @param {Sent} what @param {boolean} last */
async function send(now, { name, args, label }, last) {
  sent = performance.now();
  const taken = await edit(name, args, { gesture: gesture.id, label });
  if ((last || !taken) && held.value === now) held.value = null;
}

/** @param {Target} target @param {Link} table @param {string} label @param {boolean} last */
export function setLink(target, table, label, last) {
  const current = () => linksOf(target.owner)[target.place];
  if (moved()) known = new Set([JSON.stringify(current())]);
  const mine = known.add(JSON.stringify(table));
  const start = current();
  put({ what: "link", ...target, table }, { name: "set_processor", label, args: { ...target, processor: table,
    // Read when it is sent: by then the edits before it are in the plan. What another page left is not written over.
    get was() { return mine.has(JSON.stringify(current())) ? current() : start; } } }, last);
}

/** @param {any} limiter @param {string} label @param {boolean} last */
export function setLimiter(limiter, label, last) {
  moved();
  put({ what: "limiter", owner: null, place: 0, table: limiter }, { name: "set_limiter", label, args: { limiter } }, last);
}

/** @param {Record<string, any>} keys @param {string} label @param {boolean} last */
export function setFinish(keys, label, last) {
  moved();
  put({ what: "finish", owner: null, place: 0, table: keys }, { name: "set_finish", label, args: keys }, last);
}
