// Zones + works -> exact figures per tree. In: zones, trees and works as lon/lat; out: OverlapTable.
// Terms: frame = the true-to-size plane of a tree's lattice cell; group = the trees of one cell, measured together.
// Every figure is a function of the tree, the works near it and the rule alone: grouping, order and threads don't show.

import { Meter, NEAREST_LIMIT_M } from './geometry/meter.js';
import { worksBoxes, worksNear } from './overlap/nearby.js';
import { spatialOrder } from './overlap/order.js';
import { worksPieces } from './overlap/pieces.js';
import {
  type Frame,
  type OverlapTable,
  WORKS_KINDS,
  type WorksKind,
  type WorksTable,
  type ZoneTable,
} from './types.js';

export interface OverlapInput {
  readonly zones: ZoneTable;
  readonly treeLonLat: Float64Array; // 2 per tree; NaN where there is no point
  readonly works: WorksTable;
  readonly worksLonLat: Float64Array; // 2 per vertex of works.geometry
  readonly cuts: readonly WorksKind[];
  readonly kindSets: readonly (readonly WorksKind[])[];
  frameAt(lon: number, lat: number): Frame;
}

/** The bits of a set of kinds. */
export function kindMask(kinds: readonly WorksKind[]): number {
  let mask = 0;
  for (const kind of kinds) mask |= 1 << WORKS_KINDS.indexOf(kind);
  return mask;
}

/** A tree's frame, the works about it and its position there. */
export interface Site {
  readonly frame: Frame;
  readonly meter: Meter;
  readonly x: number;
  readonly y: number;
}

export interface Overlaps {
  readonly table: OverlapTable;
  /** Where a tree was measured; undefined for one that was not assessed. The works of its group are kept once asked. */
  siteOf(tree: number): Site | undefined;
}

/**
 * Measures every assessable tree against the union of all works.
 *
 * @returns columns with one row per tree, square metres, metres, degrees from true north; NaN where not assessed.
 */
export function overlaps(input: OverlapInput): Overlaps {
  const table = emptyTable(input);
  const boxes = worksBoxes(input.works, input.worksLonLat);
  const groups = groupByFrame(input);
  const meterOf = (group: Group): Meter => {
    const rows = worksNear(boxes, input.works, group.box, group.reachM);
    return new Meter(worksPieces(input.works, input.worksLonLat, rows, group.frame, kindMask(input.cuts)));
  };
  for (const group of groups) measureGroup(input, meterOf(group), group, table);
  return { table, siteOf: sites(groups, meterOf) };
}

function sites(groups: readonly Group[], meterOf: (group: Group) => Meter): Overlaps['siteOf'] {
  const meters = new Map<number, Meter>();
  const places = new Map<number, readonly [Group, number]>();
  return (tree) => {
    if (places.size === 0) for (const group of groups) group.trees.forEach((t, i) => void places.set(t, [group, i]));
    const place = places.get(tree);
    if (place === undefined) return undefined;
    const [group, i] = place;
    const meter = meters.get(group.frame.key) ?? meterOf(group);
    meters.set(group.frame.key, meter);
    return { frame: group.frame, meter, x: group.xy[i * 2] as number, y: group.xy[i * 2 + 1] as number };
  };
}

interface Group {
  readonly frame: Frame;
  readonly trees: Uint32Array;
  readonly xy: Float64Array; // frame positions, 2 per tree of the group
  readonly box: readonly [number, number, number, number]; // lon/lat of its trees
  readonly reachM: number; // how far from a tree works can matter
}

function groupByFrame(input: OverlapInput): Group[] {
  const members = new Map<number, number[]>();
  const frames = new Map<number, Frame>();
  for (let t = 0; t < input.zones.radiusM.length; t++) {
    if (Number.isNaN(input.zones.radiusM[t] as number)) continue;
    const frame = input.frameAt(input.treeLonLat[t * 2] as number, input.treeLonLat[t * 2 + 1] as number);
    const list = members.get(frame.key);
    if (list) list.push(t);
    else {
      members.set(frame.key, [t]);
      frames.set(frame.key, frame);
    }
  }
  return [...members].map(([key, list]) => groupOf(input, frames.get(key) as Frame, Uint32Array.from(list)));
}

