// @ts-check
// What was measured of each section of the plan: pure. The plan may be newer than its figures.

/** What is known of one section; null where nothing is. exact: measured of this very plan.
 * @typedef {{ print_lufs: number | null, mix_lufs: number | null, step_lu: number | null, step_mix_lu: number | null,
 *   asked_db: number | null, took_db: number | null, took_most_db: number | null, known: boolean }} Figures */

/** @type {Figures} */
const NOTHING = { print_lufs: null, mix_lufs: null, step_lu: null, step_mix_lu: null, asked_db: null, took_db: null, took_most_db: null, known: false };

/** @param {any} one a section as it was measured @param {boolean} whole whether its riser is the section's own @returns {Figures} */
const read = (one, whole) => ({
  print_lufs: one.print?.loudness_lufs ?? null,
  mix_lufs: one.mix?.loudness_lufs ?? null,
  step_lu: whole ? one.step_print_lu ?? null : null,
  step_mix_lu: whole ? one.step_mix_lu ?? null : null,
  asked_db: whole ? one.step_asked_db ?? null : null,
  took_db: whole ? one.took?.step_db ?? null : null,
  took_most_db: one.took?.max_db ?? null,
  known: true,
});

/** The figures of each section, by its name, else of what was measured at its middle.
 * @param {{ name: string, start_s: number, end_s: number }[]} sections @param {any} shape @returns {Figures[]} */
export function figuresOf(sections, shape) {
  const measured = shape?.sections ?? [];
  return sections.map((section) => {
    const own = measured.find((/** @type {any} */ one) => one.name === section.name);
    if (own) return read(own, true);
    const middle = (section.start_s + section.end_s) / 2;
    const there = measured.find((/** @type {any} */ one) => one.start_s <= middle && middle < one.end_s);
    return there ? read(there, false) : NOTHING;
  });
}

/** What can be said of the figures as a whole. @param {any} shape @param {any} document @returns {"none" | "before" | "now"} */
export function ageOf(shape, document) {
  if (!shape?.sections) return "none";
  return document && shape.version < document.version ? "before" : "now";
}
