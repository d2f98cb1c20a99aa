// @ts-check
// Where in the song the playhead is, and which stretches can be looped.
import { computed } from "../vendor/signals.js";
import { chosen, doc, loop, playhead, rateHz, sections } from "../state.js";

/** @typedef {{ name: string, start_s: number, end_s: number }} Section */

/** How much is heard before and after a join in its loop. */
const AROUND_JOIN_S = 2;

const frame = (/** @type {number} */ seconds) => Math.round(seconds * rateHz.value);

/** The section under the playhead. */
export const here = computed(() => {
  const all = /** @type {Section[]} */ (sections.value);
  return all.findLast((one) => frame(one.start_s) <= playhead.value) ?? all[0] ?? null;
});

/** The section that a loop is made of: the chosen one, else the one under the playhead. */
export const loopSection = computed(() =>
  /** @type {Section[]} */ (sections.value).find((one) => one.name === chosen.value.section) ?? here.value);

/** The section that a looped join leads into: the chosen one, else the one that begins nearest to the playhead. */
export const loopJoin = computed(() => {
  const joins = /** @type {Section[]} */ (sections.value).slice(1);
  const far = (/** @type {Section} */ one) => Math.abs(frame(one.start_s) - playhead.value);
  const nearest = joins.reduce((best, one) => (far(one) < far(best) ? one : best), joins[0]) ?? null;
  return joins.find((one) => one.name === chosen.value.section) ?? nearest;
});

const frames = () => doc.value?.frames ?? 0;

/** @param {Section | null} section */
export function setSectionLoop(section) {
  if (section) loop.value = { from: frame(section.start_s), to: Math.min(frames(), frame(section.end_s)) };
}

/** @param {Section | null} section the one that the join leads into */
export function setJoinLoop(section) {
  if (!section) return;
  const at = frame(section.start_s);
  loop.value = { from: Math.max(0, at - frame(AROUND_JOIN_S)), to: Math.min(frames(), at + frame(AROUND_JOIN_S)) };
}

/** What is looped, as a word: "section", "join", "stretch" or "". */
export const loopKind = computed(() => {
  const range = loop.value;
  if (!range) return "";
  const all = /** @type {Section[]} */ (sections.value);
  if (all.some((one) => frame(one.start_s) === range.from && Math.min(frames(), frame(one.end_s)) === range.to)) return "section";
  const around = (/** @type {Section} */ one) => Math.max(0, frame(one.start_s) - frame(AROUND_JOIN_S)) === range.from
    && Math.min(frames(), frame(one.start_s) + frame(AROUND_JOIN_S)) === range.to;
  return all.slice(1).some(around) ? "join" : "stretch";
});

/** The beginning of the section before or after; within its first second "before" is the one before that.
 * @param {-1 | 1} way */
export function sectionStart(way) {
  const starts = /** @type {Section[]} */ (sections.value).map((one) => frame(one.start_s));
  const found = way < 0 ? starts.findLast((at) => at < playhead.value - rateHz.value) : starts.find((at) => at > playhead.value);
  return found ?? (way < 0 ? 0 : playhead.value);
}
