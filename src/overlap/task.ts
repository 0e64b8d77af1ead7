// The inner loop: in: typed arrays only (works in one frame, trees, their zones); out: figures written into columns.
// A task is plain data, so that a worker thread can be handed it as it is; which thread measures a tree never shows.
// Terms: row = a tree's place in the tree table; place = its place in the task; order = places in spatial order.

import { Meter } from '../geometry/meter.js';
import type { Pieces } from '../geometry/pieces.js';
import type { OverlapTable } from '../types.js';

export interface MeasureTask {
  readonly pieces: Pieces;
  readonly index: ArrayBufferLike | null; // the packed box index; null: no works
  readonly order: Uint32Array;
  readonly rows: Uint32Array;
  readonly xy: Float64Array; // 2 per place, metres in the frame
  readonly convergence: Float64Array; // per place: degrees clockwise from true north to the frame's y axis
  // per row, for all trees of the job
  readonly radiusM: Float64Array;
  readonly areaM2: Float64Array;
  readonly trunkRadiusM: Float64Array;
  readonly quarters: Float64Array | null; // 4 per row, NaN where the zone is a circle
  readonly ringRadiusM: readonly Float64Array[];
  /** Kinds (by index) that the works are of; the columns of others hold 0 already. */
  readonly kinds: readonly number[];
  /** Bits of the sets of kinds whose union is wanted. */
  readonly masks: readonly number[];
  readonly out: OverlapTable;
}

/** A meter over a task's works. */
export function meterOf(task: MeasureTask): Meter {
  return new Meter(task.pieces, task.index ?? undefined);
}

/** Measures the trees order[from] .. order[to]. */
export function measureRange(task: MeasureTask, meter: Meter, from: number, to: number): void {
  const four: [number, number, number, number] = [0, 0, 0, 0];
  for (let k = from; k < to; k++) measureTree(task, meter, task.order[k] as number, four);
}

function measureTree(task: MeasureTask, meter: Meter, place: number, four: [number, number, number, number]): void {
  const { out } = task;
  const row = task.rows[place] as number;
  const x = task.xy[place * 2] as number;
  const y = task.xy[place * 2 + 1] as number;
  const radius = task.radiusM[row] as number;
  const area = task.areaM2[row] as number;
  const gamma = task.convergence[place] as number;
  const shaped = isShaped(task, row, four);
  let overlap = 0;
  if (shaped) meter.nearest(x, y);
  else overlap = meter.discAndNearest(x, y, radius);
  const { distance } = meter;
  out.nearestM[row] = distance;
  out.nearestWorks[row] = meter.nearOwner;
  if (distance > 0) {
    const grid = (Math.atan2(meter.nearX, meter.nearY) * 180) / Math.PI;
    out.nearestBearing[row] = (((grid + gamma) % 360) + 360) % 360;
  }
  const touched = distance < radius;
  if (shaped && touched) overlap = meter.quarters(x, y, four, (-gamma * Math.PI) / 180);
  out.overlapM2[row] = overlap;
  writeSets(task, meter, row, touched);
  const stem = distance === 0 || distance < (task.trunkRadiusM[row] as number); // 0: the centre is in, dbh known or not
  out.stemInWorks[row] = stem ? 1 : 0;
  // Works on the trunk sever everything: by rule, not by what the sweep makes of a ray that starts inside them.
  const severed = touched ? meter.severed : 0;
  out.severedM2[row] = stem ? Math.max(area - overlap, 0) : Math.min(Math.max(severed, 0), Math.max(area - overlap, 0));
  for (let r = 0; r < task.ringRadiusM.length; r++) measureRing(task, meter, row, r, x, y, distance);
}

function isShaped(task: MeasureTask, row: number, four: [number, number, number, number]): boolean {
  const { quarters } = task;
  if (quarters === null || Number.isNaN(quarters[row * 4])) return false;
  for (let side = 0; side < 4; side++) four[side] = quarters[row * 4 + side] as number;
  return true;
}

function writeSets(task: MeasureTask, meter: Meter, row: number, touched: boolean): void {
  const { byKindM2, kindSetM2 } = task.out;
  for (const k of task.kinds) (byKindM2[k] as Float64Array)[row] = touched ? meter.coveredBy(1 << k) : 0;
  for (let s = 0; s < task.masks.length; s++) {
    (kindSetM2[s] as Float64Array)[row] = touched ? meter.coveredBy(task.masks[s] as number) : 0;
  }
}

function measureRing(
  task: MeasureTask,
  meter: Meter,
  row: number,
  r: number,
  x: number,
  y: number,
  distance: number,
): void {
  const radius = (task.ringRadiusM[r] as Float64Array)[row] as number;
  if (Number.isNaN(radius)) return;
  const inRing = distance < radius;
  (task.out.ringOverlapM2[r] as Float64Array)[row] = inRing ? meter.disc(x, y, radius) : 0;
  for (let s = 0; s < task.masks.length; s++) {
    const column = (task.out.ringKindSetM2[r] as readonly Float64Array[])[s] as Float64Array;
    column[row] = inRing ? meter.coveredBy(task.masks[s] as number) : 0;
  }
}
