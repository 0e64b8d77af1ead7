// What takes a tree's zone, piece by piece. In: an assessment and a tree; out: rows of works with the area each takes alone.
// Terms: alone = as if the others were not there; pieces that lie on each other add up to more than the overlap.
// Measured by the kernel that measured the overlap (closed form), on the polygons the assessment says it measured.

import { Meter } from '../geometry/meter.js';
import { FIRST_CLASS, PieceBuilder } from '../geometry/pieces.js';
import type { Assessment, TreeResult, WorksKind } from '../types.js';
import { Ground, grown } from './ground.js';
import { shapesIn } from './scene.js';

export interface PieceShare {
  readonly key: string;
  readonly kind: WorksKind;
  readonly areaM2: number;
  readonly pct: number; // of the zone
}

/** Every counted row of works that takes some of the zone, the largest first; null where the zone is no circle. */
export function piecesOf(assessment: Assessment, tree: TreeResult): PieceShare[] | null {
  const { job } = assessment;
  const { works, worksLonLat } = job;
  const { zoneRadiusM, zoneAreaM2, row } = tree;
  if (zoneRadiusM === null || zoneAreaM2 === null) return null;
  if (job.zones.quarters.has(row) || job.zonePolygons?.table.rowOfTree.has(row) === true) return null;
  const lon = job.treeLonLat[row * 2] as number;
  const lat = job.treeLonLat[row * 2 + 1] as number;
  const ground = Ground.at(assessment, lon, lat);
  const [x, y] = ground.metres(Float64Array.of(lon, lat)) as unknown as [number, number];
  const reach = zoneRadiusM + widest(assessment);
  const box = grown({ x0: x, y0: y, x1: x, y1: y }, reach);
  const skip = (w: number): boolean => works.rejected.has(w) || assessment.works[w]?.counted === 'false';
  const out: PieceShare[] = [];
  for (const shape of shapesIn(ground, works.geometry, worksLonLat, box, 0, skip)) {
    const drawn = !shape.closed || (works.overdigM[shape.row] as number) > 0;
    const rings = drawn ? ground.rings(assessment.measured(shape.row)) : shape.rings;
    if (rings.length === 0) continue;
    const builder = new PieceBuilder();
    // Relative to the trunk: the closed form loses no digits to the frame's offset.
    const relative = rings.map((ring) => ring.map((value, i) => value - (i % 2 === 0 ? x : y)));
    builder.add(relative, { owner: shape.row, classBit: FIRST_CLASS, cuts: false });
    const areaM2 = new Meter(builder.finish()).disc(0, 0, zoneRadiusM);
    if (!(areaM2 > 0)) continue;
    const result = assessment.works[shape.row];
    if (result === undefined) continue;
    out.push({ key: result.key, kind: result.kind, areaM2, pct: (100 * areaM2) / zoneAreaM2 });
  }
  return out.sort((a, b) => b.areaM2 - a.areaM2);
}

/** How far works reach beyond their own vertices: half a line's width and the working space. */
function widest({ job: { works } }: Assessment): number {
  let most = 0;
  for (let w = 0; w < works.count; w++) {
    const width = works.widthM[w] as number;
    const overdig = works.overdigM[w] as number;
    most = Math.max(most, (Number.isFinite(width) ? width / 2 : 0) + (Number.isFinite(overdig) ? overdig : 0));
  }
  return most;
}
