// Works and what exists, before and after. In: two files; out: what was added, removed, moved, reshaped, re-measured, each with
// its ground. Terms: settings of a piece = kind, depth, width and so on. Cost: a look at each pair, polygons taken from each
// other only for those that are not the same.

import { BoxIndex } from '../geometry/index.js';
import {
  type FieldChange,
  type Finding,
  type Frame,
  finding,
  type GroundChange,
  type LonLatPolygons,
  type Move,
  type SubmittedWorks,
  WORKS_KINDS,
  type WorksChange,
} from '../model/index.js';
import { changedFields, type OwnFields, ownFields, ownText, plainValue } from './fields.js';
import { groundChange, NO_GROUND } from './ground.js';
import { type Candidates, type Matched, match, type Side } from './match.js';
import { shapeMove } from './moved.js';
import type { Opened, Row } from './submission.js';

type Role = 'works' | 'existing';

export interface ComparedWorks {
  readonly before: readonly SubmittedWorks[];
  readonly after: readonly SubmittedWorks[];
  readonly matched: Matched;
  readonly changes: readonly WorksChange[];
  readonly findings: readonly Finding[];
}

export function worksOf(file: Opened, role: Role): SubmittedWorks[] {
  return file[role].map((row, at) => ({
    row: at,
    label: row.label ?? String(file.figure(row, 'id') ?? `${role}:${at}`),
    kind: WORKS_KINDS.find((kind) => kind === file.figure(row, 'kind')) ?? null,
    counted: role === 'works' ? file.figure(row, 'counted') !== 'false' : file.figure(row, 'accepted') !== false,
    shape: file.shape(row),
  }));
}

/** Our own columns that say what a piece is, by the field of the contract whose column of the source says it too. */
const OURS: readonly { readonly name: string; readonly field: string }[] = [
  { name: 'kind', field: 'kind' },
  { name: 'option', field: 'option' },
  { name: 'counted', field: 'counted' },
  { name: 'counted_reason', field: 'counted' },
];

export function compareWorks(before: Opened, after: Opened, role: Role): ComparedWorks {
  const [earlier, later] = [worksOf(before, role), worksOf(after, role)];
  const own = ownFields(before, after, role);
  const sides = [sideOf(before, role, earlier, own), sideOf(after, role, later, own)] as const;
  const matched = match(sides[0], sides[1], candidatesOf(earlier, later, before.frame));
  const changes: WorksChange[] = [];
  for (const [b, a] of matched.pairs) {
    const change = pairChange(before, after, role, earlier[b]!, later[a]!, own);
    if (change !== null) changes.push(change);
  }
  const alone = (
    change: 'removed' | 'added' | 'unclear',
    one: SubmittedWorks,
    side: 'before' | 'after',
  ): WorksChange => {
    const there = [one.shape];
    const ground = groundChange(side === 'before' ? there : [], side === 'after' ? there : [], before.frame);
    const other = { before: null, after: null, [side]: one };
    return { role, change, label: one.label, ...other, move: null, reshaped: false, fields: [], ground };
  };
  changes.push(...matched.gone.map((row) => alone('removed', earlier[row]!, 'before')));
  changes.push(...matched.unclearBefore.map((row) => alone('unclear', earlier[row]!, 'before')));
  changes.sort((x, y) => x.before!.row - y.before!.row);
  changes.push(...matched.added.map((row) => alone('added', later[row]!, 'after')));
  changes.push(...matched.unclearAfter.map((row) => alone('unclear', later[row]!, 'after')));
  return {
    before: earlier,
    after: later,
    matched,
    changes,
    findings: [...own.findings, ...unclearOf(before, after, role, matched)],
  };
}

function sideOf(file: Opened, role: Role, works: readonly SubmittedWorks[], own: OwnFields): Side {
  const rows = file[role];
  return {
    count: rows.length,
    label: (row) => rows[row]!.label,
    same: (row) =>
      [
        ...OURS.map(({ name }) => plainValue(file.figure(rows[row]!, name))),
        ownText(own.columns, rows[row]!),
        JSON.stringify(works[row]!.shape),
      ].join('\n'),
  };
}

