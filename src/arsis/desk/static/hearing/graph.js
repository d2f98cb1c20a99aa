// @ts-check
// The sound device and the worklet on it.

/** @typedef {{ context: AudioContext, node: AudioWorkletNode, output: AudioNode }} Graph */

/**
 * A worklet for one song on a context at the song's own rate, so that no frame is made by the browser.
 * @param {number} rateHz @param {number} frames @param {number} chunkFrames @returns {Promise<Graph>}
 */
export async function openGraph(rateHz, frames, chunkFrames) {
  const context = new AudioContext({ sampleRate: rateHz, latencyHint: "interactive" });
  await context.audioWorklet.addModule(new URL("./worklet.js", import.meta.url));
  const processorOptions = { frames, chunkFrames };
  const node = new AudioWorkletNode(context, "hearing", { numberOfInputs: 0, outputChannelCount: [2], processorOptions });
  const output = new GainNode(context);
  node.connect(output).connect(context.destination);
  return { context, node, output };
}

/** Fades out what sounds, then gives the device back. @param {Graph} graph */
export async function closeGraph(graph) {
  graph.node.port.postMessage({ type: "play", playing: false });
  await new Promise((done) => setTimeout(done, 50));
  graph.node.disconnect();
  await graph.context.close();
}

/** The rate at which the device itself runs. */
export async function deviceRate() {
  const context = new AudioContext();
  const rate = context.sampleRate;
  await context.close();
  return rate;
}
