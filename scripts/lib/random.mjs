// In: a seed. Out: the same stream of numbers on every machine, for invented data and benches.
// Terms: a stream is a function that gives the next number in [0, 1); every helper below draws from one.
// mulberry32 is a public-domain 32-bit generator: integer arithmetic only, so no platform can differ.

/**
 * A seeded stream of numbers in [0, 1).
 *
 * @param {number} seed any integer
 * @returns {() => number}
 * @example
 * const next = mulberry32(7);
 * next(); // 0.011704753153026104
 */
export function mulberry32(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** A number in [low, high). */
export function between(next, low, high) {
  return low + (high - low) * next();
}

/** A whole number from low to high, both included. */
export function wholeBetween(next, low, high) {
  return low + Math.floor((high - low + 1) * next());
}

/** One draw from the normal distribution of mean 0 and deviation 1 (Box and Muller 1958). */
export function normal(next) {
  const u = 1 - next(); // never 0
  return Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * next());
}

/** A lognormal draw by its median and the deviation of its logarithm, kept inside [low, high]. */
export function lognormal(next, median, sigma, low, high) {
  return Math.min(high, Math.max(low, median * Math.exp(sigma * normal(next))));
}

/** One entry of a table of [weight, value] rows, drawn by weight. */
export function weighted(next, rows) {
  let total = 0;
  for (const row of rows) total += row[0];
  let left = next() * total;
  for (const row of rows) {
    left -= row[0];
    if (left < 0) return row[1];
  }
  return rows[rows.length - 1][1];
}
