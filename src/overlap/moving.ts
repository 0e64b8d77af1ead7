// Works that move among works that stay. In: an overlap's input, the trees that matter and the rows that move; out: any one
// tree's figures with the moving pieces laid anywhere. Terms: place = a tree's number here, by the order of `trees`. The
// measuring is the ordinary one; only the index of what stays is made, once.

import type { Meter } from '../geometry/index.js';
import { PieceBuilder, type Pieces, packedBoxes } from '../geometry/index.js';
import type { Frame, OverlapTable, ZoneShape, ZoneTable } from '../model/index.js';
import { columnMaker } from './columns.js';
import type { OverlapInput } from './input.js';
import { worksBoxes, worksNear } from './nearby.js';
import { asked, emptyTable, HARD, kindsOf, quarterColumn, tagOf } from './overlap.js';
import { addWorks, type PlacedWorks } from './pieces.js';
import { type MeasureTask, measureRange, meterOf } from './task.js';

export interface MovingWorks {
  /** One row per place; figures are those measured last. */
  readonly zones: ZoneTable;
  readonly table: OverlapTable;
  readonly shapes: ReadonlyMap<number, ZoneShape>;
  readonly xy: Float64Array; // 2 per place, in the frame
  /** Degrees from true north to the frame's y axis, per place. */
  readonly convergence: Float64Array;
  /** The works that stay, and ground that is hard today. */
  readonly meter: Meter;
  /** The pieces of the rows that move and count, at home, in the frame. */
  readonly moving: Pieces;
  /** Measures one place with pieces laid so far from where they are. */
  measure(place: number, pieces: Pieces | null, x: number, y: number): void;
}

/** Makes works of an overlap movable, in one frame. */
export function movingWorks(
  input: OverlapInput,
  trees: readonly number[],
  rows: readonly number[],
  frame: Frame,
): MovingWorks {
  const zones = rowsOf(input.zones, trees);
  const { shapes, xy, convergence, box, reachM } = placesOf(input, trees, zones, frame);
  const { weights, works } = input;
  const stays = weights.counts.slice();
  for (const row of rows) stays[row] = 0;
  const pieces = trees.length === 0 ? new PieceBuilder().finish() : stayingPieces(input, stays, box, reachM, frame);
  const own = new PieceBuilder();
  const counted = rows.filter((row) => weights.counts[row] === 1);
  addWorks(own, proposedOf(input), Uint32Array.from(counted), frame, false);
  const columns = columnMaker(false);
  const kinds = kindsOf(works);
  const places = Uint32Array.from(trees, (_, place) => place);
  const task: MeasureTask = {
    pieces,
    index: packedBoxes(pieces.box, ArrayBuffer),
    order: places,
    rows: places,
    xy,
    convergence,
    radiusM: zones.radiusM,
    areaM2: zones.areaM2,
    trunkRadiusM: zones.trunkRadiusM,
    accuracyM: null,
    quarters: quarterColumn(zones, columns),
    shapes,
    ringRadiusM: zones.ringRadiusM,
    kinds,
    ...asked(input),
    stems: true,
    out: emptyTable({ ...input, zones }, columns, kinds),
  };
  const meter = meterOf(task);
  return {
    zones,
    table: task.out,
    shapes,
    xy,
    convergence,
    meter,
    moving: own.finish(),
    measure(place, laid, x, y) {
      meter.carry(laid, x, y);
      measureRange(task, meter, place, place + 1);
    },
  };
}

/** Where the trees stand in the frame, the box about them and the largest of their radii. */
function placesOf(input: OverlapInput, trees: readonly number[], zones: ZoneTable, frame: Frame) {
  const shapes = new Map<number, ZoneShape>();
  const lonLat = new Float64Array(trees.length * 2);
  const convergence = new Float64Array(trees.length);
  const box: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
  let reachM = 0;
  trees.forEach((row, place) => {
    const [lon, lat] = [input.treeLonLat[row * 2]!, input.treeLonLat[row * 2 + 1]!];
    lonLat.set([lon, lat], place * 2);
    convergence[place] = frame.convergenceAt(lon, lat);
    box[0] = Math.min(box[0], lon);
    box[1] = Math.min(box[1], lat);
    box[2] = Math.max(box[2], lon);
    box[3] = Math.max(box[3], lat);
    reachM = Math.max(reachM, zones.radiusM[place]!);
    const shape = input.shapes?.get(row);
    if (shape !== undefined) shapes.set(place, shape);
  });
  const xy = lonLat.slice();
  frame.toFrame(xy, xy);
  return { shapes, xy, convergence, box, reachM };
}

function proposedOf({ works, worksLonLat, weights }: OverlapInput): PlacedWorks {
  return { works, lonLat: worksLonLat, tagOf: tagOf(weights) };
}

/** The works near the trees that stay, and ground near them that is hard today. */
function stayingPieces(
  input: OverlapInput,
  stays: Uint8Array,
  box: readonly [number, number, number, number],
  reachM: number,
  frame: Frame,
): Pieces {
  const { existing, works, worksLonLat } = input;
  const builder = new PieceBuilder();
  const near = worksNear(worksBoxes(works, worksLonLat), works, box, reachM, stays);
  addWorks(builder, proposedOf(input), near, frame, true);
  if (existing !== undefined) {
    const hard = worksNear(worksBoxes(existing.works, existing.lonLat), existing.works, box, reachM);
    addWorks(builder, { works: existing.works, lonLat: existing.lonLat, tagOf: HARD }, hard, frame, true);
  }
  return builder.finish();
}

/** The zones of some trees as a table of their own. */
function rowsOf(zones: ZoneTable, trees: readonly number[]): ZoneTable {
  const some = (column: Float64Array): Float64Array => Float64Array.from(trees, (row) => column[row]!);
  const bytes = (column: Uint8Array | null): Uint8Array | null =>
    column === null ? null : Uint8Array.from(trees, (row) => column[row]!);
  const quarters = new Map<number, readonly [number, number, number, number]>();
  trees.forEach((row, place) => {
    const four = zones.quarters.get(row);
    if (four !== undefined) quarters.set(place, four);
  });
  return {
    dbhM: some(zones.dbhM),
    radiusM: some(zones.radiusM),
    areaM2: some(zones.areaM2),
    trunkRadiusM: some(zones.trunkRadiusM),
    quarters,
    classNumber: bytes(zones.classNumber),
    protectedByRule: bytes(zones.protectedByRule),
    shaped: bytes(zones.shaped),
    ringNames: zones.ringNames,
    ringRadiusM: zones.ringRadiusM.map(some),
    rejected: new Map(),
    notes: new Map(),
  };
}
