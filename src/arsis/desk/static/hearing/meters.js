// @ts-check
// The engine's own figures at the playhead: of the sound itself, before trim and monitor level.
import { h } from "../vendor/preact.js";
import { computed, effect, signal, untracked } from "../vendor/signals.js";
import { useEffect, useRef } from "../vendor/preact-hooks.js";
import htm from "../vendor/htm.js";
import { ask, hear } from "../api.js";
import { change, level } from "../format.js";
import { addKeys } from "../keys.js";
import { playhead, rateHz, songId, sounds, source } from "../state.js";
import { offsets } from "./player.js";
import { isRecord } from "./sources.js";

const html = htm.bind(h);

/** @typedef {{ name: string, of: string, unit: string, low: number, high: number, text: (value: number | null) => string }} Meter
 * of: the series. low, high: the ends of its bar. */

/** @type {Meter[]} */
const METERS = [
  { name: "momentary", of: "momentary_lufs", unit: "LUFS", low: -40, high: -5, text: level },
  { name: "short-term", of: "short_term_lufs", unit: "LUFS", low: -40, high: -5, text: level },
  { name: "true peak", of: "true_peak_dbtp", unit: "dBTP", low: -40, high: 0, text: level },
  { name: "PSR", of: "psr_db", unit: "dB", low: 0, high: 24, text: level },
  { name: "correlation", of: "correlation", unit: "", low: -1, high: 1, text: (value) => change(value, 2) },
  { name: "took", of: "took_db", unit: "dB", low: 0, high: 6, text: level },
];

const SETTLE_MS = 250;

/** The series of the chosen sound; null where it has none (a difference, a blind comparison, not measured yet). */
const series = signal(/** @type {any} */ (null));
const sound = computed(() => (sounds.value?.sounds ?? []).find((/** @type {any} */ one) => one.id === source.value) ?? null);

let asked = 0;
async function read() {
  const mine = ++asked;
  const id = sound.value?.id;
  const path = `/api/songs/${encodeURIComponent(songId.value)}/series/${encodeURIComponent(id ?? "")}`;
  const got = id ? await ask(path).catch(() => null) : null;
  if (mine === asked) series.value = got?.hop_s ? got : null;
}
const key = computed(() => `${songId.value} ${sound.value?.id} ${sound.value?.key}`);
let shown = "";
effect(() => {
  void key.value;
  const id = untracked(() => sound.value?.id ?? "");
  if (id !== shown) series.value = null;
  // After an edit the sound itself comes first; until then the figures are those of before it.
  const timer = setTimeout(read, id === shown ? SETTLE_MS : 0);
  shown = id;
  return () => clearTimeout(timer);
});
hear("shape", (value) => { if (value.song === songId.value) void read(); });
hear("exact", (value) => { if (value.song === songId.value && value.key === sound.value?.key) void read(); });

/** Which step of the series the playhead is in. */
const step = computed(() => {
  if (!series.value || !sound.value) return -1;
  const own_s = offsets.value[sound.value.id] ?? sound.value.offset_s ?? 0;
  return Math.floor((playhead.value / rateHz.value + own_s) / series.value.hop_s);
});

/** @param {string} name @returns {number | null} */
const valueOf = (name) => series.value?.[name]?.[step.value] ?? null;

/** Everything once, in words. */
function told() {
  if (!series.value) return "no figures for what is heard";
  return METERS.filter((one) => series.value[one.of]).map((one) => `${one.name} ${one.text(valueOf(one.of))} ${one.unit}`).join(", ");
}
const spoken = signal("");
addKeys([{ key: "i", does: "say the figures at the playhead", run: () => { spoken.value = told(); }, where: "hearing" }]);

/** @param {{ meter: Meter }} props */
function One({ meter }) {
  const bar = useRef(/** @type {HTMLElement | null} */ (null));
  const text = useRef(computed(() => meter.text(valueOf(meter.of)))).current;
  useEffect(() => effect(() => {
    const value = valueOf(meter.of);
    const share = value === null ? 0 : (value - meter.low) / (meter.high - meter.low);
    if (bar.current) bar.current.style.transform = `scaleX(${Math.min(1, Math.max(0, share))})`;
  }), []);
  return html`<div class="meter ${meter.of}">
    <span class="soft">${meter.name}</span> <span class="figure">${text}</span> <span class="soft">${meter.unit}</span>
    <div class="bar"><div ref=${bar}></div></div></div>`;
}

export function Meters() {
  return html`<div class="meters" role="group" aria-label="figures of the sound itself at the playhead, before trim and monitor level"
      title="of the sound itself at the playhead, before trim and monitor level">
    ${METERS.filter((meter) => meter.of !== "took_db" || !isRecord(source.value)).map((meter) => html`<${One} key=${meter.of} meter=${meter} />`)}
    <span class="words-only" role="status">${spoken}</span></div>`;
}
