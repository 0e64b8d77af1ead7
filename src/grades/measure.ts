// Figures of trees and lots. In: graded ground, the job's tables; out: grade change at trunks, areas of zones, areas and volumes of lots.
// Terms: see model/grades.ts. Cost: the cells about each tree, in each lot and in each drawn fill.

import { pairAt, pieceRings, quartersRing, type Ring, signedArea } from '../geometry/index.js';
import type { Frame, GroundGrade, TreeGrade } from '../model/index.js';
import { type Finding, finding, type GradeGround, type GradesResult, WORKS_KINDS } from '../model/index.js';
import { counted, listOf } from '../text/index.js';
import type { GradedGround } from './ground.js';
import { LOOK_EVERY } from './surface.js';
import type { boundsOf } from './works.js';

export interface Told extends Omit<GradesResult, 'trees' | 'lots' | 'total'> {
  /** What each band is. */
  readonly bounds: readonly ReturnType<typeof boundsOf>[];
}

type Sums = { -readonly [K in keyof GroundGrade]: GroundGrade[K] };

/** Of a zone or a lot, less is rounding. */
const UNKNOWN_SHARE = 1e-6;
const NAMED = 5;
/** Drawn fill or cut that the surfaces do not show is told above this share of its area. */
const DRAWN_SHARE = 0.01;

export function measured(
  ground: GradedGround,
  site: GradeGround,
  told: Told,
): { readonly result: GradesResult; readonly findings: readonly Finding[] } {
  const { bounds, ...about } = told;
  const trees: TreeGrade[] = [];
  for (let row = 0; row < site.trees.count; row++) {
    if (row % LOOK_EVERY === 0) site.signal?.throwIfAborted();
    trees.push(treeGrade(ground, site, told, row));
  }
  const lots = lotGrades(ground, site, told);
  const total = totalOf(ground, site, told);
  const result = { ...about, trees, lots, total };
  return {
    result,
    findings: [madeFinding(result), ...unknownFinding(site, trees), ...drawnFindings(ground, site, told)],
  };
}

function isNone({ overM, upToM }: Told['bounds'][number], leastM: number): boolean {
  return overM < leastM && upToM <= leastM;
}

// ---------------------------------------------------------------- trees

const NOTHING: TreeGrade = { changeM: null, filledM2: null, cutM2: null, unknownM2: null };

function treeGrade(ground: GradedGround, site: GradeGround, told: Told, row: number): TreeGrade {
  const at = site.treeLonLat.slice(row * 2, row * 2 + 2);
  if (!at.every(Number.isFinite)) return NOTHING;
  const frame = site.frameAt(at[0]!, at[1]!);
  frame.toFrame(at, at);
  const [x, y] = pairAt(at);
  const shape = site.zoneShapes.get(row);
  const changeM = shape?.isGroup === true ? null : ground.changeAt(frame, x, y);
  const zoneM2 = site.zones.areaM2[row]!;
  if (!(zoneM2 > 0)) return { ...NOTHING, changeM };
  const sums = { filledM2: 0, cutM2: 0, known: 0 };
  const add = (cell: number, areaM2: number): void => {
    sums.known += areaM2;
    const { kind, overM } = told.bounds[ground.cells.band[cell]!]!;
    if (kind === 'fill' && overM >= told.fillDepthM) sums.filledM2 += areaM2;
    if (kind === 'excavation' && overM >= told.cutDepthM) sums.cutM2 += areaM2;
  };
  const rings = zoneRings(site, frame, row, x, y);
  if (rings === null) ground.disc(frame, x, y, site.zones.radiusM[row]!, add);
  else for (const part of rings) ground.rings(frame, x, y, part, add);
  const unknownM2 = unknownOf(zoneM2, sums.known);
  if (sums.known === 0) return { changeM, filledM2: null, cutM2: null, unknownM2 };
  return { changeM, filledM2: sums.filledM2, cutM2: sums.cutM2, unknownM2 };
}

function unknownOf(wholeM2: number, knownM2: number): number {
  const rest = wholeM2 - knownM2;
  return rest > UNKNOWN_SHARE * wholeM2 ? rest : 0;
}

/** The outline of a zone that is no disc, about its tree: polygons, each a shell with its holes; null for a disc. */
function zoneRings(
  { zones, zoneShapes }: GradeGround,
  frame: Frame,
  row: number,
  x: number,
  y: number,
): Ring[][] | null {
  const shape = zoneShapes.get(row);
  if (shape !== undefined) {
    return Array.from({ length: shape.pieces.count }, (_, p) => pieceRings(shape.pieces, p, x, y));
  }
  const four = zones.quarters.get(row);
  return four === undefined ? null : [[quartersRing(four, (-frame.convergence(x, y) * Math.PI) / 180)]];
}

// ---------------------------------------------------------------- lots and all ground

const none = (): Sums => ({ filledM2: 0, cutM2: 0, unchangedM2: 0, fillM3: 0, cutM3: 0, unknownM2: 0 });

function add(sums: Sums, band: Told['bounds'][number], leastM: number, areaM2: number, volumeM3: number): void {
  if (isNone(band, leastM)) sums.unchangedM2 += areaM2;
  else if (band.kind === 'fill') sums.filledM2 += areaM2;
  else sums.cutM2 += areaM2;
  if (band.kind === 'fill') sums.fillM3 += volumeM3;
  else sums.cutM3 -= volumeM3;
}

