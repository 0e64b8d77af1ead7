// Zones + works -> exact figures per tree. In: zones, trees and works as lon/lat; out: OverlapTable.
// Terms: frame = the true-to-size plane of a tree's lattice cell; group = the trees of one cell, measured together.
// Every figure is a function of the tree, the works near it and the rule alone: grouping, order and threads don't show.

import {
  EXISTING,
  indexedPieces,
  type Meter,
  NEAREST_LIMIT_M,
  PieceBuilder,
  type Pieces,
  type PieceTag,
  packedBoxes,
} from '../geometry/index.js';
import {
  type Frame,
  type OverlapTable,
  type PieceFigure,
  WORKS_KINDS,
  type WorksTable,
  type WorksWeights,
  type ZoneShape,
  type ZoneTable,
} from '../model/index.js';
import { type Columns, columnMaker } from './columns.js';
import type { OverlapInput, Runner, Site } from './input.js';
import { worksBoxes, worksNear } from './nearby.js';
import { spatialOrder } from './order.js';
import { addWorks, type PlacedWorks } from './pieces.js';
import { shares } from './shares.js';
import { type MeasureTask, measureRange, measureWatched, meterOf } from './task.js';

/** Trees measured between two words about progress; in crowded zones there are more words. */
const BATCH = 4096;

export const ONE_THREAD: Runner = {
  shared: false,
  run(task, tick) {
    const meter = meterOf(task);
    for (let from = 0; from < task.order.length; from += BATCH) {
      const to = Math.min(from + BATCH, task.order.length);
      measureWatched(task, meter, from, to, tick);
      tick?.(to);
    }
  },
};

/** One tree by itself: tables of one row, for the judge. */
export interface OneTree {
  readonly zones: ZoneTable;
  readonly table: OverlapTable;
}

export interface Overlaps {
  readonly table: OverlapTable;
  /**
   * Measures one tree against other pieces, given relative to it; no trunk stands in works there. The table is good until
   * the next call: margins ask thousands of times, mostly of the same tree.
   */
  measureOne(tree: number, site: Site, pieces: Pieces, index: ArrayBufferLike | null): OneTree;
  /** Where a tree was measured; undefined for one that has no place. The works of its group are kept once asked. */
  siteOf(tree: number): Site | undefined;
  /** What each row of works takes of one tree's zone, measured piece by piece; empty for one that was not assessed. */
  sharesOf(tree: number): readonly PieceFigure[];
}

/**
 * Measures every assessable tree against the union of all works; of a tree without a zone, what is nearest to its place
 * and whether that lies in works.
 *
 * @returns columns with one row per tree, square metres, metres, degrees from true north; NaN where not assessed.
 */
export function overlaps(input: OverlapInput): Overlaps {
  const runner = input.runner ?? ONE_THREAD;
  const columns = columnMaker(runner.shared);
  const kinds = kindsOf(input.works);
  const table = emptyTable(input, columns, kinds);
  const boxes = worksBoxes(input.works, input.worksLonLat);
  const { existing, weights } = input;
  const hardBoxes = existing && worksBoxes(existing.works, existing.lonLat);
  const proposed: PlacedWorks = { works: input.works, lonLat: input.worksLonLat, tagOf: tagOf(weights) };
  const groups = groupByFrame(input, columns);
  const common = {
    radiusM: columns.share(input.zones.radiusM),
    areaM2: columns.share(input.zones.areaM2),
    trunkRadiusM: columns.share(input.zones.trunkRadiusM),
    accuracyM: input.accuracyM === undefined ? null : columns.share(input.accuracyM),
    quarters: quarterColumn(input.zones, columns),
    shapes: input.shapes ?? new Map(),
    ringRadiusM: input.zones.ringRadiusM.map(columns.share),
    kinds,
    ...asked(input),
    stems: true,
    out: table,
  };
  const taskOf = (group: Group, compact: boolean): MeasureTask => {
    const builder = new PieceBuilder();
    const rows = worksNear(boxes, input.works, group.box, group.reachM, weights.counts);
    addWorks(builder, proposed, rows, group.frame, compact);
    if (existing !== undefined && hardBoxes !== undefined) {
      const hard = worksNear(hardBoxes, existing.works, group.box, group.radiusM);
      addWorks(builder, { works: existing.works, lonLat: existing.lonLat, tagOf: HARD }, hard, group.frame, compact);
    }
    const pieces = builder.finish();
    return {
      ...common,
      pieces: columns.sharePieces(pieces),
      index: packedBoxes(pieces.box, columns.buffer),
      order: columns.shareIndices(spatialOrder(group.xy)),
      rows: group.rows,
      xy: group.xy,
      convergence: group.convergence,
    };
  };
  let done = 0;
  for (const group of groups) {
    runner.run(taskOf(group, true), (inGroup) => input.tick?.(done + inGroup));
    done += group.rows.length;
  }
  const siteOf = sites(groups, (group) => meterOf(taskOf(group, false)));
  return {
    table,
    measureOne: measurerOfOne(input),
    siteOf,
    sharesOf(tree) {
      const site = siteOf(tree);
      return site === undefined ? [] : shares(input, boxes, tree, site);
    },
  };
}

