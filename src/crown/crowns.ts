// Crowns + structures -> conflicts in the air. In: trees that state a crown, buildings with their heights, a clearance;
// out: CrownTable and findings. Terms: structure = a building, widened by the clearance sideways and upwards;
// quarters = the crown from above, four quarter ellipses about true north; lift = raising the crown's base by pruning.

import type { Pieces } from '../geometry/index.js';
import {
  type CrownConflict,
  type CrownResult,
  type CrownTable,
  DISPOSITIONS,
  type Disposition,
  type DrawnPolygons,
  type Finding,
  type Frame,
  finding,
  METRES_PER,
  type TreeTable,
} from '../model/index.js';
import { conflictsOf, NO_CONFLICT } from './conflicts.js';
import { DrawnCrown } from './drawn.js';
import { areaOfQuarters, fourOf, type Row } from './shape.js';
import { type StructureSource, Structures } from './structures.js';

export interface CrownInput {
  readonly trees: TreeTable;
  readonly treeLonLat: Float64Array; // 2 per tree; NaN where there is no point
  readonly structures: readonly StructureSource[];
  readonly clearanceM: number;
  /** Crowns that an arborist drew: they take precedence over radii. */
  readonly crownPolygons?: DrawnPolygons | null;
  frameAt(lon: number, lat: number): Frame;
}

/**
 * Compares every stated crown with the structures near it; null, at no cost, when no tree states one.
 *
 * A structure whose top with the clearance stays at or below the crown's base is not a conflict (`crown-cleared`); where
 * either height is unknown it counts in full (`crown-height-unknown`). Heights are above the ground at the trunk.
 *
 * @example
 * crowns({ trees, treeLonLat, structures: [houses], clearanceM: 2, frameAt })?.table.conflicts.get(0)?.overlapM2; // 12.4
 */
export function crowns(
  input: CrownInput,
): { readonly table: CrownTable; readonly findings: readonly Finding[] } | null {
  const { trees, treeLonLat } = input;
  const drawn = drawnCrowns(input);
  const rows: Row[] = [];
  const partial: Row[] = [];
  for (let row = 0; row < trees.count; row++) {
    const given = drawn.has(row) ? 4 : sidesGiven(trees.crownM, row);
    if (given === 0 || Number.isNaN(treeLonLat[row * 2]!)) continue;
    if (given < 4) partial.push(row);
    else rows.push(row);
  }
  if (rows.length === 0 && partial.length === 0) return null;
  const conflicts = new Map<number, CrownConflict>();
  for (const row of partial) conflicts.set(row, { ...NO_CONFLICT, reasons: ['crown-incomplete'] });
  const structures = new Structures(input.structures, input.clearanceM);
  if (structures.count > 0) {
    const found = conflictsOf({ ...input, rows, drawn }, structures).concat([...conflicts]);
    conflicts.clear();
    for (const [row, conflict] of found.sort((one, two) => one[0] - two[0])) conflicts.set(row, conflict);
  }
  const areaM2 = (row: number): number => {
    if (Number.isNaN(treeLonLat[row * 2]!)) return Number.NaN;
    return drawn.get(row)?.areaM2 ?? areaOfQuarters(fourOf(trees.crownM, row));
  };
  const drawnParts = (row: number): Pieces | null => drawn.get(row)?.parts ?? null;
  const table: CrownTable = { clearanceM: input.clearanceM, areaM2, drawnParts, conflicts };
  return { table, findings: findingsOf(input, table, partial, structures.count) };
}

function drawnCrowns({ crownPolygons, treeLonLat, frameAt }: CrownInput): Map<Row, DrawnCrown> {
  const drawn = new Map<Row, DrawnCrown>();
  if (crownPolygons === null || crownPolygons === undefined) return drawn;
  for (const [row, parts] of crownPolygons.table.rowOfTree) {
    const lon = treeLonLat[row * 2]!;
    const lat = treeLonLat[row * 2 + 1]!;
    if (!Number.isNaN(lon)) drawn.set(row, new DrawnCrown(crownPolygons, parts, lon, lat, frameAt(lon, lat)));
  }
  return drawn;
}

/** One tree's crown as plain figures; null where there is none. */
export function crownResult(table: CrownTable | null | undefined, row: number): CrownResult | null {
  if (table === null || table === undefined) return null;
  const areaM2 = table.areaM2(row);
  if (!(areaM2 > 0)) return null;
  const { overlapM2, arcs, liftM, works } = table.conflicts.get(row) ?? NO_CONFLICT;
  let widest: readonly [number, number] | null = null;
  let arcDegrees = 0;
  for (const arc of arcs) {
    const width = widthOf(arc);
    arcDegrees += width;
    if (widest === null || width > widthOf(widest)) widest = arc;
  }
  return {
    areaM2,
    overlapM2: Math.min(overlapM2, areaM2),
    overlapPct: Math.min((overlapM2 / areaM2) * 100, 100),
    arcs,
    arcFrom: widest?.[0] ?? null,
    arcTo: widest?.[1] ?? null,
    arcDegrees,
    liftM,
    works,
  };
}

/** Degrees from the first bearing clockwise to the second; [0, 360] is all round. */
function widthOf([from, to]: readonly [number, number]): number {
  return to < from ? to + 360 - from : to - from;
}

function sidesGiven(crownM: Float64Array, row: number): number {
  let given = 0;
  for (let side = 0; side < 4; side++) if (!Number.isNaN(crownM[row * 4 + side]!)) given++;
  return given;
}

function findingsOf(input: CrownInput, table: CrownTable, partial: readonly number[], structures: number): Finding[] {
  const { trees, clearanceM } = input;
  const out: Finding[] = [];
  const layer = trees.layer.name;
  if (structures > 0) {
    const message =
      `crowns were compared with ${structures} ${structures === 1 ? 'building' : 'buildings'} with a clearance of ${inWords(clearanceM)}, sideways and upwards; ` +
      'heights are taken from the ground at the trunk, as if the site were level';
    out.push(finding('crown-clearance', { layer }, message, 'give the clearance you want with --clearance 2m'));
  }
  if (partial.length > 0) {
    const row = partial[0]!;
    const message = `crowns not measured, because some of their four radii are missing: ${partial.length}`;
    const cure = 'fill crown_radius, or all of crown_n, crown_e, crown_s and crown_w (0 where there is no crown)';
    out.push(finding('crown-incomplete', { layer, feature: row, id: trees.key.at(row) }, message, cure));
  }
  for (const [row, conflict] of table.conflicts) {
    if (!conflict.reasons.includes('crown-over-quarter') || dispositionOf(trees, row) === 'remove') continue;
    const share = crownResult(table, row)?.overlapPct?.toFixed(1) ?? '';
    const message =
      `buildings and their clearance take ${share} % of the crown of tree ${trees.key.at(row)}; ANSI A300-1995 (5.3.1) let ` +
      'no more than one fourth of a mature tree’s foliage be removed in a growing season (later editions give no number)';
    const cure =
      'move or lower the building, or ask an arborist how much pruning the crown can tolerate; the verdict does not depend on this';
    out.push(finding('crown-over-quarter', { layer, feature: row, id: trees.key.at(row) }, message, cure));
  }
  return out;
}

/** A length in metres and in feet. */
function inWords(metres: number): string {
  return metres === 0 ? '0 m' : `${Number(metres.toFixed(3))} m (${Number((metres / METRES_PER.ft).toFixed(2))} ft)`;
}

function dispositionOf(trees: TreeTable, row: number): Disposition | undefined {
  return DISPOSITIONS[trees.disposition[row]!];
}
