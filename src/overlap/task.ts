// The inner loop: in: typed arrays only (works in one frame, trees, their zones); out: figures written into columns.
// A task is plain data, so that a worker thread can be handed it as it is; which thread measures a tree never shows.
// Terms: row = a tree's place in the tree table; place = its place in the task; order = places in spatial order.

import { EXISTING, Meter, type Pieces } from '../geometry/index.js';
import type { OverlapTable, ZoneShapes } from '../model/index.js';

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
  readonly accuracyM: Float64Array | null;
  readonly quarters: Float64Array | null; // 4 per row, NaN where the zone is a circle
  /** Zones that are no discs, by row. */
  readonly shapes: ZoneShapes;
  readonly ringRadiusM: readonly Float64Array[];
  /** Kinds (by index) that the works are of, and their bits; the columns of others hold 0 already. */
  readonly kinds: readonly number[];
  readonly kindBits: readonly number[];
  /** Sets of classes whose union is wanted: bits that cover it, and bits that must not. */
  readonly sets: readonly { readonly bits: number; readonly without: number }[];
  readonly unknownBits: number;
  /** Works on ground that is hard today take nothing. */
  readonly spareExisting: boolean;
  /** Whether a trunk in the works loses all by rule: not where works are thought elsewhere (assess/margin.ts). */
  readonly stems: boolean;
  readonly out: OverlapTable;
}

/** A meter over a task's works. */
export function meterOf(task: MeasureTask): Meter {
  return new Meter(task.pieces, task.index ?? undefined, task.spareExisting);
}

/** Trees between two looks at how much has been done. */
const LOOK_EVERY = 8;
/** So many steps in crowded zones take a fraction of a second. */
const MOST_STEPS = 2_000_000;

/** The same as measureRange, with a word to `tick` about every fraction of a second where zones are crowded. */
export function measureWatched(
  task: MeasureTask,
  meter: Meter,
  from: number,
  to: number,
  tick?: (done: number) => void,
): void {
  let { steps } = meter.sweep;
  for (let k = from; k < to; k += LOOK_EVERY) {
    const end = Math.min(k + LOOK_EVERY, to);
    measureRange(task, meter, k, end);
    if (meter.sweep.steps - steps < MOST_STEPS || end === to) continue;
    steps = meter.sweep.steps;
    tick?.(end);
  }
}

/** Measures the trees order[from] .. order[to]. */
export function measureRange(task: MeasureTask, meter: Meter, from: number, to: number): void {
  const four: [number, number, number, number] = [0, 0, 0, 0];
  for (let k = from; k < to; k++) measureTree(task, meter, task.order[k]!, four);
}

function measureTree(task: MeasureTask, meter: Meter, place: number, four: [number, number, number, number]): void {
  const { out } = task;
  const row = task.rows[place]!;
  const x = task.xy[place * 2]!;
  const y = task.xy[place * 2 + 1]!;
  const radius = task.radiusM[row]!;
  const area = task.areaM2[row]!;
  const gamma = task.convergence[place]!;
  if (Number.isNaN(radius)) {
    measurePoint(task, meter, place);
    return;
  }
  const shape = task.shapes.size === 0 ? undefined : task.shapes.get(row);
  const shaped = shape !== undefined || isShaped(task, row, four);
  let overlap = 0;
  if (shaped) meter.nearest(x, y);
  else overlap = meter.discAndNearest(x, y, radius);
  const { distance } = meter;
  writeNearest(out, meter, row, gamma);
  // Ground that is hard today has no distance: with such a layer every shaped zone is looked at.
  const touched = distance < radius || out.existingM2 !== null;
  if (shape !== undefined) overlap = touched ? Math.min(meter.polygon(x, y, shape.reachM, shape.pieces), area) : 0;
  else if (shaped && touched) overlap = meter.quarters(x, y, four, (-gamma * Math.PI) / 180);
  out.overlapM2[row] = overlap;
  writeWorst(out, meter, row, touched);
  writeSets(task, meter, row, touched);
  // A group has no trunk: none to stand in works, none to see severed ground from.
  const hasTrunk = shape?.isGroup !== true;
  const stem = task.stems && hasTrunk && (distance === 0 || distance < task.trunkRadiusM[row]!); // 0: the centre is in, dbh known or not
  out.stemInWorks[row] = stem ? 1 : 0;
  // Works on the trunk sever everything: by rule, not by what the sweep makes of a ray that starts inside them.
  const severed = touched && hasTrunk ? meter.severed : 0;
  const hard = task.spareExisting ? (out.existingM2?.[row] ?? 0) : 0; // of which no loss is counted
  const left = Math.max(area - overlap - hard, 0);
  out.severedM2[row] = stem ? left : Math.min(Math.max(severed, 0), left);
  for (let r = 0; r < task.ringRadiusM.length; r++) measureRing(task, meter, row, r, x, y, distance);
}