function lotGrades(ground: GradedGround, site: GradeGround, told: Told): (GroundGrade | null)[] {
  const { lots } = site;
  if (lots === null) return [];
  return Array.from({ length: lots.count }, (_, row) => {
    site.signal?.throwIfAborted();
    if (lots.rejected.has(row)) return null;
    const sums = none();
    let wholeM2 = 0;
    eachPolygon(lots.geometry, site.lotsLonLat, row, site, (frame, x, y, rings) => {
      wholeM2 += rings.reduce((sum, ring) => sum + signedArea(ring), 0);
      ground.rings(frame, x, y, rings, (cell, areaM2, volumeM3) => {
        add(sums, told.bounds[ground.cells.band[cell]!]!, told.leastM, areaM2, volumeM3);
      });
    });
    sums.unknownM2 = unknownOf(wholeM2, sums.filledM2 + sums.cutM2 + sums.unchangedM2);
    return plain(sums);
  });
}

/** Every polygon of a row in the frame of its first corner, rings about that corner. */
function eachPolygon(
  { partStart, ringStart, vertexStart }: NonNullable<GradeGround['lots']>['geometry'],
  lonLat: Float64Array,
  row: number,
  { frameAt }: Pick<GradeGround, 'frameAt'>,
  visit: (frame: Frame, x: number, y: number, rings: readonly Ring[]) => void,
): void {
  for (let part = partStart[row]!; part < partStart[row + 1]!; part++) {
    const first = vertexStart[ringStart[part]!]!;
    const frame = frameAt(lonLat[first * 2]!, lonLat[first * 2 + 1]!);
    const end = vertexStart[ringStart[part + 1]!]!;
    const xy = lonLat.slice(first * 2, end * 2);
    frame.toFrame(xy, xy);
    const [x, y] = pairAt(xy);
    const rings: number[][] = [];
    for (let r = ringStart[part]!; r < ringStart[part + 1]!; r++) {
      const own = xy.subarray((vertexStart[r]! - first) * 2, (vertexStart[r + 1]! - first) * 2);
      rings.push(Array.from(own, (v, i) => v - (i % 2 === 0 ? x : y)));
    }
    visit(frame, x, y, rings);
  }
}

function totalOf(ground: GradedGround, site: GradeGround, told: Told): GroundGrade {
  const { cells } = ground;
  const sums = none();
  for (let c = 0; c < cells.count; c++) {
    if (c % LOOK_EVERY === 0) site.signal?.throwIfAborted();
    const frame = site.frameAt(...ground.lonLat(cells.corner[cells.start[c]!]!));
    const { areaM2, volumeM3 } = ground.whole(frame, c);
    add(sums, told.bounds[cells.band[c]!]!, told.leastM, areaM2, volumeM3);
  }
  return plain(sums);
}

/** No negative zero. */
function plain(sums: Sums): GroundGrade {
  return { ...sums, cutM3: sums.cutM3 + 0 };
}

// ---------------------------------------------------------------- what is told

function madeFinding({ existing, proposed, total, leastM }: GradesResult): Finding {
  const m2 = (value: number): string => `${value.toFixed(1)} m2`;
  const message = `grades from ${existing} to ${proposed}: ${m2(total.filledM2)} filled (${total.fillM3.toFixed(1)} m3), ${m2(total.cutM2)} cut (${total.cutM3.toFixed(1)} m3), ${m2(total.unchangedM2)} changed by no more than ${leastM} m and not counted`;
  return finding(
    'grade-change',
    {},
    message,
    'check the volumes against the design; --grade-least sets the least change that counts',
  );
}

function unknownFinding({ trees }: GradeGround, grades: readonly TreeGrade[]): Finding[] {
  const rows = grades.flatMap(({ unknownM2 }, row) => (unknownM2 !== null && unknownM2 > 0 ? [row] : []));
  if (rows.length === 0) return [];
  const names = listOf(
    rows.map((row) => trees.key.at(row) ?? ''),
    NAMED,
  );
  const message = `the surfaces do not reach all ground in the zone of ${counted(rows.length, 'tree')}: ${names}; grade change there is not known, and fill and cut may be more than stated`;
  return [
    finding(
      'grade-unknown',
      { layer: trees.layer.name },
      message,
      'survey and design the ground as far as the zones reach',
    ),
  ];
}

/** Fill and cut that somebody drew where the surfaces show none. */
function drawnFindings(ground: GradedGround, site: GradeGround, told: Told): Finding[] {
  const { works } = site;
  const findings: Finding[] = [];
  const made = works.layers.length - 1; // the layer made from grades is the last
  for (let row = 0; row < works.count; row++) {
    const kind = WORKS_KINDS[works.kind[row]!]!;
    if ((kind !== 'fill' && kind !== 'excavation') || works.layerOf[row] === made) continue;
    if (works.rejected.has(row) || works.widthM[row]! > 0) continue;
    let [wholeM2, knownM2, sameM2] = [0, 0, 0];
    eachPolygon(works.geometry, site.worksLonLat, row, site, (frame, x, y, rings) => {
      wholeM2 += rings.reduce((sum, ring) => sum + signedArea(ring), 0);
      ground.rings(frame, x, y, rings, (cell, areaM2) => {
        knownM2 += areaM2;
        const band = told.bounds[ground.cells.band[cell]!]!;
        if (band.kind === kind && !isNone(band, told.leastM)) sameM2 += areaM2;
      });
    });
    const without = knownM2 - sameM2;
    if (!(without > DRAWN_SHARE * wholeM2)) continue;
    const id = works.key.at(row)!;
    const message = `${kind} ${id} is drawn on ${without.toFixed(1)} m2 of ground where the surfaces show no ${kind}: both count`;
    const place = { layer: works.layers[works.layerOf[row]!]!.name, feature: works.rowInLayer[row]!, id };
    findings.push(
      finding('grade-drawn', place, message, 'correct the drawing or the proposed surface, or give one of them alone'),
    );
  }
  return findings;
}