/** One tree of a job against pieces of its own, which lie about it as the origin; keeps what a tree's next call needs. */
function measurerOfOne(input: OverlapInput): Overlaps['measureOne'] {
  let meter: Meter | null = null;
  let last: (TaskOfOne & { readonly tree: number }) | null = null;
  return (tree, site, pieces, index) => {
    if (last === null || last.tree !== tree) last = { tree, ...taskOfOne(input, tree, site) };
    const task: MeasureTask = { ...last.task, pieces, index };
    if (meter === null) meter = meterOf(task);
    else meter.lay(pieces, index ?? undefined);
    measureRange(task, meter, 0, 1);
    return { zones: last.zones, table: task.out };
  };
}

interface TaskOfOne {
  readonly zones: ZoneTable;
  readonly task: Omit<MeasureTask, 'pieces' | 'index'>;
}

function taskOfOne(input: OverlapInput, tree: number, site: Site): TaskOfOne {
  const { zones, shapes } = input;
  const one = (column: Float64Array): Float64Array => column.subarray(tree, tree + 1);
  const four = zones.quarters.get(tree);
  const shape = shapes?.get(tree);
  const single: OverlapInput = {
    ...input,
    zones: {
      ...zones,
      radiusM: one(zones.radiusM),
      areaM2: one(zones.areaM2),
      trunkRadiusM: one(zones.trunkRadiusM),
      ringRadiusM: zones.ringRadiusM.map(one),
      classNumber: zones.classNumber?.subarray(tree, tree + 1) ?? null,
    },
  };
  const kinds = WORKS_KINDS.map((_, k) => k);
  const task = {
    order: Uint32Array.of(0),
    rows: Uint32Array.of(0),
    xy: new Float64Array(2),
    convergence: Float64Array.of(site.frame.convergence(site.x, site.y)),
    radiusM: single.zones.radiusM,
    areaM2: single.zones.areaM2,
    trunkRadiusM: single.zones.trunkRadiusM,
    accuracyM: null,
    quarters: four === undefined ? null : Float64Array.from(four),
    shapes: shape === undefined ? new Map<number, ZoneShape>() : new Map([[0, aboutOrigin(shape, site)]]),
    ringRadiusM: single.zones.ringRadiusM,
    kinds,
    ...asked(input),
    stems: false,
    out: emptyTable(single, columnMaker(false), kinds),
  };
  return { zones: single.zones, task };
}

/** Which areas the kernel is asked for. */
export function asked({
  areas,
  existing,
}: OverlapInput): Pick<MeasureTask, 'kindBits' | 'sets' | 'unknownBits' | 'spareExisting'> {
  return {
    kindBits: areas.kindBits,
    sets: areas.sets.map(({ bits, unsurfaced }) => ({ bits, without: unsurfaced ? EXISTING : 0 })),
    unknownBits: areas.unknownBits,
    spareExisting: existing?.spared ?? false,
  };
}

function aboutOrigin(shape: ZoneShape, { x, y }: Site): ZoneShape {
  const { pieces } = shape;
  const xy = pieces.xy.map((value, i) => value - (i % 2 === 0 ? x : y));
  return { ...shape, pieces: indexedPieces({ ...pieces, xy }) };
}

/** Ground that is hard today: nobody's proposal, and it cuts nothing. */
export const HARD = (row: number): PieceTag => ({ owner: row, classBit: EXISTING, cuts: false });

export function tagOf({ classBit, cuts }: WorksWeights): (row: number) => PieceTag {
  return (row) => ({ owner: row, classBit: classBit[row]!, cuts: cuts[row] === 1 });
}

function sites(groups: readonly Group[], meterFor: (group: Group) => Meter): Overlaps['siteOf'] {
  const meters = new Map<number, Meter>();
  let places: Map<number, readonly [Group, number]> | null = null;
  return (tree) => {
    if (places === null) {
      places = new Map();
      for (const group of groups) group.rows.forEach((row, i) => void places?.set(row, [group, i]));
    }
    const place = places.get(tree);
    if (place === undefined) return undefined;
    const [group, i] = place;
    const meter = meters.get(group.frame.key) ?? meterFor(group);
    meters.set(group.frame.key, meter);
    return { frame: group.frame, meter, x: group.xy[i * 2]!, y: group.xy[i * 2 + 1]! };
  };
}

