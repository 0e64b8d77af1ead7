// Trees, before and after. In: two files; out: pairs, and for each pair what is not the same in it.
// Terms: near = so near, with the same diameter, that a tree without a label may be the same one. Linear in the trees, and in
// the neighbours of those without a label.

import { BoxIndex } from '../geometry/index.js';
import {
  DISPOSITIONS,
  type Disposition,
  type FieldChange,
  type Finding,
  finding,
  type LonLatPolygons,
  METRES_PER,
  type Move,
  type SubmittedTree,
  VERDICTS,
} from '../model/index.js';
import { changedFields, type OwnFields, ownFields, ownText } from './fields.js';
import { groundChange } from './ground.js';
import { type Candidates, type Matched, match, type Side } from './match.js';
import { moveBetween, STEP_M, shapeMove } from './moved.js';
import type { Opened, Row } from './submission.js';

/** A tree without a label may have been surveyed anew: so far from where it stood, with the same diameter. */
const NEAR_M = 1;
/** A degree of latitude is no longer than this, metres. */
const PER_DEGREE_M = 111_700;
/** Half a step of six decimals. */
const HALF_STEP = 0.5e-6;

/** The trees of a file as figures. */
export function treesOf(file: Opened): SubmittedTree[] {
  const inch = file.units === 'us';
  const number = (row: Row, name: string): number | null => {
    const value = file.figure(row, name);
    return typeof value === 'number' && Number.isFinite(value)
      ? value
      : typeof value === 'bigint'
        ? Number(value)
        : null;
  };
  const scaled = (value: number | null, factor: number): number | null => (value === null ? null : value * factor);
  return file.trees.map((row, at): SubmittedTree => {
    const place = file.place(row);
    const verdict = VERDICTS.find((one) => one === file.figure(row, 'verdict')) ?? null;
    return {
      row: at,
      label: row.label ?? String(file.figure(row, 'id') ?? `trees:${at}`),
      lon: place?.[0] ?? null,
      lat: place?.[1] ?? null,
      dbhM: scaled(number(row, inch ? 'dbh_in' : 'dbh_m'), inch ? METRES_PER.in : 1),
      zoneRadiusM: scaled(number(row, inch ? 'zone_radius_ft' : 'zone_radius_m'), inch ? METRES_PER.ft : 1),
      overlapPct: number(row, 'overlap_pct'),
      verdict,
      disposition: dispositionOf(file.figure(row, 'disposition')),
      touched: (number(row, 'affected_pct') ?? number(row, 'overlap_pct') ?? 0) > 0 || verdict === 'stem-in-works',
    };
  });
}

function dispositionOf(value: unknown): Disposition {
  return DISPOSITIONS.find((one) => one === value) ?? (value === undefined || value === null ? 'keep' : 'unknown');
}

/** What is not the same in one pair. */
export interface TreePair {
  readonly before: SubmittedTree;
  readonly after: SubmittedTree;
  readonly move: Move | null;
  readonly fields: readonly FieldChange[];
}

/** The figures that both files hold: one that is in neither or in one alone is not compared. */
export interface Has {
  readonly verdict: boolean;
  readonly dbh: boolean;
  readonly disposition: boolean;
}

/** Whether a file holds a figure. */
export function holds({ trees, prefix }: Opened, name: string): boolean {
  return trees.some(({ layer }) => layer.fields.includes(prefix + name));
}

/** What the diameter of trees is called. */
export function diameterOf({ units }: Opened): 'dbh_in' | 'dbh_m' {
  return units === 'us' ? 'dbh_in' : 'dbh_m';
}

export interface ComparedTrees {
  readonly before: readonly SubmittedTree[];
  readonly after: readonly SubmittedTree[];
  readonly matched: Matched;
  readonly pairs: readonly TreePair[]; // all that are matched
  readonly has: Has;
  readonly findings: readonly Finding[];
}

