// Limits of tests. In: chances and degrees of freedom; out: quantiles. Terms: quantile = what is exceeded with a given chance.

/**
 * What a standard normal figure exceeds with chance `p` (0 < p <= 0.5), within 4.5e-4: M. Abramowitz and I. Stegun, Handbook of
 * Mathematical Functions, 26.2.23 (from memory, checked in tests against printed quantiles).
 *
 * @example
 * normalUpper(0.025); // 1.960
 */
export function normalUpper(p: number): number {
  const t = Math.sqrt(-2 * Math.log(p));
  return t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
}

/** What chi-square of k degrees exceeds with chance `p`: E. B. Wilson and M. M. Hilferty 1931, within 2 % from k = 1 on. */
export function chiSquareUpper(p: number, k: number): number {
  const c = 2 / (9 * k);
  return k * (1 - c + normalUpper(p) * Math.sqrt(c)) ** 3;
}

/** A circle of 95 % round a position is this many times the larger standard error, at most: root of chi-square of 2 degrees. */
export const CIRCLE_95: number = Math.sqrt(-2 * Math.log(0.05));
