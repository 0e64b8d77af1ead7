// Zones of groups. In: groups of a survey, the radius a rule gives their stems; out: shapes to measure, and what is nearest.
// Terms: edge offset = the radius, which for a group is counted from its outline; see check/groups.ts.

import { distanceBetween, offsetShape, PieceBuilder, pairAt, type Ring, shapeArea, WITHIN } from '../geometry/index.js';
import type { CrsTransform, Frame, TreeTable, ZoneShape, ZoneShapes, ZoneTable } from '../model/index.js';
import type { Overlaps } from '../overlap/index.js';
import { lonLatOf } from './positions.js';

/** Works farther than this from a group are not looked for: NEAREST_LIMIT_M of the kernel. */
const NEAREST_M = 1000;

export interface GroupsInput {
  readonly trees: TreeTable;
  readonly treeLonLat: Float64Array;
  readonly transform: CrsTransform; // of the tree layer
  frameAt(lon: number, lat: number): Frame;
}

/** Outlines of all groups in the frame of their place, as rings relative to it. */
export function groupOutlines({ trees, treeLonLat, transform, frameAt }: GroupsInput): ReadonlyMap<number, Ring[]> {
  const { groups } = trees;
  const outlines = new Map<number, Ring[]>();
  if (groups === null) return outlines;
  const { partStart, ringStart, vertexStart, xy } = groups.geometry;
  const lonLat = lonLatOf(xy, transform);
  for (const row of groups.placeOf.keys()) {
    const at = treeLonLat.slice(row * 2, row * 2 + 2);
    const frame = frameAt(at[0]!, at[1]!);
    frame.toFrame(at, at);
    const [x, y] = pairAt(at);
    const rings: Ring[] = [];
    for (let r = ringStart[partStart[row]!]!; r < ringStart[partStart[row + 1]!]!; r++) {
      const ring = lonLat.slice(vertexStart[r]! * 2, vertexStart[r + 1]! * 2);
      frame.toFrame(ring, ring);
      rings.push(Array.from(ring, (value, i) => value - (i % 2 === 0 ? x : y)));
    }
    outlines.set(row, rings);
  }
  return outlines;
}

/** Zones of groups: their outline and all within the radius of it, corners rounded; on the millimetre grid. */
export function groupShapes(
  outlines: ReadonlyMap<number, readonly Ring[]>,
  zones: ZoneTable,
  input: GroupsInput,
): ZoneShapes {
  const shapes = new Map<number, ZoneShape>();
  const at = new Float64Array(2);
  for (const [row, rings] of outlines) {
    const radius = zones.radiusM[row]!;
    if (!(radius > 0)) continue;
    at.set(input.treeLonLat.subarray(row * 2, row * 2 + 2));
    const frame = input.frameAt(at[0]!, at[1]!);
    frame.toFrame(at, at);
    const [x, y] = pairAt(at);
    const shape = offsetShape(rings, radius);
    const builder = new PieceBuilder();
    let reachM = 0;
    for (const polygon of shape) {
      for (const ring of polygon) {
        for (let i = 0; i < ring.length; i += 2) reachM = Math.max(reachM, Math.hypot(ring[i]!, ring[i + 1]!));
      }
      const placed = polygon.map((ring) => ring.map((value, i) => value + (i % 2 === 0 ? x : y)));
      builder.add(placed, { owner: row, classBit: WITHIN, cuts: false });
    }
    shapes.set(row, { pieces: builder.finish(), reachM, areaM2: shapeArea(shape), isGroup: true });
  }
  return shapes;
}

/** Puts the zones of groups into a table of zones: no rings, the radius that of the farthest corner. */
export function withGroups(zones: ZoneTable, shapes: ZoneShapes): ZoneTable {
  if (shapes.size === 0) return zones;
  const radiusM = zones.radiusM.slice();
  const areaM2 = zones.areaM2.slice();
  const trunkRadiusM = zones.trunkRadiusM.slice();
  const shaped = zones.shaped?.slice() ?? new Uint8Array(radiusM.length);
  const ringRadiusM = zones.ringRadiusM.map((column) => column.slice());
  for (const [row, shape] of shapes) {
    radiusM[row] = shape.reachM;
    areaM2[row] = shape.areaM2;
    trunkRadiusM[row] = 0;
    shaped[row] = 1;
    for (const column of ringRadiusM) column[row] = Number.NaN;
  }
  const notes = new Map(zones.notes);
  for (const row of shapes.keys()) notes.set(row, [...(zones.notes.get(row) ?? []), 'group-zone']);
  return { ...zones, radiusM, areaM2, trunkRadiusM, shaped, ringRadiusM, notes };
}

/** The nearest works of a group, assessed or not, are measured from its outline: 0 where works reach into it. */
export function nearestToGroups(outlines: ReadonlyMap<number, readonly Ring[]>, measured: Overlaps): void {
  const { table } = measured;
  for (const [row, rings] of outlines) {
    const site = measured.siteOf(row);
    if (site === undefined) continue;
    const { meter, x, y, frame } = site;
    const reach = Math.max(...rings.flat().map(Math.abs)) * Math.SQRT2 + NEAREST_M;
    let best: ReturnType<typeof distanceBetween> = null;
    let owner = -1;
    for (const piece of meter.worksNear(x, y, reach)) {
      const found = distanceBetween(rings, piece.rings);
      if (
        found !== null &&
        (best === null || found.distance < best.distance || (found.distance === best.distance && piece.owner < owner))
      ) {
        best = found;
        owner = piece.owner;
      }
    }
    const isNear = best !== null && best.distance <= NEAREST_M;
    table.stemInWorks[row] = 0; // a group has no trunk
    table.nearestM[row] = isNear && best !== null ? best.distance : Number.NaN;
    table.nearestWorks[row] = isNear ? owner : -1;
    table.nearestBearing[row] = Number.NaN;
    if (isNear && best !== null && best.distance > 0) {
      const grid = (Math.atan2(best.dx, best.dy) * 180) / Math.PI;
      table.nearestBearing[row] = (((grid + frame.convergence(x, y)) % 360) + 360) % 360;
    }
  }
}
