// @ts-check
/**
 * The player: keeps the worklet supplied and tells it what is to be heard.
 *
 * `source` and `loop` of the state are what is wanted; anything on the page may set them. `playhead` and `playing` are
 * what the worklet tells. `heard` is what sounds this moment: after an edit that is the old key until the new one's
 * chunk is here.
 *
 * For tests: when a graph is made, the window gets the event `arsis-graph` with {context, node, output}; between
 * `output` and the context's destination a node may be put.
 */
import { batch, computed, effect, signal, untracked } from "../vendor/signals.js";
import { hear, reach } from "../api.js";
import { doc, loop, playhead, playing, rateHz, readSounds, say, songId, sounds, source } from "../state.js";
import { Chunks } from "./chunks.js";
import { closeGraph, deviceRate, openGraph } from "./graph.js";
import { levelDb, trims } from "./levels.js";
import { DIFFERENCE, gainOf, isNear, mixtureOf } from "./sources.js";
import { chunksWanted } from "./window.js";

/** @typedef {import("./sources.js").Mixture} Mixture */
/** @typedef {import("./sources.js").Part} Part */
/** @typedef {import("./sources.js").Sound} Sound */

/** What sounds, as the worklet took it; null in silence. */
export const heard = signal(/** @type {Mixture | null} */ (null));
/** Whether it plays but has nothing to play yet. */
export const awaiting = signal(false);
/** Frames of silence for want of a chunk, since the song was opened. */
export const missed = signal(0);
/** Of which two sounds the difference is heard. */
export const less = signal(/** @type {[string, string]} */ (["print", "mix"]));
/** Seconds that a record is ahead of the song, where it was set here. */
export const offsets = signal(/** @type {Record<string, number>} */ ({}));
/** While a blind comparison goes on: which sound a letter stands for. Nothing on the page shows it. */
export const hidden = signal(/** @type {Record<string, string> | null} */ (null));

const listed = computed(() => /** @type {Sound[]} */ (sounds.value?.sounds ?? []));
const wanted = computed(() => {
  const choice = hidden.value ? hidden.value[source.value] : source.value;
  if (choice === undefined) return null;
  const what = { sounds: listed.value, trims: trims.value, offsets: offsets.value, less: less.value, rateHz: rateHz.value };
  return mixtureOf(choice, what);
});

/** @type {Promise<import("./graph.js").Graph> | null} */
let opening = null;
/** @type {import("./graph.js").Graph | null} */
let graph = null;
/** Grows by one with each graph, so that each is told what there is to know. */
const graphs = signal(0);
/** The mixture that the graph was told last, as JSON. */
let sent = "";
/** Ids that were heard once, the latest last: their chunks are kept near. @type {string[]} */
let lately = [];
const LATELY = 4;
/** Keys that the source had before the last edit: gone back to where the new one is not there in time. @type {string[]} */
let before = [];

const chunks = new Chunks(
  async ({ key, index }, signal) => {
    const path = `/api/sounds/${encodeURIComponent(songId.value)}/${key}/${index}`;
    try {
      return await (await reach(path, { signal })).arrayBuffer();
    } catch (fault) {
      const status = /** @type {any} */ (fault).status;
      if (status !== 404 && status !== 410) throw fault;
      if (!listed.value.some((/** @type {Sound} */ one) => one.key === key)) return null;
      void readSounds();
      throw fault;
    }
  },
  ({ key, index }, buffer) => graph?.node.port.postMessage({ type: "chunk", key, index, buffer }, [buffer]),
  ({ key, index }) => tell({ type: "drop", key, index }),
);

/** @param {any} message */
function tell(message) {
  graph?.node.port.postMessage(message);
}

/** Wants the chunks around the playhead. */
function refill() {
  if (!graph) return;
  const candidates = hidden.value ? Object.values(hidden.value).sort() : null;
  const near = (/** @type {Sound} */ one) => (candidates ? candidates.includes(one.id) : isNear(one.id) || lately.includes(one.id));
  const current = new Set((wanted.value?.parts ?? []).map((/** @type {Part} */ part) => part.key));
  const all = listed.value.filter((/** @type {Sound} */ one) => near(one) || current.has(one.key)).map((/** @type {Sound} */ one) => ({
    key: one.key, frames: one.frames, current: current.has(one.key),
    offset: Math.round((offsets.value[one.id] ?? one.offset_s ?? 0) * rateHz.value) }));
  for (const part of heard.value?.parts ?? [])
    if (!all.some((/** @type {any} */ one) => one.key === part.key && one.offset === part.offset)) all.push({ ...part, current: false });
  chunks.want(chunksWanted({ playhead: playhead.value, loop: loop.value, frames: sounds.value?.frames ?? 0,
    rateHz: rateHz.value, chunkFrames: sounds.value?.chunk_frames ?? rateHz.value, sounds: all, even: candidates !== null }), before);
}

