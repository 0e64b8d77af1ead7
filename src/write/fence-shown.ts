// Which fences belong to the trees that are shown. In: an assessment whose writers show some trees; out: tests of fences, gates
// and ground to be protected by their place in the plan of fences. Terms: a fence belongs to a tree whose trunk it holds, or,
// where it holds none, whose zone its ground is of; a gate to its fences; ground to the trees whose zones it lies in.
// Cost: each piece of ground against the shown trees whose zone's box it meets.

import { distanceToRings, pairAt, ringHolds } from '../geometry/index.js';
import { type Assessment, everyTreeView, isShown, type LonLatPolygons } from '../model/index.js';

export interface ShownFences {
  fence(index: number): boolean;
  gate(index: number): boolean;
  ground(index: number): boolean;
}

const ALL: ShownFences = { fence: () => true, gate: () => true, ground: () => true };

/** Ground that only touches a zone is not of it: drawn arcs miss theirs by at most this, metres. */
const TOUCH_M = 0.02;

/** Fences stay whole: one that holds a shown tree is written with all that it holds. */
export function shownFences(assessment: Assessment): ShownFences {
  if (assessment.shown === undefined) return ALL;
  const { fences, gates, groundProtection } = assessment.fences;
  const has = (rows: readonly number[]): boolean => rows.some((row) => isShown(assessment, row));
  const shown = fences.map(({ trees, zoneTrees }) => has(trees) || has(zoneTrees));
  const ground = groundProtection.map(({ shape }) => isInShownZone(assessment, shape));
  return {
    fence: (index) => shown[index] === true,
    gate: (index) => gates[index]?.fences.some((fence) => shown[fence]) === true,
    ground: (index) => ground[index] === true,
  };
}

function isInShownZone(assessment: Assessment, shape: LonLatPolygons): boolean {
  const { job } = assessment;
  for (const { row, lon, lat, zoneRadiusM } of everyTreeView(assessment)) {
    if (lon === null || lat === null || zoneRadiusM === null || !isShown(assessment, row)) continue;
    const frame = job.frameAt(lon, lat);
    const at = Float64Array.of(lon, lat);
    frame.toFrame(at, at);
    const [x, y] = pairAt(at, 0);
    const polygons = shape.map((rings) =>
      rings.map((ring) => {
        const xy = Float64Array.from(ring.slice(0, -1).flat());
        frame.toFrame(xy, xy);
        return Array.from(xy, (value, i) => value - (i % 2 === 0 ? x : y));
      }),
    );
    // Even-odd over all rings: holes are not ground.
    const isInside = polygons.some((rings) => rings.filter((ring) => ringHolds(ring, 0, 0)).length % 2 === 1);
    if (isInside || distanceToRings(polygons.flat()) < zoneRadiusM - TOUCH_M) return true;
  }
  return false;
}