/** Pieces of one kind that share ground. */
function candidatesOf(
  earlier: readonly SubmittedWorks[],
  later: readonly SubmittedWorks[],
  frameOf: (lon: number, lat: number) => Frame,
): Candidates {
  return (b, a) => {
    if (b.length === 0 || a.length === 0) return [];
    const boxes = new Float64Array(a.flatMap((row) => boxOf(later[row]!.shape)));
    const index = new BoxIndex(boxes);
    return b.flatMap((row) => {
      const { shape, kind } = earlier[row]!;
      const [west, south, east, north] = boxOf(shape);
      const count = index.search(west, south, east, north);
      return Array.from(index.found.subarray(0, count)).flatMap((i) => {
        const other = later[a[i]!]!;
        if (other.kind !== kind) return [];
        const { afterM2, takenM2 } = groundChange([shape], [other.shape], frameOf);
        return afterM2 - takenM2 > SHARED_LEAST_M2 ? [{ before: row, after: a[i]!, sure: false }] : [];
      });
    });
  };
}

/** Pieces that share less than this only touch. */
const SHARED_LEAST_M2 = 0.01;

export function boxOf(shape: LonLatPolygons): readonly [number, number, number, number] {
  const box: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [lon, lat] of shape.flat(2) as readonly (readonly [number, number])[]) {
    box[0] = Math.min(box[0], lon);
    box[1] = Math.min(box[1], lat);
    box[2] = Math.max(box[2], lon);
    box[3] = Math.max(box[3], lat);
  }
  return box;
}

function pairChange(
  before: Opened,
  after: Opened,
  role: Role,
  a: SubmittedWorks,
  b: SubmittedWorks,
  own: OwnFields,
): WorksChange | null {
  const fields = fieldsOf(before, after, before[role][a.row]!, after[role][b.row]!, own);
  const { move, reshaped, ground } = groundOf(before, after, a, b);
  if (fields.length === 0 && move === null && !reshaped) return null;
  return { role, change: 'changed', label: b.label, before: a, after: b, move, reshaped, fields, ground };
}

function groundOf(
  before: Opened,
  after: Opened,
  a: SubmittedWorks,
  b: SubmittedWorks,
): { readonly move: Move | null; readonly reshaped: boolean; readonly ground: GroundChange } {
  const first = [...a.shape, ...b.shape][0]?.[0]?.[0];
  if (first === undefined) return { move: null, reshaped: false, ground: NO_GROUND };
  const { kind, move } = shapeMove(a.shape, b.shape, before.frame(first[0], first[1]), before.slackM + after.slackM);
  const ground = groundChange([a.shape], kind === 'same' ? [a.shape] : [b.shape], before.frame);
  // Other corners may bound the same ground.
  return { move, reshaped: kind === 'other' && (ground.takenM2 > 0 || ground.freedM2 > 0), ground };
}

function fieldsOf(before: Opened, after: Opened, a: Row, b: Row, own: OwnFields): FieldChange[] {
  const fields: FieldChange[] = [];
  const told = new Set<string>();
  for (const { name, field } of OURS) {
    const [earlier, later] = [plainValue(before.figure(a, name)), plainValue(after.figure(b, name))];
    if (earlier === later || told.has(field)) continue;
    told.add(field);
    fields.push({ field, is: field, quantity: 'plain', before: earlier, after: later });
  }
  for (const change of changedFields(own.columns, a, b)) {
    if (change.is === null || !told.has(change.is)) fields.push(change);
  }
  return fields;
}

function unclearOf(before: Opened, after: Opened, role: Role, matched: Matched): Finding[] {
  const [b, a] = [matched.unclearBefore.length, matched.unclearAfter.length];
  if (b === 0 && a === 0) return [];
  return [
    finding(
      'compare-unclear',
      { layer: before.name },
      `features of ${role} that may be any of several: ${b} of ${before.name}, ${a} of ${after.name}; they are listed and not compared`,
      'give each an id of its own in both files',
    ),
  ];
}
