// @ts-check
// What the parts of the contour share: its size, what is being dragged, and the scene that follows from all of it.
import { batch, computed, effect, signal } from "../vendor/signals.js";
import { beats, doc, plan, sections, shape, songId, sounds, source, view } from "../state.js";
import { ageOf, figuresOf } from "./figures.js";
import { readPeaks } from "./peaks.js";
import { sceneOf } from "./scene.js";
import { moved, within, zoomed } from "./sight.js";

export const LEFT = 148, RIGHT = 14; // the heads of the rows, and their scroll bar

export const size = signal({ width: 0, height: 0, dpr: 1 });
/** Grows when the colours of the page change. */
export const scheme = signal(0);
/** A riser on its way, before it is let go. */
export const dragged = signal(/** @type {{ name: string, start_s: number } | null} */ (null));
/** The drawn ride while a point of it is on its way. */
export const drawn = signal(/** @type {{ time_s: number, gain_db: number }[] | null} */ (null));
export const rideShown = signal(false);
export const tableShown = signal(false);
/** @type {import("../vendor/signals.js").Signal<Record<string, import("./peaks.js").Peaks | null>>} */
export const peaks = signal({});

export const length_s = computed(() => doc.value?.duration_s ?? 1);
export const across = computed(() => ({ left: LEFT, width: Math.max(size.value.width - LEFT - RIGHT, 50) }));
export const passes = computed(() => Object.keys(plan.value?.pass ?? {}));
export const ride = computed(() => drawn.value ?? plan.value?.ride ?? []);
export const age = computed(() => ageOf(shape.value, doc.value));

/** The sections as they are shown: with the riser that is being dragged. */
export const shownSections = computed(() => {
  const moving = dragged.value;
  if (!moving) return sections.value;
  const starts = sections.value.map((/** @type {any} */ one) => (one.name === moving.name ? moving.start_s : one.start_s));
  return sections.value.map((/** @type {any} */ one, /** @type {number} */ i) => ({ ...one, start_s: starts[i], end_s: starts[i + 1] ?? one.end_s }));
});

const figures = computed(() => figuresOf(shownSections.value, shape.value));
const given = computed(() => ({
  sections: shownSections.value, figures: figures.value, passes: passes.value, across: across.value, height: size.value.height,
  limiter: Boolean(plan.value?.finish?.limiter), ride: rideShown.value || ride.value.length > 0, beats: beats.value,
}));
export const allFigures = figures;
export const scene = computed(() => sceneOf({ ...given.value, view: view.value }));
/** The whole song's, for what must not change with the view. */
export const wholeScene = computed(() => sceneOf({ ...given.value, view: { from_s: 0, to_s: length_s.value } }));
/** The sound whose waveform is shown: the mix while it is heard, else the print. */
export const waved = computed(() => (source.value === "mix" || !peaks.value.print ? "mix" : "print"));

/** @type {import("./sight.js").View | null} */
let wanted = null;

/** Shows another part of the song at the next frame. @param {import("./sight.js").View} next */
export function look(next) {
  if (!wanted) requestAnimationFrame(() => { view.value = /** @type {any} */ (wanted); wanted = null; });
  wanted = within(next, length_s.value);
}
const aim = () => wanted ?? view.value;
/** @param {number} by @param {number} at_s */
export const zoom = (by, at_s) => look(zoomed(aim(), by, at_s, length_s.value));
/** @param {number} share of what is in sight */
export const scroll = (share) => look(moved(aim(), share * (aim().to_s - aim().from_s), length_s.value));

/** Keeps the peaks of mix and print at hand; ends with the function it gives back. */
export function followPeaks() {
  let song = "";
  /** @type {Record<string, string>} */
  let had = {};
  const keyOf = (/** @type {string} */ id) => sounds.value?.sounds?.find((/** @type {any} */ one) => one.id === id)?.key ?? "";
  return effect(() => {
    const now = songId.value, measured = shape.value?.version ?? 0;
    const keys = /** @type {Record<string, string>} */ ({ mix: keyOf("mix"), print: `${keyOf("print")} ${measured}` });
    if (now !== song) batch(() => { song = now; had = {}; peaks.value = {}; dragged.value = drawn.value = null; rideShown.value = false; });
    if (!doc.value) return;
    for (const id of ["mix", "print"]) {
      if (had[id] === keys[id] || (id === "print" && !measured)) continue;
      had[id] = keys[id];
      void readPeaks(now, id).then((read) => { if (read && song === now) peaks.value = { ...peaks.peek(), [id]: read }; });
    }
  });
}
