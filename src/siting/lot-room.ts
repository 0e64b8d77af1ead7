// The ground that a footprint must stand on. In: an assessment, what moves, lots and setbacks or a buildable layer; out: a
// room in the frame about the footprint's reference, null where nothing bounds it. Terms: front = edges of a lot whose
// outward side faces within 45 degrees of a bearing; rear = of the opposite one; side = the others.

import { lonLatOf } from '../assess/index.js';
import { checkLots } from '../check/index.js';
import { placeLayers } from '../crs/index.js';
import {
  lessShape,
  PieceBuilder,
  pieceRings,
  type Ring,
  ringHolds,
  type Shape,
  shapeArea,
  unionShape,
} from '../geometry/index.js';
import type { Assessment, Frame, Layer, LotTable, Setback } from '../model/index.js';
import { firstVertex, InputError, WORKS_KINDS } from '../model/index.js';
import { addWorks, untagged } from '../overlap/index.js';
import { ruleAreas, weigh } from '../rules/index.js';
import { Room, setBack } from './room.js';

export interface RoomAsked {
  readonly buildable?: Layer | undefined;
  readonly setback?: Setback | undefined;
}

/** Corners of what moves times edges of the ground: more would take hours, and gigabytes for the shapes of all shifts. */
const MOST_PAIRS = 1_000_000;
const BUILDING = WORKS_KINDS.indexOf('building');

/** Where a footprint's home is, in which frame. */
export interface Home {
  readonly frame: Frame;
  readonly x: number;
  readonly y: number;
}

/** Outlines of works rows as they stand, about the home reference: walls, without working space. */
export function outlines(assessment: Assessment, rows: readonly number[], { frame, x, y }: Home): Ring[] {
  const { works, worksLonLat } = assessment.job;
  const builder = new PieceBuilder();
  const plain = { ...works, overdigM: new Float64Array(works.count) };
  addWorks(builder, untagged(plain, worksLonLat), Uint32Array.from(rows), frame, false);
  const pieces = builder.finish();
  return Array.from({ length: pieces.count }, (_, p) => pieceRings(pieces, p, x, y)[0]!);
}

/** The moving rows that must stand on the buildable ground: the buildings, or all rows if there are no buildings. */
export function heldRows(assessment: Assessment, rows: readonly number[]): readonly number[] {
  const { kind } = assessment.job.works;
  const buildings = rows.filter((row) => kind[row] === BUILDING);
  return buildings.length > 0 ? buildings : rows;
}

/** Makes the room; other buildings within `reachM` that the footprint does not touch at home are kept clear of. */
export function roomOf(
  assessment: Assessment,
  rows: readonly number[],
  held: readonly Ring[],
  home: Home,
  reachM: number,
  asked: RoomAsked,
  look: () => void = () => {},
): Room | null {
  const ground = groundOf(assessment, held, home, asked, look);
  const others = otherBuildings(assessment, rows, held, home, reachM);
  if (ground === null && others.length === 0) return null;
  const far = reachM;
  const square: Shape = [[[-far, -far, far, -far, far, far, -far, far]]];
  const whole = ground ?? square;
  const room = new Room(others.length === 0 ? whole : lessShape(whole, others, look), look);
  const corners = held.reduce((sum, ring) => sum + ring.length / 2, 0);
  if (corners * room.edges <= MOST_PAIRS) return room;
  throw new InputError(
    'siting-too-intricate',
    `no place can be looked for: the outlines to move have ${corners} corners, and the ground they must stand on ${room.edges}`,
    { cure: 'simplify the outlines of what moves, of the lots or the buildable ground, and of buildings beside them' },
  );
}

function groundOf(
  assessment: Assessment,
  held: readonly Ring[],
  home: Home,
  { buildable, setback }: RoomAsked,
  look: () => void,
): Shape | null {
  if (buildable !== undefined) return buildableShape(assessment, buildable, home);
  const { lots, lotsLonLat } = assessment.job;
  if (lots === null) {
    if (setback === undefined) return null;
    throw new InputError('siting-no-lot', 'a setback is given, but there are no lots to measure it from', {
      cure: 'give the lots (--lots F), or the buildable ground (--buildable F)',
      usage: true,
    });
  }
  const all = shapesOf(lots, lotsLonLat, home);
  const own = all.filter((lot) => held.some((ring) => holdsMiddle(lot, ring)));
  if (own.length === 0) {
    throw new InputError('siting-no-lot', 'the works to move stand on none of the lots', {
      layer: lots.layer.name,
      cure: 'give the lot they belong on, or the buildable ground (--buildable F)',
    });
  }
  const distance = distanceOf(setback, home);
  return unionShape(
    own.flatMap((lot) => setBack(lot, distance, look)),
    look,
  );
}

