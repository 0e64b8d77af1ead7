// Assessment -> what a drawing shows, in metres on its plane. In: an assessment and a place; out: trees, works, lots by box.
// Terms: extent = the ground the sheet shows: every zone, and works and lots as far as they lie near the trees;
// near = within three tenths of the trees' own extent, at least 10 m.

import {
  type Assessment,
  type Disposition,
  firstVertex,
  GEOMETRY_KINDS,
  type GeometryTable,
  treeViews,
} from '../../model/index.js';
import { type Box, boxOfPairs, common, Ground, grown, holds, mainBox, meets, united } from './ground.js';
import { type Mark, markOf } from './palette.js';
import { type Spread, spreadOf } from './spread.js';

export interface SceneTree {
  readonly row: number;
  readonly x: number;
  readonly y: number;
  readonly radiusM: number; // of the zone; 0 where the tree has none
  readonly trunkM: number; // radius of the trunk; 0 where it is not known
  readonly verdict: Mark;
  readonly disposition: Disposition;
  readonly isProtected: boolean; // by the survey or the rule
  readonly category: Category | null; // where the survey gives one
  readonly touched: boolean; // works take or cut off some of its zone
  readonly spread: Spread | null; // where it may stand as well, with another verdict
}

/** Categories of BS 5837:2012, table 1. */
export type Category = 'A' | 'B' | 'C' | 'U';

/** "B2", "A", "U", "cat. C" -> the category; null for anything else. */
function categoryOf(text: string | undefined): Category | null {
  const found = /^(?:cat(?:egory|\.)?\s*)?([ABCU])(?:\s*[123](?:\s*[,+/]?\s*[123])*)?$/i.exec(text?.trim() ?? '');
  return found === null ? null : (found[1]!.toUpperCase() as Category);
}

/** A polygon or a line of a layer: flat rings in metres. */
export interface SceneShape {
  readonly row: number;
  readonly rings: readonly (readonly number[])[];
  readonly closed: boolean;
}

export interface Scene {
  readonly ground: Ground;
  readonly trees: readonly SceneTree[];
  readonly astray: readonly number[]; // rows of trees that lie off the drawing
  readonly extent: Box;
}

const NEAR_SHARE = 0.3;
const NEAR_LEAST_M = 10;

/** Trees, plane and extent of the plan; null when no tree has a position. */
export function sceneOf(assessment: Assessment): Scene | null {
  const { job } = assessment;
  const first = firstPosition(job.treeLonLat);
  if (first === null) return null;
  // The plane of the first tree shows where the middle is; the drawing is on the plane of the middle.
  const rough = Ground.at(assessment, first[0], first[1]);
  const xy = rough.metres(job.treeLonLat);
  const kept = mainBox(xy)!;
  const middle = middleOf(xy, kept);
  const at = Float64Array.of(job.treeLonLat[middle * 2]!, job.treeLonLat[middle * 2 + 1]!);
  const ground = Ground.at(assessment, at[0]!, at[1]!);
  const placed = ground.metres(job.treeLonLat);
  const trees: SceneTree[] = [];
  const astray: number[] = [];
  let box: Box | null = null;
  for (const tree of treeViews(assessment)) {
    const { row } = tree;
    const x = placed[row * 2]!;
    const y = placed[row * 2 + 1]!;
    if (!Number.isFinite(x) || !Number.isFinite(y)) continue;
    if (!holds(kept, xy[row * 2]!, xy[row * 2 + 1]!)) {
      astray.push(row);
      continue;
    }
    const radiusM = tree.zoneRadiusM ?? 0;
    const trunk = job.zones.trunkRadiusM[row] ?? Number.NaN;
    trees.push({
      row,
      x,
      y,
      radiusM,
      trunkM: Number.isFinite(trunk) ? trunk : 0,
      verdict: markOf(tree.verdict),
      disposition: tree.disposition,
      isProtected: tree.isProtected === true,
      category: categoryOf(job.trees.text(row, 'category')),
      touched: (tree.overlapM2 ?? 0) > 0 || (tree.severedM2 ?? 0) > 0 || tree.verdict === 'stem-in-works',
      spread: spreadOf(assessment, tree),
    });
    box = united(box, grown({ x0: x, y0: y, x1: x, y1: y }, radiusM));
  }
  if (box === null) return null;
  const near = grown(box, Math.max(NEAR_SHARE * Math.max(box.x1 - box.x0, box.y1 - box.y0), NEAR_LEAST_M));
  const works = boxesNear(ground.metres(job.worksLonLat), job.works.geometry, near);
  const lots = job.lots === null ? null : boxesNear(ground.metres(job.lotsLonLat), job.lots.geometry, near);
  const extent = [works, lots].reduce<Box>((sum, one) => united(sum, one) ?? sum, box);
  return { ground, trees, astray, extent: grown(extent, Math.max(0.01 * (extent.x1 - extent.x0), 0.5)) };
}

