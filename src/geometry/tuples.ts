// Two or four numbers out of a column. In: a column and the place of the first; out: a tuple that stands by itself.
// Terms: pair = x, y (or longitude, latitude); quad = x0, y0, x1, y1, or four radii.

/** x, y at a place of a column; a new tuple each time. */
export function pairAt(column: ArrayLike<number>, at = 0): [x: number, y: number] {
  return [column[at]!, column[at + 1]!];
}

/** Four numbers at a place of a column; a new tuple each time. */
export function quadAt(column: ArrayLike<number>, at = 0): [number, number, number, number] {
  return [column[at]!, column[at + 1]!, column[at + 2]!, column[at + 3]!];
}
