// Where a function of one number turns from positive to not positive. In: the function and a bracket; out: the place.
// Terms: bracket = an interval with f > 0 at its start and f <= 0 at its end. Method: bisection sped up by the secant
// of Illinois (Dowell and Jarratt 1971, BIT 11:168), which never leaves the bracket.

/** Steps beyond a secant are at least this share of the width asked for. */
const CLOSING = 0.45;
/** A first secant is taken so much beyond itself, as a share of the bracket. */
const PULL = 0.02;
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
 * The same for the greatest of some functions that are dear to ask: at most one call more than halving the bracket takes, mostly
 * far fewer. It falls to 0 where the last of them does, or rises to it where the first does. Each has a secant of its own: the
 * greatest of them has a bend where another takes its place. The method is ITP (Oliveira and Takahashi 2020, ACM Trans. Math.
 * Softw. 47:5): a secant, truncated towards the middle and held so near to it that halving is never far ahead.
 *
 * @param way 1: they fall, above 0 at `from`; -1: they rise, below 0 at `from`
 * @param known their values at the ends
 * @example
 * rootOfMost((x) => [4 - x, 1 - x], 0, 8, 1e-6, 1, { from: [4, 1], to: [-4, -7] }); // 4
 */
export function rootOfMost(
  f: (x: number) => readonly number[],
  from: number,
  to: number,
  width: number,
  way: 1 | -1,
  known: { readonly from: readonly number[]; readonly to: readonly number[] },
): number {
  let a = from;
  let b = to;
  let { from: fa, to: fb } = known;
  const next = inFew(from, to, width);
  for (let step = 0; step < MOST_STEPS && b - a > width; step++) {
    const x = next(a, b, secantOfMost(a, b, fa, fb, way), step);
    if (!(x > a && x < b)) break;
    const fx = f(x);
    if (way * Math.max(...fx) > 0) {
      a = x;
      fa = fx;
    } else {
      b = x;
      fb = fx;
    }
  }
  return b;
}

/** Where the greatest of some functions is 0 by their secants through two places. */
export function secantOfMost(a: number, b: number, fa: readonly number[], fb: readonly number[], way: 1 | -1): number {
  const roots = fa.flatMap((value, i) => {
    const other = fb[i]!;
    const decides = way > 0 ? value > 0 : other >= 0;
    return decides && way * value > way * other ? [a + (value * (b - a)) / (value - other)] : [];
  });
  if (roots.length === 0) return (a + b) / 2;
  return way > 0 ? Math.max(...roots) : Math.min(...roots);
}

/** Where to ask next, so that a bracket is closed in few calls by secants that may be bad. */
function inFew(from: number, to: number, width: number) {
  const most = Math.max(Math.ceil(Math.log2((to - from) / width)), 0) + 1;
  const pull = PULL / (to - from);
  return (a: number, b: number, secant: number, step: number): number => {
    const half = (a + b) / 2;
    const slack = Math.max((width / 2) * 2 ** (most - step) - (b - a) / 2, 0);
    const side = Math.sign(half - secant);
    // At least so far beyond the secant that a good one leaves the root behind it, and the bracket closes.
    const truncation = Math.max(pull * (b - a) ** 2, CLOSING * width);
    const near = truncation <= Math.abs(half - secant) ? secant + side * truncation : half;
    return Math.abs(near - half) <= slack ? near : half - side * slack;
  };
}
