// @ts-check
/** Keeps what passes through, for tests: up to `frames` frames from the audio frame `first` on. */
class Tap extends AudioWorkletProcessor {
  constructor({ processorOptions: { frames } }) {
    super();
    this.kept = [new Float32Array(frames), new Float32Array(frames)];
    this.count = 0;
    this.first = -1;
    this.port.onmessage = () => {
      const [left, right] = this.kept.map((side) => side.slice(0, this.count));
      this.port.postMessage({ first: this.first, left, right });
      this.count = 0;
      this.first = -1;
    };
  }

  process([input], [output]) {
    if (this.first < 0) this.first = currentFrame;
    const length = output[0].length;
    const room = Math.min(length, this.kept[0].length - this.count);
    output.forEach((side, n) => {
      const from = input[n] ?? input[0];
      if (!from) return this.kept[n].fill(0, this.count, this.count + room);
      side.set(from);
      this.kept[n].set(from.subarray(0, room), this.count);
    });
    this.count += room;
    return true;
  }
}
registerProcessor("tap", Tap);
