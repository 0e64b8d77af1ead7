// Which crowns meet structures. In: rows with crowns, structures; out: a conflict for each row that has one.
// Terms: tile = see structures.ts; trees of one place are measured on one tile. A figure is a function of the tree and
// the structures near it alone: the meter orders what it finds by geometry, so tiles don't show.

import { Probe } from '../geometry/index.js';
import type { CrownConflict, Frame, TreeTable } from '../model/index.js';
import { BearingArcs, edgesInQuarters } from './arcs.js';
import type { DrawnCrown } from './drawn.js';
import { areaOfQuarters, type Four, fourOf, type Row } from './shape.js';
import type { Structure, Structures, Tile } from './structures.js';

/** What a share of a crown is compared with: ANSI A300-1995, 5.3.1; later editions give no number (from memory). */
export const QUARTER_PCT = 25;

/** Overlaps up to this are rounding, square metres. */
const LEAST_M2 = 1e-6;
/** Heights are not known better than this, metres. */
const LEAST_M = 1e-9;
/** Works nearer to the trunk's centre than this touch it: bearings of an edge would be noise there. Metres. */
const TOUCH_M = 1e-6;
/** Side of a tile in degrees of latitude and longitude: some 200 m. */
const TILE = 0.002;

export const NO_CONFLICT: CrownConflict = { overlapM2: 0, arcs: [], liftM: null, works: null, reasons: [] };

export interface ConflictInput {
  readonly trees: TreeTable;
  readonly treeLonLat: Float64Array;
  readonly rows: readonly Row[];
  readonly drawn: ReadonlyMap<Row, DrawnCrown>;
  readonly clearanceM: number;
  frameAt(lon: number, lat: number): Frame;
}

/** Conflicts by row, in no particular order; rows without any structure in their crown are not among them. */
export function conflictsOf(input: ConflictInput, structures: Structures): (readonly [Row, CrownConflict])[] {
  const out: (readonly [Row, CrownConflict])[] = [];
  for (const group of groupsOf(input, structures)) {
    const near = group.rows.map((row) => nearTo(input, structures, row));
    const first = input.treeLonLat[group.rows[0]! * 2]!;
    const frame = input.frameAt(first, input.treeLonLat[group.rows[0]! * 2 + 1]!);
    const tile = structures.tile([...new Set(near.flat())], frame);
    group.rows.forEach((row, i) => {
      const conflict = conflictOf(input, structures, tile, near[i]!, row);
      if (conflict !== null) out.push([row, conflict]);
    });
  }
  return out;
}

/** Rows that have structures near, by the tile and the frame they stand in. */
function groupsOf(input: ConflictInput, structures: Structures): Iterable<{ readonly rows: Row[] }> {
  const groups = new Map<string, { rows: Row[] }>();
  for (const row of input.rows) {
    if (nearTo(input, structures, row).length === 0) continue;
    const lon = input.treeLonLat[row * 2]!;
    const lat = input.treeLonLat[row * 2 + 1]!;
    const key = `${Math.floor(lon / TILE)} ${Math.floor(lat / TILE)} ${input.frameAt(lon, lat).key}`;
    const group = groups.get(key);
    if (group === undefined) groups.set(key, { rows: [row] });
    else group.rows.push(row);
  }
  return groups.values();
}

function nearTo({ trees, treeLonLat, drawn }: ConflictInput, structures: Structures, row: Row): Structure[] {
  const { crownM } = trees;
  const at = row * 4;
  const reach = drawn.get(row)?.reachM ?? Math.max(crownM[at]!, crownM[at + 1]!, crownM[at + 2]!, crownM[at + 3]!);
  return structures.near(treeLonLat[row * 2]!, treeLonLat[row * 2 + 1]!, reach);
}

/** A crown in its frame, whichever way it was given. */
interface Crown {
  readonly x: number;
  readonly y: number;
  readonly areaM2: number;
  readonly holdsTrunk: boolean;
  overlap(tile: Tile): number;
  spans(tile: Tile, range: readonly [number, number], arcs: BearingArcs): void;
}

/** A structure in the crown, as seen from above. */
interface Hit {
  readonly structure: Structure;
  readonly distanceM: number; // from the trunk's centre; 0 where it stands inside
  readonly arcs: BearingArcs;
}

