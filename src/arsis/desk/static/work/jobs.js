// @ts-check
// Jobs of the server as the page knows them: begun, watched, stopped, told of when they end.
import { h } from "../vendor/preact.js";
import { computed } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { ask, hear } from "../api.js";
import { jobs, readDoc, release, say, songId, tried } from "../state.js";

const html = htm.bind(h);
/** @typedef {import("../state.js").Json} Json */

export const NAMES = { print: "print", report: "report", advise: "advice", apply: "move", record: "record",
  deliver: "delivery", verify: "check of the delivery" };
const STATES = { waiting: "waits for others", running: "running", done: "done", failed: "failed", cancelled: "stopped" };
/** @param {Json} job */
export const isOpen = (job) => job.state === "waiting" || job.state === "running";

/** The newest job of one kind, of the open song or of the release. @param {string} kind @param {boolean} [ofSong] */
export const newest = (kind, ofSong = true) => computed(() =>
  jobs.value.findLast((one) => one.kind === kind && one.song === (ofSong ? songId.value : null)) ?? null);

let reading = false, again = false;
async function readJobs() {
  if (reading) { again = true; return; }
  reading = true;
  const got = await ask("/api/jobs").catch(() => null);
  reading = false;
  if (got) {
    for (const one of got) if (!isOpen(one) && jobs.value.some((was) => was.id === one.id && isOpen(was))) tellEnd(one);
    jobs.value = got;
  }
  if (again) { again = false; await readJobs(); }
}

/** @param {Json} job */
function tellEnd(job) {
  if (job.kind === "apply" && job.song === songId.value) void readDoc(); // it kept a state, too
  const song = release.value?.songs.find((/** @type {Json} */ one) => one.id === job.song);
  const what = `${NAMES[/** @type {keyof NAMES} */ (job.kind)]}${song ? ` of ${song.title}` : ""}`;
  if (job.state === "done") say(`${what}: done${job.result?.warnings?.length ? ", with a warning" : ""}`);
  else if (job.state === "failed") say(`${what}: ${job.told}`, { must: true });
  else say(`${what}: stopped; ${job.told}`);
}

hear("hello", () => void readJobs());
hear("job", (news) => {
  const known = jobs.value.find((one) => one.id === news.id);
  if (known?.state !== news.state) void readJobs();
  else jobs.value = jobs.value.map((one) => (one === known ? { ...known, ...news } : one));
});

/** @param {string} kind @param {Json} [wish] */
export const beginOnSong = (kind, wish = {}) => begin(`/api/songs/${encodeURIComponent(songId.value)}/jobs`, { kind, ...wish });
/** @param {string} kind @param {Json} [wish] */
export const beginOnRelease = (kind, wish = {}) => begin("/api/jobs", { kind, ...wish });

/** @param {string} path @param {Json} wish */
async function begin(path, wish) {
  const job = await tried(ask(path, wish));
  if (job && !jobs.value.some((one) => one.id === job.id)) jobs.value = [...jobs.value, job];
  return job;
}

/** @param {Json} job @param {number} n */
export const fileOf = (job, n) => `/api/jobs/${job.id}/files/${n}`;

/** How far a job has come, with a way to stop it; why it ended where it did not end well.
 * @param {{ job: Json }} props */
export function Coming({ job }) {
  const name = NAMES[/** @type {keyof NAMES} */ (job.kind)];
  if (isOpen(job)) {
    const share = job.total ? Math.min(1, job.done / job.total) : undefined;
    return html`<p class="coming"><progress aria-label=${`how far the ${name} has come`} value=${share} max="1"></progress>
      <span>${job.state === "waiting" ? STATES.waiting : share === undefined ? STATES.running : `${Math.floor(100 * share)} %`}</span>
      <button onClick=${() => void tried(ask(`/api/jobs/${job.id}`, undefined, "DELETE"))}>stop the ${name}</button></p>`;
  }
  if (job.state === "done") return null;
  return html`<p class=${job.state === "failed" ? "fault" : "soft"}>${name}: ${STATES[/** @type {keyof STATES} */ (job.state)]}: ${job.told}</p>`;
}

/** @param {{ warnings: string[] | undefined }} props */
export function Warnings({ warnings }) {
  return warnings?.length ? html`<ul class="fault" aria-label="warnings">${warnings.map((one) => html`<li>${one}</li>`)}</ul>` : null;
}

/** A file to take. @param {{ job: Json, n?: number }} props */
export function Take({ job, n = 0 }) {
  const file = job.files[n];
  if (!file) return null;
  if (!file.there) return html`<span class="soft">${file.name}: written anew since</span>`;
  return html`<a href=${fileOf(job, n)} download=${file.name}>download ${file.name}</a> <span class="soft">${size(file.bytes)}</span>`;
}

/** @param {number} bytes */
const size = (bytes) => (bytes < 1e6 ? `${Math.ceil(bytes / 1e3)} kB` : `${(bytes / 1e6).toFixed(1)} MB`);

/** A page that a job made, shown apart. @param {{ job: Json, n?: number, children?: Json }} props */
export function Open({ job, n = 0, children }) {
  return job.files[n]?.there ? html`<a href=${`${fileOf(job, n)}?show=1`} target="_blank" rel="noopener">${children}</a>` : null;
}
