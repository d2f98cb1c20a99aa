// @ts-check
// Numbers as people read them.

/** A level or a loudness: −14.2. @param {number | null | undefined} value */
export function level(value, places = 1) {
  return value === null || value === undefined ? "–" : value.toFixed(places).replace("-", "−").replace(/^−(0(\.0*)?)$/, "$1");
}

/** A change: +0.6, −0.3, 0.0. @param {number | null | undefined} value */
export function change(value, places = 1) {
  if (value === null || value === undefined) return "–";
  const text = level(value, places);
  return value > 0 && Number(text) !== 0 ? `+${text}` : text;
}

/** A place in the song: 1:38.095. @param {number} seconds */
export function time(seconds, places = 1) {
  const whole = Number(seconds.toFixed(places));
  const minutes = Math.floor(whole / 60);
  return `${minutes}:${(whole - 60 * minutes).toFixed(places).padStart(places ? 3 + places : 2, "0")}`;
}

/** A frequency: 95 Hz, 3.2 kHz. @param {number} hz */
export function frequency(hz) {
  return hz < 1000 ? `${Number(hz.toPrecision(3))} Hz` : `${Number((hz / 1000).toPrecision(3))} kHz`;
}
