// Columns -> plain results. In: the tables of every stage; out: one readonly object per tree and per row of works.
// Terms: null = a figure that there is none of; a share of a zone is in percent, 0 to 100.

import { affectedPct } from '../judge.js';
import type { LotOfTree, lotFinder } from '../plan/lots.js';
import type { PlacedLayer } from '../project.js';
import {
  type Counts,
  type CrsTransform,
  DISPOSITIONS,
  type Frame,
  type InputRecord,
  type JudgedTree,
  type LotTable,
  type OverlapTable,
  type TreeResult,
  type TreeTable,
  VERDICTS,
  type Verdict,
  WORKS_KINDS,
  type WorksKind,
  type WorksResult,
  type WorksTable,
  type ZoneTable,
} from '../types.js';

export interface ResultInput {
  readonly trees: TreeTable;
  readonly zones: ZoneTable;
  readonly works: WorksTable;
  readonly lots: LotTable | null;
  readonly overlap: OverlapTable;
  readonly judged: readonly JudgedTree[];
  readonly treeLonLat: Float64Array;
  readonly findLot: ReturnType<typeof lotFinder> | null;
  readonly transform: CrsTransform; // of the tree layer
  frameAt(lon: number, lat: number): Frame;
}

/** One result per tree, in input order. */
export function treeResults(input: ResultInput): TreeResult[] {
  return Array.from({ length: input.trees.count }, (_, row) => treeResult(input, row));
}

function treeResult(input: ResultInput, row: number): TreeResult {
  const { trees, zones, overlap, works } = input;
  const judged = input.judged[row] as JudgedTree;
  const x = given(input.treeLonLat[row * 2]);
  const y = given(input.treeLonLat[row * 2 + 1]);
  // A local ground system has no longitude, latitude or true north: its columns hold something else (see transform.ts).
  const local = input.transform.crs.kind === 'local';
  const lon = local ? null : x;
  const lat = local ? null : y;
  const area = given(zones.areaM2[row]);
  const percent = (part: number | null): number | null =>
    part === null || area === null || area === 0 ? null : Math.min(Math.max((part / area) * 100, 0), 100);
  const overlapM2 = given(overlap.overlapM2[row]);
  const severedM2 = given(overlap.severedM2[row]);
  const nearest = given(overlap.nearestM[row]);
  const bearing = given(overlap.nearestBearing[row]);
  const convergence = lon === null || lat === null ? null : gridConvergence(input.transform, lon, lat);
  const lot = lotOf(input, row, x, y);
  const stem = overlap.stemInWorks[row] === 1;
  const reasons = lot !== null && lot.shared.length > 1 ? [...judged.reasons, 'on-lot-line'] : judged.reasons;
  return {
    row,
    key: trees.key[row] as string,
    lon,
    lat,
    disposition: DISPOSITIONS[trees.disposition[row] as number] ?? 'keep',
    dbhM: given(zones.dbhM[row]),
    zoneRadiusM: given(zones.radiusM[row]),
    zoneAreaM2: area,
    overlapM2,
    overlapPct: percent(overlapM2),
    overlapByKindM2: overlapM2 === null ? null : byKind(overlap, row),
    severedM2,
    severedPct: percent(severedM2),
    affectedPct:
      overlapM2 === null || severedM2 === null || area === null ? null : affectedPct(overlapM2, severedM2, area, stem),
    rings: ringResults(zones, overlap, row),
    nearestM: nearest,
    nearestFaceM: nearest === null ? null : Math.max(nearest - (given(zones.trunkRadiusM[row]) ?? 0), 0),
    nearestBearing: local ? null : bearing,
    nearestGridBearing: local ? bearing : gridBearing(bearing, convergence),
    convergence,
    nearestWorks:
      (overlap.nearestWorks[row] as number) < 0 ? null : (works.key[overlap.nearestWorks[row] as number] as string),
    verdict: judged.verdict,
    consequence: judged.consequence,
    reasons,
    lot: lot === null || lot.lot < 0 ? null : (input.lots?.key[lot.lot] ?? null),
  };
}

/** Grid north, degrees clockwise from true north; null for a survey in lon/lat, which has no grid. */
function gridConvergence(transform: CrsTransform, lon: number, lat: number): number | null {
  return transform.crs.kind === 'projected' ? transform.convergence(lon, lat) : null;
}

function gridBearing(bearing: number | null, convergence: number | null): number | null {
  return bearing === null || convergence === null ? null : (((bearing - convergence) % 360) + 360) % 360;
}

function lotOf(input: ResultInput, row: number, lon: number | null, lat: number | null): LotOfTree | null {
  if (input.findLot === null || lon === null || lat === null) return null;
  return input.findLot(input.frameAt(lon, lat), [lon, lat], given(input.zones.trunkRadiusM[row]) ?? 0);
}

/** What the output says of each layer read. */
export function inputRecords(placed: readonly PlacedLayer[]): InputRecord[] {
  return placed.map(({ role, layer, crs, from }) => ({
    role,
    name: layer.name,
    format: layer.format,
    sha256: layer.sha256,
    crs: `${crs.code} ${crs.name}`,
    crsFrom: from,
    datumOperation: crs.datum.operation,
    datumAccuracyM: crs.datum.accuracyM,
    features: layer.count,
  }));
}

function byKind(overlap: OverlapTable, row: number): Record<WorksKind, number> {
  const entries = WORKS_KINDS.map((kind, k) => [kind, (overlap.byKindM2[k] as Float64Array)[row] as number]);
  return Object.fromEntries(entries) as Record<WorksKind, number>;
}

function ringResults(zones: ZoneTable, overlap: OverlapTable, row: number): TreeResult['rings'] {
  const out: TreeResult['rings'][number][] = [];
  zones.ringNames.forEach((name, r) => {
    const radiusM = (zones.ringRadiusM[r] as Float64Array)[row] as number;
    const taken = (overlap.ringOverlapM2[r] as Float64Array)[row] as number;
    if (Number.isNaN(radiusM) || Number.isNaN(taken)) return;
    out.push({ name, radiusM, overlapPct: Math.min((taken / (Math.PI * radiusM * radiusM)) * 100, 100) });
  });
  return out;
}

/** One result per row of works, in input order. */
export function worksResults(works: WorksTable): WorksResult[] {
  return Array.from({ length: works.count }, (_, row) => {
    const rejected = works.rejected.get(row);
    return {
      row,
      key: works.key[row] as string,
      kind: WORKS_KINDS[works.kind[row] as number] as WorksKind,
      counted: rejected === undefined ? 'true' : 'false',
      countedReason: rejected === undefined ? null : rejected.join(';'),
      repaired: works.repaired.has(row),
    };
  });
}

/** Counts in and out: trees in = assessed + not assessed; works and lots in = taken + rejected. */
export function tally(trees: readonly TreeResult[], works: WorksTable, lots: LotTable | null): Counts {
  const verdicts = Object.fromEntries(VERDICTS.map((v) => [v, 0])) as Record<Verdict, number>;
  for (const tree of trees) verdicts[tree.verdict]++;
  const notAssessed = verdicts['not-assessed'];
  return {
    trees: { in: trees.length, assessed: trees.length - notAssessed, notAssessed },
    works: { in: works.count, counted: works.count - works.rejected.size, rejected: works.rejected.size },
    lots: {
      in: lots?.count ?? 0,
      accepted: (lots?.count ?? 0) - (lots?.rejected.size ?? 0),
      rejected: lots?.rejected.size ?? 0,
    },
    verdicts,
  };
}

function given(value: number | undefined): number | null {
  return value === undefined || Number.isNaN(value) ? null : value;
}