function groupOf(input: OverlapInput, frame: Frame, trees: Uint32Array): Group {
  const xy = new Float64Array(trees.length * 2);
  const box: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
  let radius = 0;
  trees.forEach((t, i) => {
    const lon = input.treeLonLat[t * 2] as number;
    const lat = input.treeLonLat[t * 2 + 1] as number;
    xy[i * 2] = lon;
    xy[i * 2 + 1] = lat;
    box[0] = Math.min(box[0], lon);
    box[1] = Math.min(box[1], lat);
    box[2] = Math.max(box[2], lon);
    box[3] = Math.max(box[3], lat);
    radius = Math.max(radius, input.zones.radiusM[t] as number);
  });
  frame.toFrame(xy, xy);
  return { frame, trees, xy, box, reachM: Math.max(radius, NEAREST_LIMIT_M) };
}

function measureGroup(input: OverlapInput, meter: Meter, group: Group, out: OverlapTable): void {
  const masks = input.kindSets.map(kindMask);
  for (const i of spatialOrder(group.xy)) {
    const t = group.trees[i] as number;
    const x = group.xy[i * 2] as number;
    const y = group.xy[i * 2 + 1] as number;
    measureTree(input, meter, masks, group.frame, t, x, y, out);
  }
}

function measureTree(
  input: OverlapInput,
  meter: Meter,
  masks: readonly number[],
  frame: Frame,
  t: number,
  x: number,
  y: number,
  out: OverlapTable,
): void {
  const zones = input.zones;
  const radius = zones.radiusM[t] as number;
  const area = zones.areaM2[t] as number;
  const quarters = zones.quarters.get(t);
  let overlap = quarters ? 0 : meter.discAndNearest(x, y, radius);
  if (quarters) meter.nearest(x, y);
  const distance = meter.distance;
  out.nearestM[t] = distance;
  out.nearestWorks[t] = meter.nearOwner;
  if (distance > 0) {
    const grid = (Math.atan2(meter.nearX, meter.nearY) * 180) / Math.PI;
    out.nearestBearing[t] = (((grid + frame.convergence(x, y)) % 360) + 360) % 360;
  }
  const touched = distance < radius;
  if (quarters && touched) {
    overlap = meter.quarters(x, y, quarters, (-frame.convergence(x, y) * Math.PI) / 180);
  }
  out.overlapM2[t] = overlap;
  for (let k = 0; k < WORKS_KINDS.length; k++) {
    (out.byKindM2[k] as Float64Array)[t] = touched ? meter.coveredBy(1 << k) : 0;
  }
  for (let s = 0; s < masks.length; s++) {
    (out.kindSetM2[s] as Float64Array)[t] = touched ? meter.coveredBy(masks[s] as number) : 0;
  }
  const stem = distance === 0 || distance < (zones.trunkRadiusM[t] as number); // 0: the centre is in, dbh known or not
  out.stemInWorks[t] = stem ? 1 : 0;
  // Works on the trunk sever everything: by rule, not by what the sweep makes of a ray that starts inside them.
  const severed = touched ? meter.severed : 0;
  out.severedM2[t] = stem ? Math.max(area - overlap, 0) : Math.min(Math.max(severed, 0), Math.max(area - overlap, 0));
  for (let r = 0; r < zones.ringRadiusM.length; r++) {
    const ringRadius = (zones.ringRadiusM[r] as Float64Array)[t] as number;
    const inRing = distance < ringRadius;
    if (Number.isNaN(ringRadius)) continue;
    (out.ringOverlapM2[r] as Float64Array)[t] = inRing ? meter.disc(x, y, ringRadius) : 0;
    for (let s = 0; s < masks.length; s++) {
      const column = (out.ringKindSetM2[r] as readonly Float64Array[])[s] as Float64Array;
      column[t] = inRing ? meter.coveredBy(masks[s] as number) : 0;
    }
  }
}

function emptyTable(input: OverlapInput): OverlapTable {
  const n = input.zones.radiusM.length;
  const column = (): Float64Array => new Float64Array(n).fill(Number.NaN);
  const sets = (): Float64Array[] => input.kindSets.map(column);
  return {
    overlapM2: column(),
    severedM2: column(),
    byKindM2: WORKS_KINDS.map(column),
    kindSetM2: sets(),
    ringOverlapM2: input.zones.ringRadiusM.map(column),
    ringKindSetM2: input.zones.ringRadiusM.map(sets),
    nearestM: column(),
    nearestBearing: column(),
    nearestWorks: new Int32Array(n).fill(-1),
    stemInWorks: new Uint8Array(n),
  };
}
