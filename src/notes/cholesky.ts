// Normal equations. In: a symmetric matrix by rows, a right side; out: the solution, the inverse, or the unknown that nothing
// fixes. Terms: pivot = what is left of a diagonal entry when the earlier unknowns are taken out. Cost: n^3 / 3, the inverse n^3.
// Our own, because it is all of linear algebra that notes need: a library would weigh more than the room that uses it.

/** A pivot below this share of its diagonal is lost in rounding: the unknown is not fixed. */
const LOST = 1e-11;

/** Lower triangle in place; -1, or the first unknown that is not fixed. */
export function factor(matrix: Float64Array, n: number): number {
  for (let j = 0; j < n; j++) {
    const diagonal = matrix[j * n + j]!;
    let pivot = diagonal;
    for (let k = 0; k < j; k++) pivot -= matrix[j * n + k]! ** 2;
    if (!(pivot > LOST * diagonal)) return j;
    const root = Math.sqrt(pivot);
    matrix[j * n + j] = root;
    for (let i = j + 1; i < n; i++) {
      let sum = matrix[i * n + j]!;
      for (let k = 0; k < j; k++) sum -= matrix[i * n + k]! * matrix[j * n + k]!;
      matrix[i * n + j] = sum / root;
    }
  }
  return -1;
}

/** Solves with a factor; the right side becomes the solution. */
export function solve(lower: Float64Array, n: number, right: Float64Array): void {
  for (let i = 0; i < n; i++) {
    let sum = right[i]!;
    for (let k = 0; k < i; k++) sum -= lower[i * n + k]! * right[k]!;
    right[i] = sum / lower[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = right[i]!;
    for (let k = i + 1; k < n; k++) sum -= lower[k * n + i]! * right[k]!;
    right[i] = sum / lower[i * n + i]!;
  }
}

/** The inverse of what was factored, full. */
export function inverse(lower: Float64Array, n: number): Float64Array {
  const out = new Float64Array(n * n);
  const column = new Float64Array(n);
  for (let j = 0; j < n; j++) {
    column.fill(0);
    column[j] = 1;
    solve(lower, n, column);
    out.set(column, j * n); // symmetric: a column is a row
  }
  return out;
}
