// @ts-check
// The peaks of a sound, in levels of ever wider bins; the bytes are described in workflow/hearing/peaks.py.
import { reach } from "../api.js";

const HEADER_BYTES = 32;
const FULL = 32767;
const INNER = 200; // columns in which a stretch is searched

export class Peaks {
  /** @param {ArrayBuffer} bytes */
  constructor(bytes) {
    const head = new DataView(bytes);
    const channels = head.getUint16(4, true), levels = head.getUint16(6, true);
    this.rateHz = head.getUint32(8, true);
    this.finest = head.getUint32(12, true);
    this.factor = head.getUint32(16, true);
    this.frames = head.getUint32(20, true);
    /** Level, channel, then lowest and highest of each bin in turn. @type {Int16Array[][]} */
    this.levels = [];
    let at = HEADER_BYTES + 4 * levels;
    for (let level = 0; level < levels; level++) {
      const bins = head.getUint32(HEADER_BYTES + 4 * level, true);
      this.levels.push(Array.from({ length: channels }, (_, c) => new Int16Array(bytes, at + 4 * bins * c, 2 * bins)));
      at += 4 * bins * channels;
    }
  }

  /** The coarsest level with at least one bin a column. @param {number} perColumn frames */
  level(perColumn) {
    let level = 0, bin = this.finest;
    while (level + 1 < this.levels.length && bin * this.factor <= perColumn) {
      level++;
      bin *= this.factor;
    }
    return { level, bin };
  }

  /** How far each column swings from zero, 0 to 1, over all channels. @param {number} from frame @param {number} to frame @param {number} columns */
  swing(from, to, columns) {
    const perColumn = (to - from) / columns;
    const { level, bin } = this.level(perColumn);
    const swing = new Float32Array(columns);
    for (const values of this.levels[level]) {
      const last = values.length / 2;
      for (let x = 0; x < columns; x++) {
        const first = Math.max(Math.floor((from + x * perColumn) / bin), 0);
        const end = Math.min(Math.max(Math.ceil((from + (x + 1) * perColumn) / bin), first + 1), last);
        let most = 0;
        for (let i = first; i < end; i++) most = Math.max(most, -values[2 * i], values[2 * i + 1]);
        if (most / FULL > swing[x]) swing[x] = most / FULL;
      }
    }
    return swing;
  }

  /** The farthest swing in a stretch, without its last instant, where the next one may begin early. @param {number} from frame @param {number} to frame */
  most(from, to) {
    return to > from ? this.swing(from, to, INNER).subarray(0, INNER - 2).reduce((most, one) => Math.max(most, one), 0) : 0;
  }
}

/** @param {string} song @param {string} sound @returns {Promise<Peaks | null>} null where it has none yet */
export async function readPeaks(song, sound) {
  const answer = await reach(`/api/songs/${encodeURIComponent(song)}/peaks/${encodeURIComponent(sound)}`).catch(() => null);
  return answer?.status === 200 ? new Peaks(await answer.arrayBuffer()) : null;
}
