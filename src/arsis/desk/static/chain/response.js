// @ts-check
// The curve of the open chain over the measured spectrum of the sections that use it, before and after.
import { h } from "../vendor/preact.js";
import { useEffect, useRef, useState } from "../vendor/preact-hooks.js";
import { computed, effect, signal } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { ask, Refused } from "../api.js";
import { change, frequency } from "../format.js";
import { chosen, plan, songId } from "../state.js";
import { chain, owner } from "./change.js";

const html = htm.bind(h);

const CALM_MS = 500; // a spectrum is measured when the plan has not changed for so long
const MARKS_HZ = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000];
/** The numbers of these go where an octave is narrower than this: beside 100 and 10k they would touch. */
const CROWDED_HZ = [200, 20_000], CROWDED_PX = 28;
const SPANS_DB = [3, 6, 12, 24, 48]; // of the curve's axis, either way
const SPECTRUM_DB = 60;
const LOW_HZ = 20;
const FALL_DB = 6;
const EDGE = { left: 34, right: 8, top: 8, bottom: 18 };

/** @typedef {(number | null)[]} Levels */
const curve = signal(/** @type {any} */ (null));
const spectrum = signal(/** @type {any} */ (null));
const fault = signal("");

/** Asks for the newest only: one request at a time, and none for what is no longer wanted.
 * @param {(wanted: any) => Promise<any>} get @param {(got: any) => void} take */
function newest(get, take) {
  let wanted = /** @type {any} */ (null), busy = false;
  return async (/** @type {any} */ next) => {
    wanted = next;
    if (busy) return;
    busy = true;
    while (wanted) {
      const now = wanted;
      wanted = null;
      const got = await get(now).catch((refused) => { if (refused instanceof Refused) return { refused: refused.message }; throw refused; });
      if (!wanted) take(got);
      await new Promise(requestAnimationFrame);
    }
    busy = false;
  };
}

const draw = newest(
  ({ song, links }) => ask(`/api/songs/${encodeURIComponent(song)}/response`, { chain: links }),
  (got) => { fault.value = got.refused ?? ""; if (!got.refused) curve.value = got; },
);
const measure = newest(
  ({ song, of }) => ask(`/api/songs/${encodeURIComponent(song)}/spectrum${of === null ? "" : `?pass=${encodeURIComponent(of)}`}`),
  (got) => { spectrum.value = got.refused ? null : got; },
);

/** What the spectrum depends on, as text that begins with the song and whose chain it is. */
const measured = computed(() => {
  const of = owner.value;
  if (of === undefined) return "";
  const { section, pass, ride, finish } = plan.value;
  const depends = of === null ? [section, pass, ride, finish]
    : [pass[of], section.map((/** @type {any} */ one) => [one.start_s, one.pass === of])];
  return JSON.stringify([songId.value, of, depends]);
});

/** Follows what is open, for as long as the figure is there. @returns {() => void} */
function follow() {
  let calm = 0, was = "", seen = "";
  const drawn = effect(() => {
    const asked = { song: songId.value, links: chain.value };
    const now = JSON.stringify(asked);
    if (owner.value === undefined || now === seen) return;
    seen = now;
    void draw(asked);
  });
  const heard = effect(() => {
    const now = measured.value;
    if (now === was) return;
    clearTimeout(calm);
    const [song, of] = now ? JSON.parse(now) : ["", ""];
    const edited = was.startsWith(`${JSON.stringify([song, of]).slice(0, -1)},`);
    was = now;
    if (!edited) spectrum.value = null;
    if (now) calm = setTimeout(() => void measure({ song, of }), edited ? CALM_MS : 0);
  });
  return () => { drawn(); heard(); clearTimeout(calm); };
}

/** Pixels of the element, as they are now. @param {{ current: HTMLElement | null }} at */
function useSize(at) {
  const [size, setSize] = useState([340, 170]);
  useEffect(() => {
    const watch = new ResizeObserver(([one]) => setSize([one.contentRect.width, one.contentRect.height]));
    if (at.current) watch.observe(at.current);
    return () => watch.disconnect();
  }, []);
  return size;
}

export function Response() {
  useEffect(follow, []);
  const at = useRef(/** @type {HTMLElement | null} */ (null));
  const [width, height] = useSize(at);
  const got = curve.value;
  return html`<figure class="response">
    <div ref=${at}>${got && width > 80 && html`<${Figure} got=${got} width=${width} height=${height} />`}</div>
    <figcaption>${fault.value ? html`<span role="status">${fault.value}</span>` : html`<${Caption} got=${got} />`}</figcaption>
  </figure>`;
}

