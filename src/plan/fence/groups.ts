// Trees whose fences meet. In: trees to be fenced with their reach; out: groups, each laid out in one frame.
// Terms: reach = how far the fence can stand from the trunk; group = trees joined by reaches that touch, so that the fences
// of two groups never meet. A group has the frame of its westmost tree, whatever the order of the input.

import { BoxIndex, DEGREES_PER_METRE, eastward, quadAt } from '../../geometry/index.js';
import type { Frame } from '../../model/index.js';

/** Reaches this near to each other are joined, metres: above what rounding to millimetres can move. */
const JOIN_M = 0.05;

export interface FencedTree {
  readonly row: number;
  readonly lon: number;
  readonly lat: number;
  readonly reachM: number;
}

/** Groups in the order of their first tree, each with its trees in the order given. */
export function groupsOf(trees: readonly FencedTree[], frameAt: (lon: number, lat: number) => Frame): FencedTree[][] {
  const boxes = new Float64Array(trees.length * 4);
  trees.forEach(({ lon, lat, reachM }, i) => {
    const dLat = (reachM + JOIN_M) * DEGREES_PER_METRE;
    const dLon = eastward(dLat, lat);
    boxes.set([lon - dLon, lat - dLat, lon + dLon, lat + dLat], i * 4);
  });
  const index = new BoxIndex(boxes);
  const parent = trees.map((_, i) => i);
  const root = (i: number): number => {
    let at = i;
    while (parent[at] !== at) {
      parent[at] = parent[parent[at]!]!;
      at = parent[at]!;
    }
    return at;
  };
  const twins = new Map<string, number>(); // stems of one clump are one place to look at
  trees.forEach((tree, i) => {
    const place = `${tree.lon} ${tree.lat} ${tree.reachM}`;
    const twin = twins.get(place);
    if (twin !== undefined) {
      parent[i] = root(twin);
      return;
    }
    twins.set(place, i);
    const box = quadAt(boxes, i * 4);
    const n = index.search(...box);
    for (const k of index.found.slice(0, n)) {
      if (k >= i || root(k) === root(i)) continue;
      if (touch(tree, trees[k]!, frameAt)) parent[Math.max(root(k), root(i))] = Math.min(root(k), root(i));
    }
  });
  const groups = new Map<number, FencedTree[]>();
  trees.forEach((tree, i) => {
    const group = groups.get(root(i));
    if (group === undefined) groups.set(root(i), [tree]);
    else group.push(tree);
  });
  return [...groups.values()];
}

function touch(a: FencedTree, b: FencedTree, frameAt: (lon: number, lat: number) => Frame): boolean {
  const first = a.lon < b.lon || (a.lon === b.lon && a.lat <= b.lat) ? a : b; // the same answer whichever is asked first
  const frame = frameAt(first.lon, first.lat);
  const xy = Float64Array.of(a.lon, a.lat, b.lon, b.lat);
  frame.toFrame(xy, xy);
  const [ax, ay, bx, by] = quadAt(xy);
  return Math.hypot(ax - bx, ay - by) <= a.reachM + b.reachM + JOIN_M;
}

/** The frame a group is laid out in, and the place its coordinates count from, on whole metres. */
export function siteOf(
  group: readonly FencedTree[],
  frameAt: (lon: number, lat: number) => Frame,
): { readonly frame: Frame; readonly x: number; readonly y: number } {
  const west = group.reduce((a, b) => (b.lon < a.lon || (b.lon === a.lon && b.lat < a.lat) ? b : a));
  const frame = frameAt(west.lon, west.lat);
  const at = Float64Array.of(west.lon, west.lat);
  frame.toFrame(at, at);
  return { frame, x: Math.round(at[0]!), y: Math.round(at[1]!) };
}
