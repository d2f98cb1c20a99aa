// @ts-check
// How likely a result is by guessing alone.

/**
 * The chance that at least `right` of `trials` guesses among `choices` are right: the upper tail of the binomial
 * distribution with p = 1/choices (Abramowitz & Stegun, Handbook of Mathematical Functions, 1964, 26.1.20).
 * @param {number} right @param {number} trials @param {number} choices
 */
export function chanceByGuessing(right, trials, choices) {
  const p = 1 / choices;
  let term = (1 - p) ** trials; // exactly `hits` right
  let below = 0;
  for (let hits = 0; hits < right; hits++) {
    below += term;
    term *= ((trials - hits) / (hits + 1)) * (p / (1 - p));
  }
  let tail = 0;
  for (let hits = right; hits <= trials; hits++) {
    tail += term;
    term *= ((trials - hits) / (hits + 1)) * (p / (1 - p));
  }
  return below < tail ? 1 - below : tail;
}

/** A chance in words: "62 in 100", "1 in 93". @param {number} chance */
export function oddsInWords(chance) {
  if (chance >= 0.995) return "always";
  return chance >= 0.1 ? `${Math.round(100 * chance)} in 100` : `1 in ${Math.round(1 / chance).toLocaleString("en")}`;
}
