/**
 * The sample clock: sums sounds by whole frames of the song, on the audio thread.
 *
 * What is heard is a *mixture*: a name and the parts that are summed, each a sound's key, a float32 gain (negative for
 * what is subtracted), an offset and a length in frames. Every change of what is heard or where (another source, an
 * edit, a trim, a seek, a loop's end, start and stop) is one and the same thing: a straight 5 ms fade from one voice to
 * another. A voice that starts elsewhere begins those 5 ms early, so that from the asked frame on nothing but the
 * material is heard and an attack on it stays whole. While no fade runs, a single part at gain 1 and level 1 leaves
 * here bit for bit.
 *
 * A mixture is taken only when its chunks at the playhead are here; until then the old one goes on. Where nothing is
 * here the player fades to silence and waits at that frame.
 *
 * @typedef {import("./sources.js").Mixture} Mixture
 */

const FADE_S = 0.005;
const START_LEVEL = 0.1; // -20 dB: the first sound in a session is never a loud one
const RISE_DB_PER_S = 6;
const LOWEST_RISING = 0.001; // where a level that was brought down to nothing begins to rise
const REPORTS_PER_S = 30;

/** One sound as far as it is here. A chunk that takes another's place makes a new Sound, so that it is faded to. */
class Sound {
  /** @param {Map<number, Float32Array[]>} chunks */
  constructor(chunks = new Map()) {
    this.chunks = chunks;
  }

  /** @param {number} index @param {Float32Array[]} chunk */
  with(index, chunk) {
    if (!this.chunks.has(index)) {
      this.chunks.set(index, chunk);
      return this;
    }
    return new Sound(new Map(this.chunks).set(index, chunk));
  }
}

/** A mixture on its way through the song. */
class Voice {
  /** @param {Mixture} mixture @param {Map<string, Sound>} sounds @param {number} position @param {number} chunkFrames */
  constructor(mixture, sounds, position, chunkFrames) {
    this.mixture = mixture;
    this.sounds = mixture.parts.map((part) => sounds.get(part.key));
    this.position = position;
    this.asked = position; // what comes before this frame only fades in
    this.chunkFrames = chunkFrames;
  }

  /** Whether it sounds what `mixture` would sound now. @param {Mixture} mixture @param {Map<string, Sound>} sounds */
  is(mixture, sounds) {
    return this.mixture === mixture && mixture.parts.every((part, n) => sounds.get(part.key) === this.sounds[n]);
  }

  /**
   * Adds its next `count` frames from `first` on; frame n has the weight `weight + n * slope`.
   * @param {Float64Array} left @param {Float64Array} right
   * @param {number} first @param {number} count @param {number} weight @param {number} slope
   */
  add(left, right, first, count, weight, slope) {
    this.mixture.parts.forEach((part, number) => {
      const chunks = this.sounds[number]?.chunks;
      for (let done = 0; chunks && done < count; ) {
        const at = this.position + part.offset + done;
        const index = Math.floor(at / this.chunkFrames);
        const inside = at - index * this.chunkFrames;
        const run = Math.min(count - done, this.chunkFrames - inside);
        const chunk = chunks.get(index);
        const here = chunk ? Math.min(run, chunk[0].length - inside) : 0;
        for (let n = 0; n < here; n++) {
          const share = weight + (done + n) * slope;
          left[first + done + n] += chunk[0][inside + n] * part.gain * share;
          right[first + done + n] += chunk[1][inside + n] * part.gain * share;
        }
        done += run;
      }
    });
    this.position += count;
  }
}

class Hearing extends AudioWorkletProcessor {
  /** @param {{processorOptions: {frames: number, chunkFrames: number}}} options */
  constructor({ processorOptions: { frames, chunkFrames } }) {
    super();
    this.frames = frames;
    this.chunkFrames = chunkFrames;
    this.fade = Math.round(FADE_S * sampleRate);
    /** @type {Map<string, Sound>} */
    this.sounds = new Map();
    /** @type {Mixture|null} */
    this.wanted = null;
    /** @type {Mixture|null} the one heard before the present one */
    this.earlier = null;
    /** @type {Voice|null} */
    this.now = null;
    /** @type {Voice|null} what fades out */
    this.before = null;
    this.fading = 0; // frames left of the fade
    this.playing = false;
    this.rest = 0; // the playhead while nothing sounds
    /** @type {number|null} */
    this.jump = null;
    /** @type {{from: number, to: number}|null} */
    this.loop = null;
    this.torn = false; // whether the silence now is one in the midst of playing
    this.missed = 0; // frames of such silence
    this.level = START_LEVEL;
    this.levelAsked = START_LEVEL;
    this.fall = 0;
    this.rise = 10 ** (RISE_DB_PER_S / 20 / sampleRate);
    this.sumLeft = new Float64Array(128);
    this.sumRight = new Float64Array(128);
    this.reported = 0;
    this.told = "";
    this.port.onmessage = ({ data }) => this[`on_${data.type}`](data);
  }

  on_chunk({ key, index, buffer }) {
    const half = buffer.byteLength / 2;
    const chunk = [new Float32Array(buffer, 0, half / 4), new Float32Array(buffer, half, half / 4)];
    this.sounds.set(key, (this.sounds.get(key) ?? new Sound()).with(index, chunk));
  }

  on_drop({ key, index }) {
    const sound = this.sounds.get(key);
    sound?.chunks.delete(index);
    if (sound?.chunks.size === 0) this.sounds.delete(key);
  }

  on_hear({ mixture }) {
    for (const part of mixture.parts) part.gain = Math.fround(part.gain);
    this.wanted = mixture;
  }