export function compareTrees(before: Opened, after: Opened): ComparedTrees {
  const [earlier, later] = [treesOf(before), treesOf(after)];
  const own = ownFields(before, after, 'trees');
  const both = (name: (file: Opened) => string): boolean => [before, after].every((file) => holds(file, name(file)));
  const has: Has = { verdict: both(() => 'verdict'), dbh: both(diameterOf), disposition: both(() => 'disposition') };
  const matched = match(
    sideOf(before, earlier, own),
    sideOf(after, later, own),
    candidatesOf(before, after, earlier, later),
  );
  const pairs = matched.pairs.map(([b, a]) => pairOf(before, after, earlier[b]!, later[a]!, own, has));
  const findings = [
    ...own.findings,
    ...unclearOf(before, after, matched, earlier),
    ...renamed(after, matched, earlier, later),
  ];
  return { before: earlier, after: later, matched, pairs, has, findings };
}

/** All that is compared of a tree, as text: place and diameter as they are printed. */
function sideOf(file: Opened, trees: readonly SubmittedTree[], own: OwnFields): Side {
  return {
    count: trees.length,
    label: (row) => file.trees[row]!.label,
    same(row) {
      const { lon, lat, dbhM, verdict, disposition } = trees[row]!;
      return [lon, lat, dbhM, verdict, disposition, ownText(own.columns, file.trees[row]!)].join('\n');
    },
  };
}

/** Trees at one place, whatever their diameter; and near ones of one diameter. */
function candidatesOf(
  before: Opened,
  after: Opened,
  earlier: readonly SubmittedTree[],
  later: readonly SubmittedTree[],
): Candidates {
  return (b, a) => {
    const open = a.filter((row) => later[row]!.lon !== null);
    if (b.length === 0 || open.length === 0) return [];
    const boxes = new Float64Array(open.length * 4);
    for (const [i, row] of open.entries()) {
      const { lon, lat } = later[row]!;
      boxes.set([lon!, lat!, lon!, lat!], i * 4);
    }
    const index = new BoxIndex(boxes);
    const slackM = before.slackM + after.slackM;
    return b.flatMap((row) => {
      const tree = earlier[row]!;
      if (tree.lon === null || tree.lat === null) return [];
      const dLat = NEAR_M / PER_DEGREE_M;
      const dLon = before.local === null ? dLat / Math.max(Math.cos((tree.lat * Math.PI) / 180), 0.01) : dLat;
      const { lon, lat } = tree;
      const count = index.search(lon - 2 * dLon, lat - 2 * dLat, lon + 2 * dLon, lat + 2 * dLat);
      return Array.from(index.found.subarray(0, count)).flatMap((i) => {
        const other = later[open[i]!]!;
        const move = moveBetween([lon, lat], [other.lon!, other.lat!], before.frame(lon, lat), slackM);
        const byM = move?.byM ?? 0;
        if (byM > STEP_M && (byM > NEAR_M || !isSameDiameter(before, after, tree, other))) return [];
        return [{ before: row, after: open[i]!, sure: byM <= STEP_M }];
      });
    });
  };
}

/** Whether two diameters are the same as far as the files print them. */
function isSameDiameter(before: Opened, after: Opened, a: SubmittedTree, b: SubmittedTree): boolean {
  if (a.dbhM === null || b.dbhM === null) return a.dbhM === b.dbhM;
  if (before.units === after.units) return a.dbhM === b.dbhM;
  return Math.abs(a.dbhM - b.dbhM) <= HALF_STEP * (METRES_PER.in + 1) * (1 + 1e-9);
}

function pairOf(before: Opened, after: Opened, a: SubmittedTree, b: SubmittedTree, own: OwnFields, has: Has): TreePair {
  const fields: FieldChange[] = [];
  const told = new Set<string>();
  if (has.dbh && !isSameDiameter(before, after, a, b)) {
    fields.push({ field: 'diameter', is: 'dbh', quantity: 'diameter', before: a.dbhM, after: b.dbhM });
    told.add('dbh').add('girth');
  }
  if (has.disposition && a.disposition !== b.disposition) {
    const words = { before: a.disposition, after: b.disposition };
    fields.push({ field: 'disposition', is: 'disposition', quantity: 'plain', ...words });
    told.add('disposition');
  }
  for (const change of changedFields(own.columns, before.trees[a.row]!, after.trees[b.row]!)) {
    if (change.is === null || !told.has(change.is)) fields.push(change);
  }
  const outlines = [before.shape(before.trees[a.row]!), after.shape(after.trees[b.row]!)] as const;
  if (outlines[0].length === 0 || outlines[1].length === 0) {
    return { before: a, after: b, move: moveOf(before, after, a, b), fields };
  }
  const { move, change } = outlineChange(before, after, ...outlines);
  return { before: a, after: b, move, fields: change === null ? fields : [...fields, change] };
}

