// @ts-check
/**
 * Plays a script through the desk's worklet faster than real time and gives back every frame that left it.
 *
 * A script is {rate, frames, chunkFrames, seconds, steps: [[at_s, messages]]}; a message {type: "chunk"} is filled
 * from /sound/KEY/INDEX. Steps take effect at the next whole quantum.
 */
const settle = () => new Promise((done) => setTimeout(done, 25));

export function packed(/** @type {Float32Array} */ samples) {
  const bytes = new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength);
  let text = "";
  for (let n = 0; n < bytes.length; n += 32768) text += String.fromCharCode(...bytes.subarray(n, n + 32768));
  return btoa(text);
}

async function send(node, message) {
  if (message.type !== "chunk") return node.port.postMessage(message);
  const buffer = await (await fetch(`/sound/${message.from ?? message.key}/${message.index}`)).arrayBuffer();
  node.port.postMessage({ ...message, buffer }, [buffer]);
}

export async function play(script) {
  const context = new OfflineAudioContext(2, Math.round(script.seconds * script.rate), script.rate);
  await context.audioWorklet.addModule("/static/hearing/worklet.js");
  const processorOptions = { frames: script.frames, chunkFrames: script.chunkFrames };
  const options = { numberOfInputs: 0, outputChannelCount: [2], processorOptions };
  const node = new AudioWorkletNode(context, "hearing", options);
  node.connect(context.destination);
  const told = [];
  node.port.onmessage = ({ data }) => told.push(data);
  const quantum = 128 / script.rate;
  for (const [at, messages] of script.steps) {
    const take = async () => {
      for (const message of messages) await send(node, message);
      await settle();
    };
    if (at === 0) await take();
    else context.suspend(Math.ceil(at / quantum) * quantum).then(take).then(() => context.resume());
  }
  const heard = await context.startRendering();
  await settle();
  return { left: packed(heard.getChannelData(0)), right: packed(heard.getChannelData(1)), told };
}
