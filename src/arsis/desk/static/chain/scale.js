// @ts-check
// How a setting is moved: steps of its number, and the way along its slider. Only the declaration decides.
import { change, frequency, level } from "../format.js";

/** One setting, see `/api/declarations`.
 * @typedef {{ key: string, name: string, type: string, words: string[], low: number | null, high: number | null,
 *   unit: string, about: string, default: any, required: boolean, start: any }} Spec */

const PLACES = 1000; // along a slider whose steps are shares
const MOVE_DB = 6; // a slider of a change in level goes so far either way, for steps of a tenth under a finger
const LONG = 5000; // a range of more even steps than this has no slider
const WIDE = 20; // from the lowest to the highest by more than this factor: even steps would crowd at one end

/** @typedef {{ low: number, high: number, min: number, max: number, step: number, place: (value: number) => number, value: (place: number) => number }} Way
 * low, high: of the value. min, max, step: of the slider's own places. */

/** The way along a slider that holds `value`; null where a number alone serves better.
 * @param {Spec} spec @param {number} value @returns {Way | null} */
export function way(spec, value) {
  if (spec.low === null || spec.high === null) return null;
  let [low, high] = [spec.low, spec.high];
  if (spec.unit === "Hz" && low > 0) [low, high] = [Math.min(20, Math.max(low, value)), Math.max(20_000, value)];
  if (spec.unit === "dB" && low < 0 && high > 0) [low, high] = [Math.max(low, -MOVE_DB), Math.min(high, MOVE_DB)];
  [low, high] = [Math.max(spec.low, Math.min(low, value)), Math.min(spec.high, Math.max(high, value))];
  if (spec.type === "number" && low > 0 && high / low > WIDE) {
    const octaves = Math.log(high / low);
    return { low, high, min: 0, max: PLACES, step: 1,
      place: (of) => Math.round((PLACES * Math.log(of / low)) / octaves),
      value: (place) => Number((low * Math.exp((octaves * place) / PLACES)).toPrecision(3)) };
  }
  if (high - low > LONG) return null;
  const step = spec.type === "whole" ? 1 : fine(spec);
  return { low, high, min: low, max: high, step, place: (of) => of, value: (place) => Number(place.toFixed(4)) };
}

/** The step of the number itself. @param {Spec} spec */
export function step(spec) {
  if (spec.type === "whole" || spec.unit === "Hz" || spec.unit === "frames") return 1;
  if (spec.unit === "ms") return (spec.low ?? 0) < 1 ? 0.1 : 1;
  return fine(spec);
}

/** @param {Spec} spec */
function fine(spec) {
  if (spec.unit) return spec.unit.startsWith("dB") ? 0.1 : 1;
  return (spec.high ?? 1) > 10 ? 0.1 : 0.05;
}

/** What is wrong with a number, or nothing. @param {Spec} spec @param {number} value */
export function misfit(spec, value) {
  const fits = Number.isFinite(value) && value >= (spec.low ?? -Infinity) && value <= (spec.high ?? Infinity);
  if (fits && (spec.type !== "whole" || Number.isInteger(value))) return "";
  const number = spec.type === "whole" ? "a whole number" : "a number";
  return `${spec.name}: ${number} from ${level(spec.low, 0)} to ${level(spec.high, 0)} ${spec.unit}`.trim();
}

/** A value as it is read out: 3.2 kHz, +0.6 dB, 30 ms. @param {Spec} spec @param {number} value */
export function spoken(spec, value) {
  if (spec.unit === "Hz") return frequency(value);
  if (spec.unit === "dB" && (spec.low ?? 0) < 0) return `${change(value, 2)} dB`;
  return `${shown(value).replace("-", "−")} ${spec.unit}`.trim();
}

/** A value as it stands in a field: no more digits than anyone reads. @param {number} value */
export function shown(value) {
  return String(Number(value.toFixed(Math.abs(value) < 10 ? 4 : 2)));
}