/** @param {{ got: any, width: number, height: number }} props */
function Figure({ got, width, height }) {
  const [low, high] = [LOW_HZ, got.freq_hz.at(-1)];
  const [right, floor] = [width - EDGE.right, height - EDGE.bottom];
  const x = (/** @type {number} */ hz) => EDGE.left + ((right - EDGE.left) * Math.log(hz / low)) / Math.log(high / low);
  const span = spanOf(got);
  const y = (/** @type {number} */ db) => EDGE.top + ((floor - EDGE.top) * (span - Math.max(-span, Math.min(span, db)))) / (2 * span);
  const shown = (/** @type {number} */ hz) => x(200) - x(100) >= CROWDED_PX || !CROWDED_HZ.includes(hz);
  const line = (/** @type {Levels} */ db, name = "") => html`<path class=${name} d=${path(got.freq_hz, db, low, x, y)} />`;
  return html`<svg width=${width} height=${height} viewBox="0 0 ${width} ${height}" role="img" aria-label=${told(got)}>
    <${Spectrum} x=${x} low=${low} high=${high} floor=${floor} />
    ${[-1, -0.5, 0, 0.5, 1].map((share) => html`<g><line class=${share ? "grid" : "zero"} x1=${EDGE.left} x2=${right} y1=${y(share * span)} y2=${y(share * span)} />
      <text class="axis" x=${EDGE.left - 4} y=${y(share * span) + 4} text-anchor="end">${change(share * span, span < 6 ? 1 : 0)}</text></g>`)}
    <text class="axis" x=${EDGE.left + 4} y=${EDGE.top + 9}>dB</text>
    ${MARKS_HZ.filter((hz) => hz <= high).map((hz) => html`<g><line class="tick" x1=${x(hz)} x2=${x(hz)} y1=${floor} y2=${floor + 3} />
      ${shown(hz) && html`<text class="axis" x=${x(hz)} y=${height - 4} text-anchor="middle">${hz < 1000 ? hz : `${hz / 1000}k`}</text>`}</g>`)}
    ${got.links.map((/** @type {any} */ one, /** @type {number} */ i) => html`${one.db && i !== chosen.value.link && line(one.db, "each")}
      ${one.most_db && i !== chosen.value.link && line(one.most_db, "each most")}`)}
    ${got.wholes.map((/** @type {any} */ one, /** @type {number} */ i) => html`${one.most_db && line(one.most_db, "whole most")}
      ${line(one.db, i ? "whole second" : "whole")}`)}
    ${[got.links[chosen.value.link ?? -1]].map((one) => one && html`${one.db && line(one.db, "one")}${one.most_db && line(one.most_db, "one most")}`)}
  </svg>`;
}

/** @param {{ x: (hz: number) => number, low: number, high: number, floor: number }} props */
function Spectrum({ x, low, high, floor }) {
  const heard = spectrum.value;
  if (!heard) return null;
  const top = Math.max(...heard.before_db.map((/** @type {number | null} */ db) => db ?? -Infinity));
  if (!Number.isFinite(top)) return null;
  const y = (/** @type {number} */ db) => EDGE.top + ((floor - EDGE.top) * Math.min(SPECTRUM_DB, Math.max(-3, top - db) + 3)) / SPECTRUM_DB;
  const [before, after] = [heard.before_db, heard.after_db].map((db) => path(heard.freq_hz, db.map((/** @type {number | null} */ one) => one ?? -999), low, x, y));
  const ends = [heard.freq_hz[0], heard.freq_hz.at(-1)].map((hz) => x(Math.min(high, Math.max(low, hz))));
  return html`<g><path class="after" d="${after}L${ends[1].toFixed(1)} ${floor}L${ends[0].toFixed(1)} ${floor}Z" /><path class="before" d=${before} /></g>`;
}

/** @param {number[]} hz @param {Levels} db @param {number} low @param {(hz: number) => number} x @param {(db: number) => number} y */
function path(hz, db, low, x, y) {
  const points = hz.flatMap((one, i) => (one < low * 0.99 ? [] : [`${x(one).toFixed(1)} ${y(db[i] ?? -999).toFixed(1)}`]));
  return `M${points.join("L")}`;
}

/** The smallest axis that holds the curves; what a pass takes away at either end may run off it. @param {any} got */
function spanOf(got) {
  const counts = (/** @type {number | null} */ db, /** @type {number} */ i) => {
    const hz = got.freq_hz[i];
    return db !== null && hz >= LOW_HZ && (db > -FALL_DB || (db > -3 * FALL_DB && hz > 2 * LOW_HZ && hz < 16_000));
  };
  const all = [...got.wholes, ...got.links].flatMap((one) => [one.db ?? [], one.most_db ?? []]).flatMap((db) => db.filter(counts));
  const most = all.reduce((/** @type {number} */ so, /** @type {number} */ db) => Math.max(so, Math.abs(db)), 0);
  return SPANS_DB.find((span) => span >= most * 1.05) ?? 96;
}

/** The curve in words. @param {any} got */
function told(got) {
  return got.wholes.map((/** @type {any} */ one) => {
    const levels = one.db.map((/** @type {number | null} */ db) => db ?? -Infinity);
    const [top, bottom] = [Math.max(...levels), Math.min(...levels)];
    const at = (/** @type {number} */ db) => `${Number.isFinite(db) ? change(db) : "nothing left"} dB at ${frequency(got.freq_hz[levels.indexOf(db)])}`;
    const name = one.of === "everything" ? "response" : `response of ${one.of === "middle" || one.of === "sides" ? "the " : ""}${one.of}`;
    if (top - bottom < 0.05) return `${name}: ${change(top)} dB everywhere`;
    return `${name}: from ${at(bottom)} to ${at(top)}`;
  }).join("; ");
}

/** What lies in the figure. @param {{ got: any }} props */
function Caption({ got }) {
  const link = got?.links[chosen.value.link ?? -1];
  const heard = spectrum.value;
  const of = owner.value;
  return html`
    ${link && html`<span class="says" title=${link.says}>${link.says}</span>${!link.db && !link.most_db && link.works && html`<span>no curve: it depends on the level</span>`}`}
    ${got?.wholes[1] && html`<span>${got.wholes[0].of} thick, ${got.wholes[1].of} dashed</span>`}
    ${got?.wholes[0].most_db && html`<span>dotted: moved as far as it goes</span>`}
    ${heard && html`<span title=${heard.sections.join(", ")}>spectrum of ${of === null || !heard.sections.length ? "the song" : heard.sections.join(", ")}: <span class="k before"></span>${
      of === null ? "before" : "mix"} <span class="k after"></span>${of === null ? "after, into the limiter" : "pass"}</span>`}`;
}