interface Group {
  readonly frame: Frame;
  readonly rows: Uint32Array;
  readonly xy: Float64Array; // frame positions, 2 per tree of the group
  readonly convergence: Float64Array;
  readonly box: readonly [number, number, number, number]; // lon/lat of its trees
  readonly radiusM: number; // of its largest zone
  readonly reachM: number; // how far from a tree works can matter
}

function groupByFrame(input: OverlapInput, columns: Columns): Group[] {
  const members = new Map<number, { frame: Frame; rows: number[] }>();
  let last: { frame: Frame; rows: number[] } | undefined; // neighbours in the file are mostly neighbours on the ground
  for (let t = 0; t < input.zones.radiusM.length; t++) {
    const lon = input.treeLonLat[t * 2]!;
    const lat = input.treeLonLat[t * 2 + 1]!;
    if (Number.isNaN(input.zones.radiusM[t]!) && !(Number.isFinite(lon) && Number.isFinite(lat))) continue;
    const frame = input.frameAt(lon, lat);
    if (last?.frame.key !== frame.key) {
      last = members.get(frame.key) ?? { frame, rows: [] };
      members.set(frame.key, last);
    }
    last.rows.push(t);
  }
  return [...members.values()].map(({ frame, rows }) => groupOf(input, columns, frame, rows));
}

function groupOf(input: OverlapInput, columns: Columns, frame: Frame, members: readonly number[]): Group {
  const rows = columns.shareIndices(Uint32Array.from(members));
  const xy = columns.floats(rows.length * 2);
  const convergence = columns.floats(rows.length);
  let west = Infinity;
  let south = Infinity;
  let east = -Infinity;
  let north = -Infinity;
  let radius = 0;
  for (let i = 0; i < rows.length; i++) {
    const t = rows[i]!;
    const lon = input.treeLonLat[t * 2]!;
    const lat = input.treeLonLat[t * 2 + 1]!;
    xy[i * 2] = lon;
    xy[i * 2 + 1] = lat;
    convergence[i] = frame.convergenceAt(lon, lat);
    west = Math.min(west, lon);
    south = Math.min(south, lat);
    east = Math.max(east, lon);
    north = Math.max(north, lat);
    if (input.zones.radiusM[t]! > radius) radius = input.zones.radiusM[t]!;
  }
  frame.toFrame(xy, xy);
  const reachM = Math.max(radius, NEAREST_LIMIT_M);
  return { frame, rows, xy, convergence, box: [west, south, east, north], radiusM: radius, reachM };
}

export function quarterColumn(zones: ZoneTable, columns: Columns): Float64Array | null {
  let column: Float64Array | null = null;
  for (const [row, four] of zones.quarters) {
    column ??= columns.floats(zones.radiusM.length * 4).fill(Number.NaN);
    column.set(four, row * 4);
  }
  return column;
}

/** Indices of the kinds that some works are of. */
export function kindsOf(works: WorksTable): number[] {
  let mask = 0;
  for (let row = 0; row < works.count; row++) mask |= 1 << works.kind[row]!;
  return WORKS_KINDS.map((_, k) => k).filter((k) => (mask & (1 << k)) !== 0);
}

export function emptyTable(input: OverlapInput, columns: Columns, kinds: readonly number[]): OverlapTable {
  const n = input.zones.radiusM.length;
  const column = (): Float64Array => columns.floats(n).fill(Number.NaN);
  // Kinds that no works are of share one column: 0 wherever a tree is measured.
  const none = input.zones.radiusM.map((radius) => (Number.isNaN(radius) ? Number.NaN : 0));
  const sets = (): Float64Array[] => input.areas.sets.map(column);
  const hard = input.existing !== undefined;
  return {
    overlapM2: column(),
    severedM2: column(),
    byKindM2: WORKS_KINDS.map((_, k) => (kinds.includes(k) ? column() : none)),
    setM2: sets(),
    unknownM2: input.areas.unknownBits === 0 ? null : column(),
    existingM2: hard ? column() : null,
    ringOverlapM2: input.zones.ringRadiusM.map(column),
    ringSetM2: input.zones.ringRadiusM.map(sets),
    ringExistingM2: hard ? input.zones.ringRadiusM.map(column) : [],
    worstM2: column(),
    worstWorks: columns.integers(n).fill(-1),
    nearestM: column(),
    nearestBearing: column(),
    nearestWorks: columns.integers(n).fill(-1),
    stemInWorks: columns.bytes(n),
  };
}
