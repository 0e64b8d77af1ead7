// Shapes on demand. In: the job's tables and what was measured; out: functions that draw one tree or one row of works.
// Terms: see draw.ts. Nothing is drawn until it is asked for, so figures alone stay cheap.

import { drawPieces, drawTree, NO_SHAPES } from '../draw.js';
import type { Ring } from '../geometry/shapes.js';
import { worksPieces } from '../overlap/pieces.js';
import type { Overlaps } from '../overlap.js';
import type { Assessment, Job, LonLatPolygons, TreeShapes } from '../types.js';
import type { TreeRows } from './results.js';

/** The two drawing members of an Assessment. */
export function drawing(job: Job, measured: Overlaps, trees: TreeRows): Pick<Assessment, 'shapes' | 'measured'> {
  return {
    shapes: (tree) => shapesOf(job, measured, trees, tree),
    measured: (row) => measuredWorks(job, row),
  };
}

function shapesOf(job: Job, measured: Overlaps, trees: TreeRows, row: number): TreeShapes {
  const site = measured.siteOf(row);
  if (site === undefined) return NO_SHAPES;
  const tree = trees.at(row);
  if (tree.zoneRadiusM === null) return NO_SHAPES;
  return drawTree({
    ...site,
    radiusM: tree.zoneRadiusM,
    quarters: job.zones.quarters.get(row),
    rings: tree.rings,
    overlapM2: tree.overlapM2 ?? 0,
    severedM2: tree.severedM2 ?? 0,
    stemInWorks: measured.table.stemInWorks[row] === 1,
    layer: job.trees.layer.name,
    feature: row,
    key: tree.key,
  });
}

/** The polygons measured for one row of works, drawn in the frame of its first vertex. */
function measuredWorks(job: Job, row: number): LonLatPolygons {
  const { partStart, ringStart, vertexStart } = job.works.geometry;
  const first = vertexStart[ringStart[partStart[row] as number] as number] as number;
  const end = vertexStart[ringStart[partStart[row + 1] as number] as number] as number;
  if (first === end) return [];
  const frame = job.frameAt(job.worksLonLat[first * 2] as number, job.worksLonLat[first * 2 + 1] as number);
  const pieces = worksPieces(job.works, job.worksLonLat, Uint32Array.of(row), frame, 0);
  const x = pieces.xy[0] as number;
  const y = pieces.xy[1] as number;
  const rings: Ring[][] = [];
  for (let p = 0; p < pieces.count; p++) {
    const polygon: Ring[] = [];
    for (let r = pieces.ringStart[p] as number; r < (pieces.ringStart[p + 1] as number); r++) {
      const from = (pieces.vertexStart[r] as number) * 2;
      const to = (pieces.vertexStart[r + 1] as number) * 2;
      polygon.push(Array.from(pieces.xy.subarray(from, to), (v, i) => v - (i % 2 === 0 ? x : y)));
    }
    rings.push(polygon);
  }
  return drawPieces(rings, frame, x, y);
}
