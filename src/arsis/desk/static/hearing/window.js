// @ts-check
// Which chunks are worth having, the most urgent first.

/** @typedef {{ key: string, offset: number, frames: number, current: boolean }} Wanted */
/** @typedef {{ key: string, index: number }} Chunk */

const BACK_S = 30;
const AHEAD_S = 30;
const OTHERS_BACK_S = 2;
const OTHERS_AHEAD_S = 8;
// Of a loop up to this long everything is held, of every sound.
const WHOLE_LOOP_S = 30;
const AT_PLAYHEAD = 4;
// What fades need around the playhead, and past a loop's ends.
const NEAR_S = 0.02;
const MARGIN_S = 0.1;

/**
 * The seconds of the song in the order in which they are wanted: from the playhead on, round the loop, then backwards.
 * @param {number} playhead @param {{ from: number, to: number } | null} loop @param {number} frames @param {number} rateHz
 * @param {number} back_s @param {number} ahead_s @returns {number[]} frames of the song, one for each step of a second
 */
function moments(playhead, loop, frames, rateHz, back_s, ahead_s) {
  const near = NEAR_S * rateHz;
  const found = [playhead, playhead - near, playhead + near]; // AT_PLAYHEAD is these and one second on
  const inside = loop && playhead < loop.to ? loop : null;
  const whole = inside && inside.to - inside.from <= WHOLE_LOOP_S * rateHz;
  const ahead = whole ? (inside.to - inside.from) / rateHz + 1 : ahead_s;
  const margin = MARGIN_S * rateHz;
  let at = playhead;
  for (let s = 0; s < ahead; s++) {
    at += rateHz;
    if (inside && at >= inside.to + margin) {
      found.push(inside.to + margin, inside.from - margin, inside.from);
      at -= inside.to - inside.from;
      if (at < inside.from) break; // the loop is shorter than a second: both its ends are named
    }
    found.push(at);
  }
  const earliest = whole ? Infinity : playhead - back_s * rateHz;
  for (let past = playhead - near; past >= earliest; past -= rateHz) found.push(past);
  return found.filter((one) => one >= 0 && one < frames);
}

/**
 * @param {{ playhead: number, loop: { from: number, to: number } | null, frames: number, rateHz: number, chunkFrames: number,
 *   sounds: Wanted[], even?: boolean }} what
 * even: all sounds alike, in their own order, so that the order of the requests does not tell which one is heard
 * @returns {Chunk[]}
 */
export function chunksWanted({ playhead, loop, frames, rateHz, chunkFrames, sounds, even = false }) {
  const close = moments(playhead, loop, frames, rateHz, OTHERS_BACK_S, OTHERS_AHEAD_S);
  const far = moments(playhead, loop, frames, rateHz, BACK_S, AHEAD_S);
  const ordered = even ? sounds : [...sounds].sort((a, b) => Number(b.current) - Number(a.current));
  const found = new Map();
  const add = (/** @type {Wanted} */ sound, /** @type {number} */ moment) => {
    const index = Math.floor((moment + sound.offset) / chunkFrames);
    const there = index >= 0 && index * chunkFrames < sound.frames;
    if (there) found.set(`${sound.key}/${index}`, { key: sound.key, index });
  };
  const first = close.slice(0, AT_PLAYHEAD);
  for (const moment of first) for (const sound of ordered) if (even || sound.current) add(sound, moment);
  for (const moment of close) for (const sound of ordered) add(sound, moment);
  for (const moment of far) for (const sound of ordered) if (even || sound.current) add(sound, moment);
  return [...found.values()];
}
