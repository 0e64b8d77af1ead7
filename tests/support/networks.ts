// Invented networks of tape readings, and a second way to adjust them. In: a seed; out: notes as text and the truth; or positions by
// numeric derivatives and orthogonalised columns (modified Gram and Schmidt), never by normal equations.

/** A stream of numbers 0..1 from a seed (mulberry32). */
export function seeded(seed: number): () => number {
  let a = seed >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), a | 1);
    t = (t + Math.imul(t ^ (t >>> 7), t | 61)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** A normal figure (Box and Muller 1958). */
export function normal(random: () => number): number {
  return Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}

/** Gauss and Newton with numeric derivatives; each step solves min |J d - r| by orthogonal columns. */
export function leastSquares(
  start: readonly number[],
  residualsOf: (unknowns: readonly number[]) => readonly number[], // weighted: observed less computed
  steps = 25,
): number[] {
  let x = [...start];
  for (let step = 0; step < steps; step++) {
    const r = residualsOf(x);
    const columns = x.map((_, j) => {
      const h = 1e-5;
      const up = residualsOf(x.map((v, k) => (k === j ? v + h : v)));
      const down = residualsOf(x.map((v, k) => (k === j ? v - h : v)));
      return up.map((u, i) => -(u - down[i]!) / (2 * h));
    });
    const d = solveOrthogonal(columns, r);
    x = x.map((v, j) => v + d[j]!);
    if (Math.max(...d.map(Math.abs)) < 1e-11) break;
  }
  return x;
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, v, i) => sum + v * b[i]!, 0);
}

/** min |A d - r| for A given by columns. */
function solveOrthogonal(columns: readonly (readonly number[])[], right: readonly number[]): number[] {
  const n = columns.length;
  const q = columns.map((column) => [...column]);
  const upper = q.map(() => new Array<number>(n).fill(0));
  let r = [...right];
  const z: number[] = [];
  for (let k = 0; k < n; k++) {
    const size = Math.sqrt(dot(q[k]!, q[k]!));
    upper[k]![k] = size;
    q[k] = q[k]!.map((v) => v / size);
    for (let j = k + 1; j < n; j++) {
      const share = dot(q[k]!, q[j]!);
      upper[k]![j] = share;
      q[j] = q[j]!.map((v, i) => v - share * q[k]![i]!);
    }
    z[k] = dot(q[k]!, r);
    r = r.map((v, i) => v - z[k]! * q[k]![i]!);
  }
  const d = new Array<number>(n).fill(0);
  for (let k = n - 1; k >= 0; k--) {
    let sum = z[k]!;
    for (let j = k + 1; j < n; j++) sum -= upper[k]![j]! * d[j]!;
    d[k] = sum / upper[k]![k]!;
  }
  return d;
}
