// @ts-check
// The level of everything: loudness of each sound, the trims that match them, and the monitor's level.
import { computed, effect, signal } from "../vendor/signals.js";
import { hear, ask } from "../api.js";
import { loop, rateHz, songId, sounds } from "../state.js";
import { trimsOf } from "./sources.js";

/** @typedef {import("./sources.js").Levels} Levels */

export const LOWEST_DB = -60;
/** Where every session starts. It is never remembered: a page that is opened is quiet. */
export const START_DB = -20;
// After an edit the sound itself comes first.
const SETTLE_MS = 250;

/** The monitor's level in dB: 0 is the print as it is, and there is nothing above. */
export const levelDb = signal(START_DB);
export const matched = signal(true);
/** What the loudness of is matched. */
export const matchedOver = signal(/** @type {"song" | "loop"} */ ("song"));
/** As last measured; null before the first answer. */
export const levels = signal(/** @type {Levels | null} */ (null));

/** @param {number} db */
export function setLevel(db) {
  levelDb.value = Math.min(0, Math.max(LOWEST_DB, Math.round(db)));
}

const range = computed(() => (matchedOver.value === "loop" && loop.value ? loop.value : null));
const ids = computed(() => (sounds.value?.sounds ?? []).map((/** @type {{ id: string }} */ one) => one.id));

/** Sound id to dB, never above 0. */
export const trims = computed(() => trimsOf(levels.value, ids.value, matched.value));

let asked = 0;
let song = "";
/** Reads the loudness of what is there now; until it has come, the trims stay as they were. */
async function readLevels() {
  const mine = ++asked;
  if (song !== songId.value) {
    song = songId.value;
    levels.value = null;
  }
  if (!sounds.value) return;
  const part = range.value && { from: range.value.from / rateHz.value, to: range.value.to / rateHz.value };
  const query = part ? `?start_s=${part.from}&end_s=${part.to}` : "";
  const got = await ask(`/api/songs/${encodeURIComponent(song)}/levels${query}`).catch(() => null);
  if (!got?.gain_db || mine !== asked) return;
  const known = Object.entries(got.gain_db).filter(([id]) => typeof got.lufs[id] === "number");
  levels.value = { lufs: got.lufs, gain_db: { ...levels.value?.gain_db, ...Object.fromEntries(known) } };
}

/** Changes where a loudness may have: with another sound, and when one has been measured. */
const measured = computed(() => songId.value + JSON.stringify((sounds.value?.sounds ?? []).map(
  (/** @type {any} */ one) => [one.key, one.ready, one.lufs])));
hear("shape", (value) => { if (value.song === songId.value) void readLevels(); });
effect(() => {
  void [measured.value, range.value];
  const timer = setTimeout(readLevels, SETTLE_MS);
  return () => clearTimeout(timer);
});
