// @ts-check
// Where the clean join near a riser is: asked of the server while the riser is held, and taken with a key.
import { computed, effect, signal } from "../vendor/signals.js";
import { ask } from "../api.js";
import { edit, sections, songId } from "../state.js";
import { USUAL_JOIN } from "./scene.js";

const APART_MS = 120;
export const SAME_S = 0.0005;

/** The riser that is held or has the focus. */
export const held = signal(/** @type {{ name: string, at_s: number } | null} */ (null));
/** @type {import("../vendor/signals.js").Signal<{ name: string, of_s: number, at_s: number, fade_ms: number, lead_ms: number, dip_db: number | null, note: string } | null>} */
const answer = signal(null);
/** The clean join near the riser that is held; null while it is not known. */
export const cleanJoin = computed(() => (answer.value && answer.value.name === held.value?.name ? answer.value : null));

let waiting = 0, last = 0, asked = 0;

/** @param {string} name @param {number} at_s */
export function hold(name, at_s) {
  if (held.value?.name === name && held.value.at_s === at_s && cleanJoin.value) return;
  held.value = { name, at_s };
  clearTimeout(waiting);
  waiting = setTimeout(find, Math.max(0, last + APART_MS - performance.now()));
}

export function release() {
  clearTimeout(waiting);
  held.value = null;
}

effect(() => { if (songId.value) release(); });

async function find() {
  const about = held.value, number = ++asked;
  if (!about) return;
  last = performance.now();
  const where = new URLSearchParams({ section: about.name, at_s: about.at_s.toFixed(6) });
  const found = await ask(`/api/songs/${encodeURIComponent(songId.value)}/join?${where}`).catch(() => null);
  if (number === asked && found) answer.value = { name: about.name, of_s: about.at_s, ...found };
}

let taken = 0;

/** Starts the section where its clean join is, with its fade. */
export async function takeCleanJoin() {
  const join = cleanJoin.value;
  if (!join) return;
  const how = { gesture: `clean join ${++taken}`, label: `the clean join into ${join.name}` };
  const { name, fade_ms, lead_ms } = join;
  const now = sections.value.find((/** @type {any} */ one) => one.name === name)?.join ?? USUAL_JOIN;
  if (!(await edit("move_start", { name, start_s: join.at_s }, how))) return;
  if (now.fade_ms !== fade_ms || now.lead_ms !== lead_ms) await edit("set_join", { name, join: { fade_ms, lead_ms } }, how);
  hold(name, join.at_s);
}
