// @ts-check
// The chunks that are held by the worklet: asks for what is wanted, a few at a time, and lets go of the rest.

/** @typedef {import("./window.js").Chunk} Chunk */

const AT_ONCE = 3; // a browser has six connections for one server; edits and the event stream need theirs
const AGAIN_MS = 1000;
// The first so many of what is wanted do not wait for the rest: what is at the playhead.
const URGENT = 2;

export class Chunks {
  /**
   * @param {(chunk: Chunk, signal: AbortSignal) => Promise<ArrayBuffer | null>} read null: there is no such sound any more
   * @param {(chunk: Chunk, buffer: ArrayBuffer) => void} put
   * @param {(chunk: Chunk) => void} drop
   */
  constructor(read, put, drop) {
    this.read = read;
    this.put = put;
    this.drop = drop;
    /** @type {Map<string, Chunk>} what is held */
    this.held = new Map();
    /** @type {Map<string, AbortController>} */
    this.asked = new Map();
    /** @type {Map<string, Chunk>} */
    this.wanted = new Map();
    /** @type {Set<string>} held, but another now */
    this.stale = new Set();
    /** @type {Set<string>} keys that the server has let go */
    this.gone = new Set();
  }

  /** Wants these and no others, in this order; what is held of the keys in `keep` stays. @param {Chunk[]} chunks
   * @param {string[]} [keep] */
  want(chunks, keep = []) {
    this.wanted = new Map(chunks.map((chunk) => [`${chunk.key}/${chunk.index}`, chunk]));
    for (const [name, chunk] of this.held) {
      if (this.wanted.has(name) || keep.includes(chunk.key)) continue;
      this.held.delete(name);
      this.stale.delete(name);
      this.drop(chunk);
    }
    for (const [name, asked] of this.asked) if (!this.wanted.has(name)) asked.abort();
    this.fill();
  }

  /** Some chunks of a sound are others now. @param {string} key @param {number[]} indexes */
  renew(key, indexes) {
    for (const index of indexes) {
      const name = `${key}/${index}`;
      this.asked.get(name)?.abort();
      if (this.held.has(name)) this.stale.add(name);
    }
    this.fill();
  }

  /** Lets go of everything. */
  close() {
    this.want([]);
  }

  fill() {
    let place = 0;
    for (const [name, chunk] of this.wanted) {
      const urgent = place++ < URGENT;
      if (this.asked.size >= AT_ONCE && !urgent) return;
      const due = (!this.held.has(name) || this.stale.has(name)) && !this.asked.has(name) && !this.gone.has(chunk.key);
      if (due && this.asked.size >= AT_ONCE) this.makeRoom();
      if (due) void this.ask(name, chunk);
    }
  }

  /** Gives up the least urgent of what is asked for. */
  makeRoom() {
    const order = [...this.wanted.keys()];
    const last = [...this.asked.keys()].sort((a, b) => order.indexOf(a) - order.indexOf(b)).at(-1);
    if (last !== undefined) this.asked.get(last)?.abort();
  }

  /** @param {string} name @param {Chunk} chunk */
  async ask(name, chunk) {
    const control = new AbortController();
    this.asked.set(name, control);
    let pause = false;
    try {
      const buffer = await this.read(chunk, control.signal);
      if (buffer === null) this.gone.add(chunk.key);
      else if (!control.signal.aborted) {
        this.held.set(name, chunk);
        this.stale.delete(name);
        this.put(chunk, buffer);
      }
    } catch {
      pause = !control.signal.aborted;
    }
    if (pause) await new Promise((done) => setTimeout(done, AGAIN_MS));
    this.asked.delete(name);
    this.fill();
  }
}