/** A tree without a zone: what is nearest, and whether its place, as far as it is known, lies in works. */
function measurePoint(task: MeasureTask, meter: Meter, place: number): void {
  const { out, accuracyM } = task;
  const row = task.rows[place]!;
  meter.nearest(task.xy[place * 2]!, task.xy[place * 2 + 1]!);
  writeNearest(out, meter, row, task.convergence[place]!);
  const { distance } = meter;
  const isWithin = (reach: number | undefined): boolean => reach !== undefined && distance < reach;
  const stem = distance === 0 || isWithin(task.trunkRadiusM[row]) || isWithin(accuracyM?.[row]);
  out.stemInWorks[row] = task.stems && stem ? 1 : 0;
}

function writeNearest(out: OverlapTable, meter: Meter, row: number, gamma: number): void {
  const { distance } = meter;
  out.nearestM[row] = distance;
  out.nearestWorks[row] = meter.nearOwner;
  if (distance > 0) {
    const grid = (Math.atan2(meter.nearX, meter.nearY) * 180) / Math.PI;
    out.nearestBearing[row] = (((grid + gamma) % 360) + 360) % 360;
  }
}

function isShaped(task: MeasureTask, row: number, four: [number, number, number, number]): boolean {
  const { quarters } = task;
  if (quarters === null || Number.isNaN(quarters[row * 4])) return false;
  for (let side = 0; side < 4; side++) four[side] = quarters[row * 4 + side]!;
  return true;
}

function writeSets(task: MeasureTask, meter: Meter, row: number, touched: boolean): void {
  const { byKindM2, setM2, unknownM2, existingM2 } = task.out;
  const { spare } = meter.touching;
  for (const k of task.kinds) {
    byKindM2[k]![row] = touched ? meter.coveredBy(task.kindBits[k]!, spare) : 0;
  }
  for (let s = 0; s < task.sets.length; s++) {
    setM2[s]![row] = touched ? setArea(task, meter, s) : 0;
  }
  if (unknownM2 !== null) unknownM2[row] = touched ? meter.coveredBy(task.unknownBits, spare) : 0;
  if (existingM2 !== null) existingM2[row] = touched ? meter.coveredBy(EXISTING) : 0;
}

function setArea(task: MeasureTask, meter: Meter, s: number): number {
  const { bits, without } = task.sets[s]!;
  return meter.coveredBy(bits, without | meter.touching.spare);
}

function writeWorst(out: OverlapTable, meter: Meter, row: number, touched: boolean): void {
  out.worstM2[row] = 0;
  // Works within reach of a drawn zone or a group may take nothing of it: none is to blame.
  if (!touched || !(out.overlapM2[row]! > 0)) return;
  const { touching } = meter;
  touching.findWorst();
  out.worstWorks[row] = touching.worst;
  out.worstM2[row] = Math.min(Math.max(touching.worstM2, 0), out.overlapM2[row]!);
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
  const radius = task.ringRadiusM[r]![row]!;
  if (Number.isNaN(radius)) return;
  const inRing = distance < radius || task.out.existingM2 !== null;
  task.out.ringOverlapM2[r]![row] = inRing ? meter.disc(x, y, radius) : 0;
  for (let s = 0; s < task.sets.length; s++) {
    const column = task.out.ringSetM2[r]![s]!;
    column[row] = inRing ? setArea(task, meter, s) : 0;
  }
  const existing = task.out.ringExistingM2[r];
  if (existing !== undefined) existing[row] = inRing ? meter.coveredBy(EXISTING) : 0;
}