  on_seek({ position }) {
    this.jump = Math.min(this.frames, Math.max(0, Math.round(position)));
  }

  on_loop({ loop }) {
    this.loop = loop && loop.to - loop.from > 2 * this.fade ? loop : null;
  }

  on_play({ playing }) {
    this.playing = playing;
  }

  /** The level falls within one fade and rises slowly; it is never above that of the print itself. */
  on_level({ level }) {
    this.levelAsked = Math.min(1, Math.max(0, level));
    this.fall = Math.max(0, this.level - this.levelAsked) / this.fade;
  }

  process(_, [[left, right]]) {
    const count = left.length;
    this.sumLeft.fill(0);
    this.sumRight.fill(0);
    for (let done = 0; done < count; ) {
      if (this.fading === 0) this.decide(currentFrame + done);
      const run = this.run(count - done);
      this.advance(done, run);
      done += run;
    }
    for (let n = 0; n < count; n++) {
      this.glide();
      left[n] = this.sumLeft[n] * this.level;
      right[n] = this.sumRight[n] * this.level;
    }
    this.report(currentFrame + count);
    return true;
  }

  /** Starts a fade where another voice is due. @param {number} frame of the audio clock */
  decide(frame) {
    if (this.now && this.jump === null && this.now.position >= this.frames) {
      this.playing = false;
      this.port.postMessage({ type: "ended" });
    }
    const jump = this.jump ?? this.wrapped();
    const at = jump ?? (this.now ? this.now.position : this.rest);
    const fresh = jump !== null || this.now === null;
    const mixture = this.playing ? this.pick(at, fresh) : null;
    this.torn = this.playing && !mixture && this.jump === null && (this.now !== null || this.torn);
    this.jump = null;
    if (mixture ? !fresh && this.now.is(mixture, this.sounds) : !this.now) {
      this.rest = at;
      return;
    }
    if (this.now && mixture && this.now.mixture !== mixture) this.earlier = this.now.mixture;
    this.before = this.now;
    this.now = mixture && new Voice(mixture, this.sounds, fresh ? at - this.fade : at, this.chunkFrames);
    if (this.now) this.now.asked = at;
    this.rest = at;
    this.fading = this.fade;
    const position = this.now ? this.now.position : null;
    this.port.postMessage({ type: "turn", frame, position, at, mixture, fade: this.fade });
  }

  /** Where the loop's end leads, once the playhead is one fade before it: the length of the loop is kept exactly. */
  wrapped() {
    if (!this.loop || !this.now || this.now.position < this.loop.to - this.fade) return null;
    const back = this.now.position + this.fade - (this.loop.to - this.loop.from);
    return back < this.loop.to ? back : this.loop.from;
  }

  /**
   * The wanted mixture; while it is not here, the one that sounds; after that, an earlier state of the same source.
   * @param {number} at @param {boolean} fresh @returns {Mixture|null}
   */
  pick(at, fresh) {
    const kept = this.earlier?.name === this.wanted?.name ? this.earlier : null;
    const from = fresh ? at - this.fade : at;
    const here = [this.wanted, this.now?.mixture, kept].find((mixture) => mixture && this.isHere(mixture, from, at));
    return here ?? null;
  }

  /** Whether every part is here long enough to be faded out of in time. */
  isHere(mixture, from, at) {
    const to = at + 2 * this.fade + 128;
    return mixture.parts.every((part) => {
      const first = Math.floor(Math.max(0, from + part.offset) / this.chunkFrames);
      const last = Math.floor((Math.min(part.frames, to + part.offset) - 1) / this.chunkFrames);
      const chunks = this.sounds.get(part.key)?.chunks;
      for (let index = first; index <= last; index++) if (!chunks?.has(index)) return false;
      return true;
    });
  }

  /** How many of `most` frames come before something has to be decided. */
  run(most) {
    if (this.fading > 0) return Math.min(most, this.fading);
    if (!this.now) return most;
    const end = this.frames - this.now.position;
    const wrap = this.loop ? this.loop.to - this.fade - this.now.position : 0;
    return Math.min(most, end > 0 ? end : most, wrap > 0 ? wrap : most);
  }

  /** Sounds `count` frames. */
  advance(first, count) {
    if (this.torn && !this.now) this.missed += count;
    const old = this.fading / this.fade;
    const slope = this.fading > 0 ? 1 / this.fade : 0;
    this.now?.add(this.sumLeft, this.sumRight, first, count, 1 - old, slope);
    this.before?.add(this.sumLeft, this.sumRight, first, count, old, -slope);
    this.fading = Math.max(0, this.fading - count);
    if (this.fading === 0) this.before = null;
  }

  /** One frame of the way to the asked level; upwards only while something sounds. */
  glide() {
    if (this.level > this.levelAsked) this.level = Math.max(this.levelAsked, this.level - this.fall);
    else if (this.level < this.levelAsked && this.now)
      this.level = Math.min(this.levelAsked, Math.max(this.level, LOWEST_RISING) * this.rise);
  }

  report(frame) {
    if (frame - this.reported < sampleRate / REPORTS_PER_S) return;
    const { playing, missed, level } = this;
    const position = this.now ? Math.max(this.now.position, this.now.asked) : this.rest;
    const told = `${position} ${playing} ${level}`;
    if (told === this.told) return;
    this.told = told;
    this.reported = frame;
    this.port.postMessage({ type: "at", frame, position, waiting: playing && !this.now, missed, level });
  }
}

registerProcessor("hearing", Hearing);