function conflictOf(
  input: ConflictInput,
  structures: Structures,
  tile: Tile,
  near: readonly Structure[],
  row: Row,
): CrownConflict | null {
  const crown = crownOf(input, tile.frame, row);
  const reasons = new Set<string>();
  const base = input.trees.crownBaseM[row]!;
  const hits: Hit[] = [];
  let liftM: number | null = null;
  let unknown = false;
  let cleared = false;
  for (const structure of near) {
    const hit = hitOf(crown, tile, structure);
    if (hit === null) continue;
    const above = structure.heightM + input.clearanceM - base;
    if (above <= LEAST_M) {
      cleared = true;
      continue;
    }
    if (Number.isNaN(above)) unknown = true;
    else liftM = Math.max(liftM ?? 0, above);
    hits.push(hit);
  }
  if (cleared) reasons.add('crown-cleared');
  // Structures that pass below the crown must not count, so the others are measured on their own.
  const counted = cleared
    ? structures.tile(
        hits.map(({ structure }) => structure),
        tile.frame,
      )
    : tile;
  const overlapM2 = hits.length === 0 ? 0 : crown.overlap(counted);
  if (!(overlapM2 > LEAST_M2)) return cleared ? { ...NO_CONFLICT, reasons: [...reasons] } : null;
  if (unknown) reasons.add('crown-height-unknown');
  if ((overlapM2 / crown.areaM2) * 100 > QUARTER_PCT) reasons.add('crown-over-quarter');
  return {
    overlapM2,
    arcs: arcsOf(hits, crown),
    liftM: unknown ? null : liftM,
    works: nearestOf(hits),
    reasons: [...reasons],
  };
}

const probe = new Probe();

/** A structure's place in the crown; null where it has none. */
function hitOf(crown: Crown, tile: Tile, structure: Structure): Hit | null {
  const range = tile.range(structure);
  const arcs = new BearingArcs();
  crown.spans(tile, range, arcs);
  let least = Number.POSITIVE_INFINITY;
  for (let p = range[0]; p < range[1]; p++) {
    probe.measure(tile.pieces, p, crown.x, crown.y, least);
    if (probe.inside) least = 0;
    else least = Math.min(least, probe.distance2);
    if (least === 0) break;
  }
  const distanceM = Math.sqrt(least) < TOUCH_M ? 0 : Math.sqrt(least);
  if (!arcs.isOpen && !(distanceM === 0 && crown.holdsTrunk)) return null;
  return { structure, distanceM, arcs };
}

function crownOf({ trees, treeLonLat, drawn }: ConflictInput, frame: Frame, row: Row): Crown {
  const polygon = drawn.get(row);
  return polygon === undefined
    ? quartersCrown(fourOf(trees.crownM, row), treeLonLat[row * 2]!, treeLonLat[row * 2 + 1]!, frame)
    : polygonCrown(polygon);
}

function quartersCrown(four: Four, lon: number, lat: number, frame: Frame): Crown {
  const at = Float64Array.of(lon, lat);
  frame.toFrame(at, at);
  const x = at[0]!;
  const y = at[1]!;
  const turn = (-frame.convergenceAt(lon, lat) * Math.PI) / 180;
  return {
    x,
    y,
    areaM2: areaOfQuarters(four),
    holdsTrunk: true,
    overlap: (tile) => tile.meter.quarters(x, y, four, turn),
    spans: (tile, range, arcs) => edgesInQuarters(tile.pieces, range, x, y, four, turn, arcs),
  };
}

function polygonCrown(drawn: DrawnCrown): Crown {
  const { x, y, areaM2, holdsTrunk } = drawn;
  return {
    x,
    y,
    areaM2,
    holdsTrunk,
    overlap: (tile) => drawn.overlap(tile.pieces),
    spans: (tile, range, arcs) => drawn.spans(tile.pieces, range, arcs),
  };
}

/** The bearings under which structures stand in the crown; all round where they hold the trunk. */
function arcsOf(hits: readonly Hit[], crown: Crown): CrownConflict['arcs'] {
  const arcs = new BearingArcs();
  for (const hit of hits) {
    if (hit.distanceM === 0 && crown.holdsTrunk) return [[0, 360]];
    arcs.addAll(hit.arcs);
  }
  return arcs.merged();
}

/** The first by input order where several are equally near. */
function nearestOf(hits: readonly Hit[]): string | null {
  let best: Hit | null = null;
  for (const hit of hits) if (best === null || hit.distanceM < best.distanceM) best = hit;
  return best?.structure.key ?? null;
}
