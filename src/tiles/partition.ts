// Trees -> tiles. In: positions, a cost per tree, how many tiles; out: the tile of each tree, boxes, costs.
// A k-d tree: a set of trees is cut across its longer side where the cost on both sides is as it should be, until each part
// is one tile (J. L. Bentley, Multidimensional binary search trees, CACM 18(9), 1975). Balanced by work, not by area.
// Terms: cost = work of a tree, see work.ts; target = the share of the cost that belongs west or south of a cut.

export interface Tiling {
  readonly count: number;
  readonly tileOf: Uint32Array; // per tree
  readonly boxes: Float64Array; // 4 per tile: west, south, east, north of its trees; NaN where none has a place
  readonly costs: Float64Array; // per tile
}

const BINS = 1024;
const ROUNDS = 4;

/**
 * Cuts trees into tiles of equal cost; each tree belongs to exactly one, and none is empty as long as there are as many trees
 * as tiles. Trees without a place go to the tile of the tree before them in the file.
 *
 * @param lonLat 2 per tree; NaN where there is no place
 * @example
 * partition(lonLat, costs, 4).tileOf[0]; // 2
 */
export function partition(lonLat: Float64Array, costs: Float64Array, tiles: number): Tiling {
  const n = costs.length;
  const placed: number[] = [];
  for (let t = 0; t < n; t++) if (!Number.isNaN(lonLat[t * 2]!)) placed.push(t);
  const count = Math.max(1, Math.min(Math.floor(tiles), placed.length));
  const tileOf = new Uint32Array(n);
  let next = 0;
  const cutUp = (rows: Uint32Array, parts: number): void => {
    if (parts === 1) {
      for (const row of rows) tileOf[row] = next;
      next++;
      return;
    }
    const first = parts >> 1;
    const axis = longerSide(lonLat, rows);
    const at = cut(rows, lonLat, axis, costs, first, parts);
    cutUp(rows.subarray(0, at), first);
    cutUp(rows.subarray(at), parts - first);
  };
  if (placed.length > 0) cutUp(Uint32Array.from(placed), count);
  for (let t = 1; t < n; t++) if (Number.isNaN(lonLat[t * 2]!)) tileOf[t] = tileOf[t - 1]!;
  return { count, tileOf, ...summed(lonLat, costs, tileOf, count) };
}

/** 0 where the trees lie farther apart from west to east, 1 from south to north. */
function longerSide(lonLat: Float64Array, rows: Uint32Array): 0 | 1 {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const row of rows) {
    const [x, y] = [lonLat[row * 2]!, lonLat[row * 2 + 1]!];
    if (x < west) west = x;
    if (x > east) east = x;
    if (y < south) south = y;
    if (y > north) north = y;
  }
  return (east - west) * Math.cos((((south + north) / 2) * Math.PI) / 180) >= north - south ? 0 : 1;
}

/** Orders the rows so that those on the first side come first; returns how many they are. */
function cut(
  rows: Uint32Array,
  lonLat: Float64Array,
  axis: 0 | 1,
  costs: Float64Array,
  first: number,
  parts: number,
): number {
  const line = cutLine(rows, lonLat, axis, costs, first / parts);
  const isFirst = (row: number): boolean => lonLat[row * 2 + axis]! < line;
  const before = rows.filter(isFirst);
  if (before.length >= first && rows.length - before.length >= parts - first) {
    const after = rows.filter((row) => !isFirst(row));
    rows.set(before);
    rows.set(after, before.length);
    return before.length;
  }
  // For many trees on one line, or hardly more trees than tiles: by the order of their places, then of the file.
  rows.sort((a, b) => lonLat[a * 2 + axis]! - lonLat[b * 2 + axis]! || a - b);
  const most = rows.length - (parts - first);
  return Math.min(Math.max(shareOf(rows, costs, first / parts), first), most);
}

/** Where the cost on the first side comes nearest to its share: by histograms, each within the bin the one before found. */
function cutLine(rows: Uint32Array, lonLat: Float64Array, axis: 0 | 1, costs: Float64Array, share: number): number {
  let [low, high, total] = [Infinity, -Infinity, 0];
  for (const row of rows) {
    const value = lonLat[row * 2 + axis]!;
    if (value < low) low = value;
    if (value > high) high = value;
    total += costs[row]!;
  }
  const target = total * share;
  let below = 0; // cost before `low`
  let line = (low + high) / 2;
  for (let round = 0; round < ROUNDS && high > low; round++) {
    const width = (high - low) / BINS;
    if (!(low + width > low)) break;
    const bins = new Float64Array(BINS);
    for (const row of rows) {
      const bin = Math.floor((lonLat[row * 2 + axis]! - low) / width);
      if (bin >= 0 && bin <= BINS) bins[Math.min(bin, BINS - 1)] = bins[Math.min(bin, BINS - 1)]! + costs[row]!;
    }
    let b = 0;
    while (b < BINS - 1 && below + bins[b]! < target) below += bins[b++]!;
    const over = below + bins[b]! - target;
    line = target - below <= over ? low + b * width : low + (b + 1) * width;
    if (Math.min(target - below, over) <= total * 1e-3) break;
    low += b * width;
    high = low + width;
  }
  return line;
}

/** How many of the rows, in their order, hold a share of their cost. */
function shareOf(rows: Uint32Array, costs: Float64Array, share: number): number {
  let total = 0;
  for (const row of rows) total += costs[row]!;
  let at = 0;
  for (let held = 0; at < rows.length && held < total * share; at++) held += costs[rows[at]!]!;
  return at;
}

function summed(
  lonLat: Float64Array,
  costs: Float64Array,
  tileOf: Uint32Array,
  count: number,
): Pick<Tiling, 'boxes' | 'costs'> {
  const boxes = new Float64Array(count * 4).fill(Number.NaN);
  const sums = new Float64Array(count);
  for (let t = 0; t < costs.length; t++) {
    const tile = tileOf[t]!;
    sums[tile] = sums[tile]! + costs[t]!;
    const [x, y] = [lonLat[t * 2]!, lonLat[t * 2 + 1]!];
    if (Number.isNaN(x)) continue;
    const at = tile * 4;
    if (!(boxes[at]! <= x)) boxes[at] = x;
    if (!(boxes[at + 1]! <= y)) boxes[at + 1] = y;
    if (!(boxes[at + 2]! >= x)) boxes[at + 2] = x;
    if (!(boxes[at + 3]! >= y)) boxes[at + 3] = y;
  }
  return { boxes, costs: sums };
}
