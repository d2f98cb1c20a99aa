// @ts-check
/** Listens to the desk's own output: puts a tap behind the player and notes what the worklet tells. */
import { packed } from "./offline.js";

let tap;
let told = [];

/** Waits for the player's graph, then puts the tap in. `window.graph` is set by an initial script of the test. */
export async function listen(seconds) {
  const { context, node, output } = window.graph;
  await context.audioWorklet.addModule("/tests/tap.js");
  const options = { outputChannelCount: [2], processorOptions: { frames: seconds * context.sampleRate } };
  tap = new AudioWorkletNode(context, "tap", options);
  output.disconnect();
  output.connect(tap).connect(context.destination);
  node.port.addEventListener("message", ({ data }) => told.push(data));
}

/** What was heard since `listen` or the last `taken`. */
export async function taken() {
  const heard = await new Promise((done) => {
    tap.port.onmessage = ({ data }) => done(data);
    tap.port.postMessage("give");
  });
  const answer = { first: heard.first, left: packed(heard.left), right: packed(heard.right), told };
  told = told.filter(({ type }) => type === "turn").slice(-1);
  return answer;
}
