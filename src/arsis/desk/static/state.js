// @ts-check
// All that the parts of the page share: what is open, what is chosen, what is heard; and what can be done.
import { signal, computed, batch } from "./vendor/signals.js";
import { ask, hear, listen, Refused, rest } from "./api.js";

/** Any JSON of the server. @typedef {any} Json */

export const release = signal(/** @type {Json} */ (null));
export const songId = signal("");
/** The song's document, see `/api/songs/{id}`; null until it is there. */
export const doc = signal(/** @type {Json} */ (null));
/** Mix and print section by section as last measured; `shape.version` says of which plan. */
export const shape = signal(/** @type {Json} */ (null));
export const beats = signal(/** @type {Json} */ (null));
/** What can be heard, see `/api/songs/{id}/sounds`. */
export const sounds = signal(/** @type {Json} */ (null));
export const jobs = signal(/** @type {Json[]} */ ([]));
/** Messages: {id, text, must, choices: [{label, run}]}. */
export const notices = signal(/** @type {Json[]} */ ([]));
export const connected = signal(false);

/** The part of the song in sight, in seconds. */
export const view = signal({ from_s: 0, to_s: 1 });
export const chosen = signal({ section: /** @type {string | null} */ (null), pass: /** @type {string | null} */ (null), link: /** @type {number | null} */ (null) });
/** Chosen pass `null` stands for the finish where `finishChosen` is on. */
export const finishChosen = signal(false);

/** The player's: frames of the song, whether it plays, the id of the sound, the loop. */
export const playhead = signal(0);
export const playing = signal(false);
export const source = signal("print");
export const loop = signal(/** @type {{ from: number, to: number } | null} */ (null));

export const plan = computed(() => doc.value?.plan ?? null);
export const rateHz = computed(() => doc.value?.rate_hz ?? 44100);
/** A mix that cannot be read, or not yet, has no length: its last section then ends where it starts. */
export const sections = computed(() => {
  const entries = plan.value?.section ?? [];
  return entries.map((/** @type {Json} */ one, /** @type {number} */ i) => ({
    ...one, end_s: entries[i + 1]?.start_s ?? doc.value.duration_s ?? one.start_s }));
});

const here = () => `/api/songs/${encodeURIComponent(songId.value)}`;

let told = 0;
/** Tells the person something. @param {string} text @param {{ must?: boolean, choices?: { label: string, run: () => void }[], once?: string }} [how]
 * must: it has to be seen. once: a newer one of the same name takes its place. */
export function say(text, how = {}) {
  const one = { id: ++told, text, must: how.must ?? false, choices: how.choices ?? [], once: how.once };
  notices.value = [...notices.value.filter((was) => !how.once || was.once !== how.once), one];
  if (!one.must && !one.choices.length) setTimeout(() => unsay(one.id), 8000);
}

/** @param {number} id */
export function unsay(id) {
  notices.value = notices.value.filter((one) => one.id !== id);
}

/** Runs a request and tells what was refused. @template T @param {Promise<T>} request @returns {Promise<T | null>} */
export async function tried(request) {
  try {
    return await request;
  } catch (fault) {
    if (!(fault instanceof Refused)) throw fault;
    say(fault.message, { must: true });
    return null;
  }
}

/** @param {string} id */
export async function openSong(id) {
  batch(() => {
    songId.value = id;
    doc.value = shape.value = beats.value = sounds.value = null;
    chosen.value = { section: null, pass: null, link: null };
    playhead.value = 0;
    loop.value = null;
  });
  history.replaceState(null, "", `#${encodeURIComponent(id)}`);
  const got = await tried(ask(here()));
  if (!got || songId.value !== id) return;
  batch(() => {
    take(got);
    view.value = { from_s: 0, to_s: got.duration_s ?? 1 };
    const first = got.plan.section[0];
    chosen.value = { section: first?.name ?? null, pass: first?.pass ?? null, link: null };
  });
  await Promise.all([readShape(), readBeats()]);
}

/** A document, which brings what can be heard of it: an edit is heard without being asked about. @param {Json} document */
function take(document) {
  if (document.id !== songId.value || document.version < (doc.value?.version ?? 0)) return;
  batch(() => {
    doc.value = document;
    takeSounds(document.sounds);
  });
}

