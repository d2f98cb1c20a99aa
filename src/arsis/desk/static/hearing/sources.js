// @ts-check
// What there is to hear of a song, at which trim, as the mixture that the worklet sums.

/** @typedef {{ id: string, label: string, key: string, frames: number, offset_s?: number }} Sound */
/** @typedef {{ key: string, gain: number, offset: number, frames: number }} Part */
/** @typedef {{ name: string, parts: Part[] }} Mixture */
/** @typedef {{ lufs: Record<string, number | null>, gain_db: Record<string, number> }} Levels */

/** The id of what is not a sound itself: one sound less another, at their trims. */
export const DIFFERENCE = "difference";

/** @param {number} db */
export const gainOf = (db) => Math.fround(10 ** (db / 20));

/**
 * What each sound is turned down by. Not matched: all by what the loudest is turned down by, so that every sound
 * keeps its own level against the others and nothing is ever louder than it was while matched.
 * @param {Levels | null} levels @param {string[]} ids @param {boolean} matched @returns {Record<string, number>}
 */
export function trimsOf(levels, ids, matched) {
  const known = Object.values(levels?.gain_db ?? {}).filter((db) => typeof db === "number");
  const most = Math.min(0, ...known);
  return Object.fromEntries(ids.map((id) => [id, matched ? Math.min(0, levels?.gain_db[id] ?? most) : most]));
}

/**
 * @param {string} id of a sound, or DIFFERENCE
 * @param {{ sounds: Sound[], trims: Record<string, number>, offsets: Record<string, number>, less: [string, string], rateHz: number }} what
 * less: of which sounds the difference is; offsets: seconds that a record is ahead of the song
 * @returns {Mixture | null}
 */
export function mixtureOf(id, { sounds, trims, offsets, less, rateHz }) {
  const part = (/** @type {string} */ one, sign = 1) => {
    const sound = sounds.find((each) => each.id === one);
    if (!sound) return null;
    const offset = Math.round((offsets[one] ?? sound.offset_s ?? 0) * rateHz);
    return { key: sound.key, gain: sign * gainOf(trims[one] ?? 0), offset, frames: sound.frames };
  };
  const parts = id === DIFFERENCE ? [part(less[0]), part(less[1], -1)] : [part(id)];
  if (parts.includes(null)) return null;
  return { name: id, parts: /** @type {Part[]} */ (parts) };
}

/** A sound that has its own time. @param {string} id */
export const isRecord = (id) => id.startsWith("reference:");

/** The sound of an advised move. @param {string} id of the move */
export const moveSound = (id) => `move:${id}`;

/** Whether a sound is fetched ahead though nobody has asked for it yet: what a plan says now, not what was kept, is only
 * advised, or came from elsewhere. @param {string} id */
export const isNear = (id) => !/^(revision|move):/.test(id) && !isRecord(id);
