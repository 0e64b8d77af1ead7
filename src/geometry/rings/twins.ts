// Points that share a place: in: positions as columns; out: per point the earlier point it repeats, or -1.
// Terms: cell = a square of 64 tolerances; points are found through the cells they lie in.

/** Cells are this many tolerances wide: few points lie so near an edge that a neighbour must be asked. */
const CELL_TOLERANCES = 64;

/**
 * For each point the first earlier one within `tolerance` in x and in y; NaN positions have none.
 *
 * @example
 * twins(new Float64Array([0, 0, 5, 5, 0, 0]), 1e-6); // Int32Array [-1, -1, 0]
 */
export function twins(xy: Float64Array, tolerance: number): Int32Array {
  const n = xy.length / 2;
  const out = new Int32Array(n).fill(-1);
  let size = 16;
  while (size < n * 2) size *= 2;
  const head = new Int32Array(size).fill(-1);
  const next = new Int32Array(n).fill(-1);
  const cell = tolerance * CELL_TOLERANCES;
  const slot = (cx: number, cy: number): number => {
    // cells are counted beyond 2^32, so both halves of each count are mixed in
    let h = Math.imul(cx | 0, 0x9e3779b1) ^ Math.imul(cy | 0, 0x85ebca6b);
    h ^= Math.imul(Math.floor(cx / 4294967296), 0xc2b2ae35) ^ Math.imul(Math.floor(cy / 4294967296), 0x27d4eb2f);
    return (h ^ (h >>> 15)) & (size - 1);
  };
  for (let i = 0; i < n; i++) {
    const x = xy[i * 2]!;
    const y = xy[i * 2 + 1]!;
    // NaN, or so far out that cells can't be counted
    if (!(Math.abs(x) < cell * 2 ** 52 && Math.abs(y) < cell * 2 ** 52)) continue;
    let twin = -1;
    const x1 = Math.floor((x + tolerance) / cell);
    const y1 = Math.floor((y + tolerance) / cell);
    for (let cx = Math.floor((x - tolerance) / cell); cx <= x1; cx++) {
      for (let cy = Math.floor((y - tolerance) / cell); cy <= y1; cy++) {
        for (let k = head[slot(cx, cy)]!; k >= 0; k = next[k]!) {
          const near = Math.abs(xy[k * 2]! - x) <= tolerance && Math.abs(xy[k * 2 + 1]! - y) <= tolerance;
          if (near && (twin < 0 || k < twin)) twin = k;
        }
      }
    }
    out[i] = twin;
    if (twin >= 0) continue; // a repeat is never the first, so chains stay short
    const at = slot(Math.floor(x / cell), Math.floor(y / cell));
    next[i] = head[at]!;
    head[at] = i;
  }
  return out;
}