/** @param {Json} got */
function takeSounds(got) {
  if (got.version >= (sounds.value?.version ?? 0)) sounds.value = got;
}

export const readDoc = async () => { const got = await tried(ask(here())); if (got) take(got); };
export const readShape = async () => { const got = await tried(ask(`${here()}/shape`)); if (got) shape.value = got; };
export const readBeats = async () => { const got = await tried(ask(`${here()}/beats`)); if (got?.beats_s) beats.value = got; };
export const readSounds = async () => {
  const song = songId.value;
  const got = await tried(ask(`${here()}/sounds`));
  if (got && song === songId.value) takeSounds(got);
};

/** @typedef {{ gesture?: string, label?: string }} How
 * gesture: edits of one gesture are one step of undo. label: what the step is called. */
/** @type {{ song: string, edit: string, args: Json, how: How, done: (ok: boolean) => void }[]} */
const waiting = [];
let busy = false;

/** One edit of the plan; edits go in order, and of one gesture only the newest that waits.
 * @param {string} edit @param {Json} args @param {How} [how] @returns {Promise<boolean>} whether it was taken */
export function edit(edit, args, how = {}) {
  return new Promise((done) => {
    const last = waiting.at(-1);
    if (last && how.gesture && last.how.gesture === how.gesture && last.edit === edit) waiting.pop()?.done(true);
    waiting.push({ song: songId.value, edit, args, how, done });
    if (!busy) void send();
  });
}

async function send() {
  busy = true;
  for (let next = waiting.shift(); next; next = waiting.shift()) {
    const { song, edit, args, how, done } = next;
    const got = await tried(ask(`/api/songs/${encodeURIComponent(song)}/edits`, { edit, args, ...how, seen: doc.value?.version }));
    if (got) take(got);
    else await readDoc();
    done(got !== null);
  }
  busy = false;
}

/** Whether every edit has reached the plan on disk. */
export const settled = () => !busy && waiting.length === 0;

/** @param {string} path @param {Json} [body] */
async function act(path, body = {}) {
  const got = await tried(ask(`${here()}/${path}`, body));
  if (got) take(got);
}
export const undo = () => act("undo");
export const redo = () => act("redo");
/** @param {string} note */
export const keep = (note) => act("revisions", { note });
/** Puts an advised move aside, or takes it up again; the plan is not written. @param {string} id @param {boolean} dropped */
export const dropMove = async (id, dropped) => {
  const got = await tried(ask(`${here()}/moves/${encodeURIComponent(id)}`, { dropped }));
  if (got) takeSounds(got);
};
/** @param {number} number */
export const restore = (number) => act(`revisions/${number}/restore`);
/** @param {"desk" | "disk"} which */
export const takeSide = (which) => act("take", { which });

/** @param {Partial<{ section: string | null, pass: string | null, link: number | null }>} what */
export function choose(what) {
  batch(() => {
    chosen.value = { ...chosen.value, link: null, ...what };
    if ("pass" in what) finishChosen.value = what.pass === null;
  });
}

let run = "";
/** Starts the page: the release, the song in the address or the first, and the news. */
export async function start() {
  hear("hello", async (value) => {
    const again = run !== "" && run !== value.run;
    run = value.run;
    connected.value = true;
    if (again) say("the server was started anew; the page has read everything again", { once: "server" });
    if (doc.value) await Promise.all([readDoc(), readShape(), readBeats()]);
  });
  hear("gone", () => { connected.value = false; });
  const mine = (/** @type {(value: Json) => void} */ then) => (/** @type {Json} */ value) => { if (value.song === songId.value) then(value); };
  hear("song", mine((value) => { if (doc.value && value.version > doc.value.version) void readDoc(); }));
  hear("shape", mine(() => void readShape()));
  hear("beats", mine(() => void readBeats()));
  hear("sounds", mine(() => void readSounds()));
  listen();
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) listen();
    else if (!playing.value) rest();
  });
  release.value = await tried(ask("/api/release"));
  const wanted = decodeURIComponent(location.hash.slice(1));
  const there = (release.value?.songs ?? []).map((/** @type {Json} */ one) => one.id);
  if (there.length) await openSong(there.includes(wanted) ? wanted : there[0]);
}