/** @param {Mixture | null} mixture */
function turnTo(mixture) {
  const was = heard.value;
  if (mixture && was?.name !== mixture.name) before = [];
  else if (mixture && was) before = [...new Set([...was.parts.map((/** @type {Part} */ part) => part.key), ...before])].slice(0, mixture.parts.length + 1);
  heard.value = mixture;
}

/** @param {MessageEvent} event */
function told({ data }) {
  if (data.type === "ended") playing.value = false;
  if (data.type === "turn") turnTo(data.mixture);
  if (data.type !== "at") return;
  batch(() => {
    playhead.value = data.position;
    awaiting.value = data.waiting;
    missed.value = data.missed;
  });
}

/** Opens the device for the song that is on the desk; has to be called from a press or a key. */
async function ready() {
  if (!sounds.value) return false;
  opening ??= open(songId.value);
  const opened = await opening;
  if (graph !== opened) return false;
  await opened.context.resume();
  return true;
}

/** @param {string} song */
async function open(song) {
  const { frames, chunk_frames: chunkFrames, rate_hz: rate } = sounds.value;
  const opened = await openGraph(rate, frames, chunkFrames);
  opened.node.port.onmessage = (event) => { if (graph === opened) told(event); };
  if (song !== songId.value) {
    void closeGraph(opened);
    return opened;
  }
  dispatchEvent(new CustomEvent("arsis-graph", { detail: opened }));
  graph = opened;
  sent = "";
  tell({ type: "seek", position: playhead.value });
  graphs.value += 1;
  const device = await deviceRate();
  if (device !== rate) say(`The sound device runs at ${device} Hz, the song at ${rate} Hz: `
    + "the browser converts every source alike. Set the device to the song's rate to hear the frames as they are.", { once: "rate" });
  return opened;
}


effect(() => {
  const mixture = graphs.value && wanted.value;
  const text = JSON.stringify(mixture);
  if (!mixture || text === sent) return;
  sent = text;
  tell({ type: "hear", mixture });
});
// A pass or a revision that is no more cannot be chosen any more.
effect(() => {
  if (hidden.value || !listed.value.length) return;
  const there = (/** @type {string} */ id) => listed.value.some((/** @type {Sound} */ one) => one.id === id);
  if (source.value !== DIFFERENCE && !there(source.value)) source.value = "print";
  if (!less.value.every(there)) less.value = ["print", "mix"];
});
effect(() => {
  const id = source.value;
  if (hidden.value || id === DIFFERENCE) return;
  lately = [...lately.filter((one) => one !== id), id].slice(-LATELY);
});
effect(() => {
  const range = loop.value;
  void graphs.value;
  tell({ type: "loop", loop: range });
  const at = untracked(() => playhead.value);
  if (range && (at < range.from || at >= range.to)) untracked(() => seek(range.from));
});
effect(() => { if (graphs.value) tell({ type: "level", level: gainOf(levelDb.value) }); });

const second = computed(() => Math.floor((playhead.value / rateHz.value) * 4));
effect(() => {
  void [second.value, wanted.value, heard.value, listed.value, loop.value, graphs.value, hidden.value];
  untracked(refill);
});

// A new plan has new keys; an exact render may have found other frames than were heard so far.
effect(() => {
  const known = untracked(() => sounds.value);
  if (doc.value && known && known.version < doc.value.version) void readSounds();
});
hear("exact", (value) => {
  if (value.song !== songId.value) return;
  chunks.renew(value.key, value.changed ?? []);
  void readSounds();
});

/** Whether something else sounds than is wanted, for longer than an edit should take. */
export const late = signal(false);
const LATE_MS = 400;
const other = computed(() => heard.value !== null && JSON.stringify(heard.value) !== JSON.stringify(wanted.value));
effect(() => {
  late.value = false;
  if (!other.value) return;
  const timer = setTimeout(() => { late.value = true; }, LATE_MS);
  return () => clearTimeout(timer);
});

let shown = "";
effect(() => {
  if (songId.value === shown) return;
  shown = songId.value;
  chunks.close();
  chunks.gone.clear();
  const old = graph;
  graph = opening = null;
  lately = before = [];
  batch(() => {
    playing.value = false;
    heard.value = null;
    missed.value = 0;
    offsets.value = {};
    source.value = "print";
  });
  if (old) void closeGraph(old);
});

export async function play() {
  if (!(await ready())) return;
  const start = loop.value?.from ?? 0;
  if (playhead.value >= (sounds.value?.frames ?? 0)) seek(start);
  playing.value = true;
  tell({ type: "play", playing: true });
}

export function stop() {
  playing.value = false;
  tell({ type: "play", playing: false });
}

export const toggle = () => (playing.value ? stop() : void play());

/** Goes to a frame of the song, whether it plays or not. @param {number} frame */
export function seek(frame) {
  const last = Math.max(0, (sounds.value?.frames ?? 1) - 1);
  playhead.value = Math.min(last, Math.max(0, Math.round(frame)));
  tell({ type: "seek", position: playhead.value });
  untracked(refill);
}
