// Shapes on demand. In: the job's tables and what was measured; out: functions that draw one tree or one row of works.
// Terms: see overlap/draw.ts. Nothing is drawn until it is asked for, so figures alone stay cheap.

import type { Ring } from '../geometry/index.js';
import { type Pieces, pieceRings, quadAt } from '../geometry/index.js';
import type { Assessment, Job, LonLatPolygons, StopSignal, TreeShapes, WorksTable } from '../model/index.js';
import { firstVertex } from '../model/index.js';
import type { Overlaps } from '../overlap/index.js';
import { drawCrown, drawPieces, drawTree, NO_SHAPES, untagged, worksPieces } from '../overlap/index.js';
import type { TreeRows } from './results.js';

/** The two drawing members of an Assessment. */
export function drawing(job: Job, measured: Overlaps, trees: TreeRows): Pick<Assessment, 'shapes' | 'measured'> {
  return {
    shapes: (tree, signal) => shapesOf(job, measured, trees, tree, signal),
    measured: (row, of = 'works', signal) => {
      if (of === 'works') return measuredWorks(job, job.works, job.worksLonLat, row, signal);
      return job.existing === null ? [] : measuredWorks(job, job.existing.works, job.existing.lonLat, row, signal);
    },
  };
}

function shapesOf(job: Job, measured: Overlaps, trees: TreeRows, row: number, signal?: StopSignal): TreeShapes {
  const site = measured.siteOf(row);
  // Not `at`, which works out every figure of the tree, its margin too.
  const tree = site === undefined ? null : trees.see(row);
  if (site === undefined || tree === null || tree.zoneRadiusM === null) {
    return { ...NO_SHAPES, crown: crownOf(job, row) };
  }
  const drawnZone = job.zoneShapes.get(row);
  return drawTree({
    ...site,
    radiusM: tree.zoneRadiusM,
    quarters: job.zones.quarters.get(row),
    drawnZone: drawnZone === undefined ? undefined : ringsOf(drawnZone.pieces, site.x, site.y),
    rings: tree.rings,
    crown: () => crownOf(job, row),
    overlapM2: tree.overlapM2 ?? 0,
    severedM2: tree.severedM2 ?? 0,
    stemInWorks: measured.table.stemInWorks[row] === 1,
    layer: job.trees.layer.name,
    feature: row,
    key: tree.key,
    look: signal && (() => signal.throwIfAborted()),
  });
}

/** The crown from above; empty where the tree states none. */
function crownOf(job: Job, row: number): LonLatPolygons {
  const { crowns, treeLonLat } = job;
  if (crowns === null || crowns === undefined || !(crowns.areaM2(row) > 0)) return [];
  const at = treeLonLat.slice(row * 2, row * 2 + 2);
  const frame = job.frameAt(at[0]!, at[1]!);
  frame.toFrame(at, at);
  const [x, y] = [at[0]!, at[1]!];
  const parts = crowns.drawnParts(row);
  if (parts !== null) return drawCrown(ringsOf(parts, x, y), frame, x, y);
  const [n, e, s, w] = quadAt(job.trees.crownM, row * 4);
  return drawCrown([n, e, s, w], frame, x, y);
}

/** The polygons measured for one row of works, drawn in the frame of its first vertex. */
function measuredWorks(
  job: Job,
  works: WorksTable,
  lonLat: Float64Array,
  row: number,
  signal?: StopSignal,
): LonLatPolygons {
  const first = firstVertex(works.geometry, row);
  if (first === firstVertex(works.geometry, row + 1)) return [];
  const frame = job.frameAt(lonLat[first * 2]!, lonLat[first * 2 + 1]!);
  const pieces = worksPieces(untagged(works, lonLat), Uint32Array.of(row), frame);
  const x = pieces.xy[0]!;
  const y = pieces.xy[1]!;
  return drawPieces(ringsOf(pieces, x, y), frame, x, y, signal && (() => signal.throwIfAborted()));
}

/** Polygons of rings about a place. */
export function ringsOf(pieces: Pieces, x: number, y: number): Ring[][] {
  return Array.from({ length: pieces.count }, (_, p) => pieceRings(pieces, p, x, y));
}