function distanceOf(setback: Setback | undefined, { frame, x, y }: Home): (nx: number, ny: number) => number {
  if (setback === undefined) return () => 0;
  if (typeof setback === 'number') return () => setback;
  // Bearings count from true north; the frame's y axis is turned from it by the convergence.
  const front = ((setback.frontBearing - frame.convergence(x, y)) * Math.PI) / 180;
  const [fx, fy] = [Math.sin(front), Math.cos(front)];
  return (nx, ny) => {
    const facing = nx * fx + ny * fy;
    const least = Math.SQRT1_2 - 1e-9; // an edge at 45 degrees is a front, not a side
    return facing >= least ? setback.frontM : facing <= -least ? setback.rearM : setback.sideM;
  };
}

function buildableShape(assessment: Assessment, layer: Layer, home: Home): Shape {
  const { options } = assessment;
  const { placed } = placeLayers([{ role: 'lots', layer }], options);
  const { table } = checkLots(layer, options);
  const [one] = placed;
  const lonLat = one === undefined ? new Float64Array() : lonLatOf(table.geometry.xy, one.transform);
  const shape = unionShape(shapesOf(table, lonLat, home).flat());
  if (shapeArea(shape) > 0) return shape;
  throw new InputError('siting-no-buildable', `${layer.name} holds no polygon to build on`, {
    layer: layer.name,
    cure: 'give the buildable ground as polygons',
  });
}

/** Each lot as polygons about the reference. */
function shapesOf({ count, geometry }: LotTable, lonLat: Float64Array, { frame, x, y }: Home): Shape[] {
  const { partStart, ringStart, vertexStart } = geometry;
  const xy = new Float64Array(lonLat.length);
  frame.toFrame(lonLat, xy);
  const ring = (r: number): Ring => {
    const out: number[] = [];
    for (let v = vertexStart[r]!; v < vertexStart[r + 1]!; v++) {
      out.push(xy[v * 2]! - x, xy[v * 2 + 1]! - y);
    }
    return out;
  };
  return Array.from({ length: count }, (_, row) => {
    const polygons: Ring[][] = [];
    for (let p = partStart[row]!; p < partStart[row + 1]!; p++) {
      const rings: Ring[] = [];
      for (let r = ringStart[p]!; r < ringStart[p + 1]!; r++) rings.push(ring(r));
      if (rings.length > 0) polygons.push(rings);
    }
    return polygons;
  });
}

function holdsMiddle(lot: Shape, ring: Ring): boolean {
  let [x, y] = [0, 0];
  const n = ring.length / 2;
  for (let i = 0; i < n; i++) [x, y] = [x + ring[i * 2]! / n, y + ring[i * 2 + 1]! / n];
  let inside = false;
  for (const part of lot.flat()) if (ringHolds(part, x, y)) inside = !inside;
  return inside;
}

/** Proposed buildings that stay and that the footprint does not overlap where it is. */
function otherBuildings(
  assessment: Assessment,
  rows: readonly number[],
  held: readonly Ring[],
  home: Home,
  reachM: number,
): Ring[][] {
  const { job, rule, option } = assessment;
  const { whyNot } = weigh(rule, ruleAreas(rule), job.works, option);
  const moving = new Set(rows);
  const others: number[] = [];
  for (let row = 0; row < job.works.count; row++) {
    const isOther = job.works.kind[row] === BUILDING && !moving.has(row) && whyNot.get(row) !== 'other-option';
    if (isOther && !job.works.rejected.has(row) && isNear(assessment, row, home, reachM)) others.push(row);
  }
  const touched: Shape = held.map((ring) => [ring]);
  return outlines(assessment, others, home)
    .filter((ring) => !overlap(ring, touched))
    .map((ring) => [ring]);
}

function overlap(ring: Ring, shape: Shape): boolean {
  return shapeArea([[ring]]) - shapeArea(lessShape([[ring]], shape)) > 0.01;
}

function isNear(assessment: Assessment, row: number, { frame, x, y }: Home, reachM: number): boolean {
  const { works, worksLonLat } = assessment.job;
  const xy = worksLonLat.slice(firstVertex(works.geometry, row) * 2, firstVertex(works.geometry, row + 1) * 2);
  if (xy.length === 0) return false;
  frame.toFrame(xy, xy);
  let [w, s, e, n] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < xy.length; i += 2) {
    w = Math.min(w, xy[i]! - x);
    e = Math.max(e, xy[i]! - x);
    s = Math.min(s, xy[i + 1]! - y);
    n = Math.max(n, xy[i + 1]! - y);
  }
  return w < reachM && e > -reachM && s < reachM && n > -reachM;
}
