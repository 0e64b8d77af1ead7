// Rings that touch themselves -> simple rings. In: rings of one polygon, rounded, flat, open, shell first;
// out: polygons of simple rings. A vertex that comes twice in a ring (a pinch) makes it invalid for most tools
// (OGC 06-103r4, 6.1.11); drawn unions have them, and rounding makes more.
// Terms: loop = the run between two visits of one vertex; spike = a loop with next to no area, which is dropped.

import { comesTwice, ringHolds, twiceArea } from '../geometry/index.js';

type Flat = readonly number[];

/** Loops below this twice-area, in square degrees (some 6 cm2), are noise of drawing on a millimetre grid. */
const SPIKE = 1e-13;

/** The polygon's rings with every pinch opened: loops of a ring become rings of their own, holes or shells by turn. */
export function openPinches(rings: readonly Flat[]): Flat[][] {
  const shells: Flat[] = [];
  const holes: Flat[] = [];
  rings.forEach((ring, r) => {
    const turn = Math.sign(twiceArea(ring));
    for (const loop of loops(ring)) {
      const same = Math.sign(twiceArea(loop)) === turn;
      (same === (r === 0) ? shells : holes).push(loop);
    }
  });
  const polygons = shells.map((shell): Flat[] => [shell]);
  for (const hole of holes) {
    const at = polygons.length === 1 ? 0 : polygons.findIndex(([shell]) => holds(shell!, hole));
    polygons[at]?.push(hole);
  }
  return polygons;
}

function loops(ring: Flat): Flat[] {
  if (!comesTwice(ring)) return [ring]; // as it is, however small
  const out: Flat[] = [];
  const path: number[] = [];
  const places = new Map<string, number>(); // vertex -> its place on the path
  const keys: string[] = [];
  for (let i = 0; i < ring.length; i += 2) {
    const key = `${ring[i]},${ring[i + 1]}`;
    const seen = places.get(key);
    if (seen !== undefined) {
      out.push(path.splice(seen * 2));
      for (const gone of keys.splice(seen)) places.delete(gone);
    }
    places.set(key, keys.length);
    keys.push(key);
    path.push(ring[i]!, ring[i + 1]!);
  }
  out.push(path);
  const kept = out.filter((loop) => loop.length >= 6 && Math.abs(twiceArea(loop)) > SPIKE);
  return kept.length > 0 ? kept : out.filter((loop) => loop.length >= 6 && twiceArea(loop) !== 0);
}

/** Whether a shell holds a hole that may touch it: asked at the middle of the hole's first edge. */
function holds(shell: Flat, hole: Flat): boolean {
  const x = (hole[0]! + hole[2]!) / 2;
  const y = (hole[1]! + hole[3]!) / 2;
  return ringHolds(shell, x, y);
}