/** Of a group, hedge or wood its outline: moved as a whole, or drawn anew. */
function outlineChange(
  before: Opened,
  after: Opened,
  a: LonLatPolygons,
  b: LonLatPolygons,
): { readonly move: Move | null; readonly change: FieldChange | null } {
  const [lon, lat] = a[0]![0]![0]!;
  const { kind, move } = shapeMove(a, b, before.frame(lon, lat), before.slackM + after.slackM);
  if (kind !== 'other') return { move, change: null };
  const { beforeM2, afterM2, takenM2, freedM2 } = groundChange([a], [b], before.frame);
  if (takenM2 === 0 && freedM2 === 0) return { move, change: null };
  const area = (m2: number): string => `${Number(m2.toFixed(2))} m2`;
  const words = { before: area(beforeM2), after: area(afterM2) };
  return { move, change: { field: 'outline', is: 'outline', quantity: 'plain', ...words } };
}

function moveOf(before: Opened, after: Opened, a: SubmittedTree, b: SubmittedTree): Move | null {
  if (a.lon === null || a.lat === null || b.lon === null || b.lat === null) return null;
  return moveBetween([a.lon, a.lat], [b.lon, b.lat], before.frame(a.lon, a.lat), before.slackM + after.slackM);
}

function unclearOf(before: Opened, after: Opened, matched: Matched, earlier: readonly SubmittedTree[]): Finding[] {
  const [b, a] = [matched.unclearBefore.length, matched.unclearAfter.length];
  if (b === 0 && a === 0) return [];
  const [first] = matched.unclearBefore;
  const example = first === undefined ? {} : { feature: first, id: earlier[first]!.label };
  return [
    finding(
      'compare-unclear',
      { layer: before.name, ...example },
      `trees that may be any of several: ${b} of ${before.name}, ${a} of ${after.name}; they are listed and not compared`,
      'give each tree a label of its own (tag, number) in both surveys',
    ),
  ];
}

/** A tree that is gone and one that is new, at one place and of one diameter: perhaps it only got another label. */
function renamed(
  after: Opened,
  { gone, added }: Matched,
  earlier: readonly SubmittedTree[],
  later: readonly SubmittedTree[],
): Finding[] {
  const key = ({ lon, lat, dbhM }: SubmittedTree): string =>
    `${lon?.toFixed(7)} ${lat?.toFixed(7)} ${dbhM?.toFixed(4)}`;
  const there = new Map(added.map((row) => [key(later[row]!), later[row]!]));
  return gone.flatMap((row) => {
    const tree = earlier[row]!;
    const other = tree.lon === null ? undefined : there.get(key(tree));
    if (other === undefined) return [];
    return finding(
      'compare-renamed',
      { layer: after.name, feature: other.row, id: other.label },
      `tree ${other.label} stands where ${tree.label} stood and has its diameter: perhaps it only got another label; it is told as gone and added`,
      'use one label for a tree in both surveys',
    );
  });
}

/** Zones as they are drawn, by the row of their tree; the first of several polygons. */
export function shapesOf(file: Opened, rows: readonly Row[]): Map<number, LonLatPolygons> {
  const rowOf = new Map(file.trees.map((tree, at) => [String(file.figure(tree, 'id')), at]));
  const out = new Map<number, LonLatPolygons>();
  for (const row of rows) {
    const tree = rowOf.get(String(file.figure(row, 'tree')));
    if (tree !== undefined) out.set(tree, file.shape(row));
  }
  return out;
}