/** Polygons of one layer that meet a box; those too small to see (both sides under `leastM`) fall away. */
export function shapesIn(
  ground: Ground,
  table: GeometryTable,
  lonLat: Float64Array,
  box: Box,
  leastM: number,
  skip: (row: number) => boolean,
): SceneShape[] {
  const out: SceneShape[] = [];
  const degrees = ground.degrees(box);
  const boxes = boxesOf(table, lonLat);
  for (let row = 0; row < table.kind.length; row++) {
    if (degrees !== null && !comesNear(boxes, row * 4, degrees)) continue; // first: nearly all of a city is elsewhere
    const from = firstVertex(table, row);
    const to = firstVertex(table, row + 1);
    if (from === to || skip(row)) continue;
    const xy = ground.metres(lonLat.subarray(from * 2, to * 2));
    const own = boxOfPairs(xy);
    if (own === null || !meets(own, box)) continue;
    if (own.x1 - own.x0 < leastM && own.y1 - own.y0 < leastM) continue;
    const kind = GEOMETRY_KINDS[table.kind[row]!];
    const rings: number[][] = [];
    for (let p = table.partStart[row]!; p < table.partStart[row + 1]!; p++) {
      for (let r = table.ringStart[p]!; r < table.ringStart[p + 1]!; r++) {
        const first = table.vertexStart[r]! - from;
        const ring = xy.subarray(first * 2, (table.vertexStart[r + 1]! - from) * 2);
        if (ring.every(Number.isFinite)) rings.push(Array.from(ring));
      }
    }
    out.push({ row, rings, closed: kind === 'polygon' || kind === 'multipolygon' });
  }
  return out;
}

/** Boxes of rows by the columns they are of: a report asks for the same layer once per card. */
const known = new WeakMap<Float64Array, Float64Array>();

/** West, south, east, north of every row; west > east where it has no position. */
function boxesOf(table: GeometryTable, lonLat: Float64Array): Float64Array {
  const held = known.get(lonLat);
  if (held !== undefined) return held;
  const boxes = new Float64Array(table.kind.length * 4);
  for (let row = 0; row < table.kind.length; row++) {
    let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
    const end = firstVertex(table, row + 1) * 2;
    for (let i = firstVertex(table, row) * 2; i < end; i += 2) {
      const lon = lonLat[i]!;
      const lat = lonLat[i + 1]!;
      if (lon < west) west = lon;
      if (lon > east) east = lon;
      if (lat < south) south = lat;
      if (lat > north) north = lat;
    }
    boxes.set([west, south, east, north], row * 4);
  }
  known.set(lonLat, boxes);
  return boxes;
}

function comesNear(boxes: Float64Array, at: number, { x0, y0, x1, y1 }: Box): boolean {
  return boxes[at]! <= x1 && boxes[at + 2]! >= x0 && boxes[at + 1]! <= y1 && boxes[at + 3]! >= y0;
}

function boxesNear(xy: Float64Array, table: GeometryTable, near: Box): Box | null {
  let sum: Box | null = null;
  for (let row = 0; row < table.kind.length; row++) {
    const own = boxOfPairs(xy.subarray(firstVertex(table, row) * 2, firstVertex(table, row + 1) * 2));
    if (own !== null && meets(own, near)) sum = united(sum, common(own, near));
  }
  return sum;
}

function firstPosition(lonLat: Float64Array): readonly [number, number] | null {
  for (let i = 0; i < lonLat.length; i += 2) {
    const lon = lonLat[i]!;
    const lat = lonLat[i + 1]!;
    if (Number.isFinite(lon) && Number.isFinite(lat)) return [lon, lat];
  }
  return null;
}

/** The tree nearest to the middle of those that have not gone astray. */
function middleOf(xy: Float64Array, kept: Box): number {
  let box: Box | null = null;
  for (let i = 0; i < xy.length; i += 2) {
    const x = xy[i]!;
    const y = xy[i + 1]!;
    if (holds(kept, x, y)) box = united(box, { x0: x, y0: y, x1: x, y1: y });
  }
  const mx = box === null ? 0 : (box.x0 + box.x1) / 2;
  const my = box === null ? 0 : (box.y0 + box.y1) / 2;
  let best = 0;
  let least = Infinity;
  for (let i = 0; i < xy.length; i += 2) {
    const d = (xy[i]! - mx) ** 2 + (xy[i + 1]! - my) ** 2;
    if (d < least) [best, least] = [i / 2, d];
  }
  return best;
}
