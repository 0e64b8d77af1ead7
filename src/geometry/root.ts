// Where a function of one number turns from positive to not positive. In: the function and a bracket; out: the place.
// Terms: bracket = an interval with f > 0 at its start and f <= 0 at its end. Method: bisection sped up by the secant
// of Illinois (Dowell and Jarratt 1971, BIT 11:168), which never leaves the bracket.

/** Steps beyond a secant are at least this share of the width asked for. */
const CLOSING = 0.45;
/** Halvings that take any bracket of doubles down to neighbours. */
const MOST_STEPS = 200;

/**
 * A root between `from` (f > 0) and `to` (f <= 0), at the end of the last bracket, where f <= 0.
 *
 * @param width the bracket may be this wide at the end
 * @param known values of f at the ends, where they have been asked already
 * @example
 * rootIn((x) => 2 - x * x, 0, 2, 1e-12); // 1.4142135623...
 */
export function rootIn(
  f: (x: number) => number,
  from: number,
  to: number,
  width: number,
  known?: { readonly from?: number | undefined; readonly to?: number },
): number {
  let a = from;
  let b = to;
  let fa = known?.from ?? f(a);
  let fb = known?.to ?? f(b);
  let kept = 0; // which end stayed last: +1 the start, -1 the end
  for (let step = 0; step < MOST_STEPS && b - a > width; step++) {
    const middle = (a + b) / 2;
    if (middle <= a || middle >= b) break;
    const secant = fa > fb ? b - (fb * (b - a)) / (fb - fa) : middle;
    // Every third step halves, so that a level stretch or a jump can't hold it up.
    const x = step % 3 === 2 || !(secant > a && secant < b) ? middle : secant;
    const fx = f(x);
    if (fx > 0) {
      a = x;
      fa = fx;
      if (kept === -1) fb /= 2;
      kept = -1;
    } else {
      b = x;
      fb = fx;
      if (kept === 1) fa /= 2;
      kept = 1;
    }
  }
  return b;
}

/**
 * The same for a function that is dear to ask: at most one call more than halving the bracket takes, mostly far fewer. The
 * method is ITP (Oliveira and Takahashi 2020, ACM Trans. Math. Softw. 47:5): a secant, truncated towards the middle and
 * held so near to it that halving is never far ahead.
 */
export function rootInFew(
  f: (x: number) => number,
  from: number,
  to: number,
  width: number,
  known?: { readonly from?: number | undefined; readonly to?: number },
): number {
  let a = from;
  let b = to;
  let fa = known?.from ?? f(a);
  let fb = known?.to ?? f(b);
  const most = Math.max(Math.ceil(Math.log2((b - a) / width)), 0) + 1;
  const pull = 0.2 / (b - a);
  for (let step = 0; step < MOST_STEPS && b - a > width; step++) {
    const half = (a + b) / 2;
    const slack = Math.max((width / 2) * 2 ** (most - step) - (b - a) / 2, 0);
    const secant = fa > fb ? (fb * a - fa * b) / (fb - fa) : half;
    const side = Math.sign(half - secant);
    // At least so far beyond the secant that a good one leaves the root behind it, and the bracket closes.
    const truncation = Math.max(pull * (b - a) ** 2, CLOSING * width);
    const near = truncation <= Math.abs(half - secant) ? secant + side * truncation : half;
    const x = Math.abs(near - half) <= slack ? near : half - side * slack;
    if (!(x > a && x < b)) break;
    const fx = f(x);
    if (fx > 0) {
      a = x;
      fa = fx;
    } else {
      b = x;
      fb = fx;
    }
  }
  return b;
}
