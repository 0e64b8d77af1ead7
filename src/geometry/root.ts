// Where a function of one number turns from positive to not positive. In: the function and a bracket; out: the place.
// Terms: bracket = an interval with f > 0 at its start and f <= 0 at its end. Method: bisection sped up by the secant
// of Illinois (Dowell and Jarratt 1971, BIT 11:168), which never leaves the bracket.

/** Halvings that take any bracket of doubles down to neighbours. */
const MOST_STEPS = 200;

/**
 * A root between `from` (f > 0) and `to` (f <= 0), at the end of the last bracket, where f <= 0.
 *
 * @param width the bracket may be this wide at the end
 * @example
 * rootIn((x) => 2 - x * x, 0, 2, 1e-12); // 1.4142135623...
 */
export function rootIn(f: (x: number) => number, from: number, to: number, width: number): number {
  let a = from;
  let b = to;
  let fa = f(a);
  let fb = f(b);
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
