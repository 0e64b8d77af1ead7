// The properties of each role as typed tables. In: an assessment and a plan; out: columns: a key and how to fill it.
// Terms: column = one property, typed; every feature of a role has every column (null: none). GeoJSON text, tables and
// drawings all draw from these.

import {
  type Assessment,
  type TreeResult,
  WORKS_KINDS,
  type WorksKind,
  type WorksResult,
  type WorksTable,
} from '../model/index.js';
import { type Column, keyOf } from './column.js';
import { gradeColumns, isFromGrades } from './grades.js';
import { jsonText } from './json.js';
import { lotProperties } from './lot-figures.js';
import { bearing, figure, SCALES } from './numbers.js';
import { type DrawnRole, type Plan, STRUCTURE } from './options.js';
import { otherColumns } from './other-columns.js';
import { WORTH_COLUMNS } from './worth-columns.js';

/** The function that writes all columns of a record: `"rb_role":"tree",...`. */
export function membersOf<T>(prefix: string, columns: readonly Column<T>[]): (of: T) => string {
  const keyed = columns.map((c, i) => {
    const key = `${i === 0 ? '' : ','}${jsonText(keyOf(c, prefix))}:`;
    const { type, value } = c;
    return { key, write: type === 'text' ? (of: T) => JSON.stringify(value(of)) : (of: T) => String(value(of)) };
  });
  return (of) => {
    let text = '';
    for (const column of keyed) text += column.key + column.write(of);
    return text;
  };
}

const number = figure;
const scaled = (value: number | null, factor: number): number | null => number(value === null ? null : value * factor);

/** The kinds some counted works are of, in the order of WORKS_KINDS. */
export function kindsPresent(works: Iterable<WorksResult>): WorksKind[] {
  const present = new Set<WorksKind>();
  for (const { kind, counted } of works) if (counted !== 'false') present.add(kind);
  return WORKS_KINDS.filter((kind) => present.has(kind));
}

/** The properties of a tree, in the order of the manual. */
export function treeColumns(assessment: Assessment, plan: Plan): Column<TreeResult>[] {
  const { length, area, diameter } = SCALES[plan.units];
  const grid = hasGrid(assessment);
  const z = assessment.job.trees.z;
  const rowOf = treeRow(assessment);
  const columns: Column<TreeResult>[] = [
    { name: 'role', type: 'text', value: () => 'tree' },
    { name: 'id', type: 'text', value: (t) => `trees:${rowOf(t)}`, numbered: { before: 'trees:', row: rowOf } },
    { name: 'disposition', type: 'text', value: (t) => t.disposition },
    { name: `dbh_${diameter.suffix}`, type: 'real', value: (t) => scaled(t.dbhM, diameter.factor) },
    { name: `zone_radius_${length.suffix}`, type: 'real', value: (t) => scaled(t.zoneRadiusM, length.factor) },
    { name: `zone_area_${area.suffix}`, type: 'real', value: (t) => scaled(t.zoneAreaM2, area.factor) },
    { name: `overlap_${area.suffix}`, type: 'real', value: (t) => scaled(t.overlapM2, area.factor) },
    { name: 'overlap_pct', type: 'real', value: (t) => number(t.overlapPct) },
  ];
  for (const kind of kindsPresent(assessment.eachWorks())) {
    columns.push({
      name: `overlap_${kind}_${area.suffix}`,
      type: 'real',
      value: (t) => scaled(t.overlapByKindM2?.[kind] ?? null, area.factor),
    });
  }
  if (assessment.job.existing !== null) {
    columns.push(
      { name: `existing_${area.suffix}`, type: 'real', value: (t) => scaled(t.existingM2, area.factor) },
      { name: 'existing_pct', type: 'real', value: (t) => number(t.existingPct) },
    );
  }
  columns.push(
    { name: `severed_${area.suffix}`, type: 'real', value: (t) => scaled(t.severedM2, area.factor) },
    { name: 'severed_pct', type: 'real', value: (t) => number(t.severedPct) },
    { name: 'affected_pct', type: 'real', value: (t) => number(t.affectedPct) },
  );
  columns.push(...gradeColumns(assessment, plan.units));
  for (const { name } of assessment.rule.rings)
    columns.push({ name: `ring_${name}_pct`, type: 'real', value: ringPercent(name) });
  columns.push(
    { name: `nearest_${length.suffix}`, type: 'real', value: (t) => scaled(t.nearestM, length.factor) },
    { name: `nearest_face_${length.suffix}`, type: 'real', value: (t) => scaled(t.nearestFaceM, length.factor) },
    { name: 'nearest_bearing', type: 'real', value: (t) => bearing(t.nearestBearing) },
  );
  if (grid) {
    columns.push(
      { name: 'nearest_grid_bearing', type: 'real', value: (t) => bearing(t.nearestGridBearing) },
      { name: 'convergence', type: 'real', value: (t) => number(t.convergence) },
    );
  }
  columns.push({ name: 'nearest_works', type: 'text', value: (t) => t.nearestWorks, unlike: true });
  columns.push(
    { name: 'worst_works', type: 'text', value: (t) => t.worstWorks, unlike: true },
    { name: 'worst_works_pct', type: 'real', value: (t) => number(t.worstWorksPct) },
    { name: `margin_${length.suffix}`, type: 'real', value: (t) => scaled(t.marginM, length.factor) },
  );
  if (saysAccuracy(assessment)) columns.push({ name: 'verdict_holds', type: 'text', value: (t) => holdsOf(t) });
  if (assessment.job.crowns) columns.push(...crownColumns(plan));
  columns.push(
    { name: 'verdict', type: 'text', value: (t) => t.verdict },
    { name: 'consequence', type: 'text', value: (t) => t.consequence },
    { name: 'reasons', type: 'text', value: joinedReasons() },
    ...(saysProtected(assessment)
      ? [{ name: 'protected', type: 'text', value: (t: TreeResult) => yesNo(t.isProtected) } as const]
      : []),
    { name: 'lot', type: 'text', value: (t) => t.lot },
    ...(assessment.job.trees.worth ? WORTH_COLUMNS : []),
    ...otherColumns(assessment, plan),
  );
  if (z !== null) columns.push({ name: 'z', type: 'real', value: (t) => number(z[t.row] ?? null) });
  return written(columns, plan);
}

/** A tree's row in the survey, also where the job holds only a part of it. */
function treeRow({ job }: Assessment): (tree: TreeResult) => number {
  const rows = job.trees.layer.part?.rows;
  return rows === undefined ? (tree) => tree.row : (tree) => rows[tree.row]!;
}

/** Whether the survey or the rule says that any tree is protected. */
export function saysProtected({ job }: Assessment): boolean {
  return job.zones.protectedByRule !== null || job.trees.protected?.some((given) => given <= 2) === true;
}

/** Whether the accuracy of any position, or of diameters, is given. */
export function saysAccuracy({ job, options }: Assessment): boolean {
  return (options.dbhAccuracyM ?? 0) > 0 || job.trees.accuracyM?.some((accuracy) => accuracy >= 0) === true;
}

/** A yes/no column where the answer may be unknown. */
export function yesNo(value: boolean | null): 'yes' | 'no' | 'unknown' {
  return value === null ? 'unknown' : value ? 'yes' : 'no';
}

/** Whether the verdict holds; a tree without a verdict has no answer. */
export function holdsOf({ verdict, verdictHolds }: TreeResult): string | null {
  return verdict === 'not-assessed' ? null : yesNo(verdictHolds);
}

/** Reasons as one text; trees that share a list share the text made of it. */
function joinedReasons(): (tree: TreeResult) => string {
  const known = new WeakMap<readonly string[], string>();
  return ({ reasons }) => {
    if (reasons.length === 0) return '';
    let text = known.get(reasons);
    if (text === undefined) {
      text = reasons.join(';');
      known.set(reasons, text);
    }
    return text;
  };
}

/** Crown and air space: only in jobs whose trees state crowns. */
function crownColumns(plan: Plan): Column<TreeResult>[] {
  const { length, area } = SCALES[plan.units];
  return [
    { name: `crown_area_${area.suffix}`, type: 'real', value: (t) => scaled(t.crown?.areaM2 ?? null, area.factor) },
    {
      name: `crown_overlap_${area.suffix}`,
      type: 'real',
      value: (t) => scaled(t.crown?.overlapM2 ?? null, area.factor),
    },
    { name: 'crown_overlap_pct', type: 'real', value: (t) => number(t.crown?.overlapPct ?? null) },
    { name: 'crown_arc_from', type: 'real', value: (t) => bearing(t.crown?.arcFrom ?? null) },
    { name: 'crown_arc_to', type: 'real', value: arcEnd },
    { name: 'crown_arc_degrees', type: 'real', value: (t) => number(t.crown?.arcDegrees ?? null) },
    { name: `crown_lift_${length.suffix}`, type: 'real', value: (t) => scaled(t.crown?.liftM ?? null, length.factor) },
    { name: 'crown_works', type: 'text', value: (t) => t.crown?.works ?? null },
  ];
}

/** All round is 0 to 360: rounded as any bearing it would read 0 to 0. */
function arcEnd({ crown }: TreeResult): number | null {
  if (crown === null) return null;
  return crown.arcFrom === 0 && crown.arcTo === 360 ? 360 : bearing(crown.arcTo);
}

/** Whether the survey stands on a grid, so that a bearing can be given from its north too. */
function hasGrid(assessment: Assessment): boolean {
  const kind = assessment.job.treeTransform?.crs.kind;
  return kind === undefined ? assessment.trees.some((tree) => tree.nearestGridBearing !== null) : kind !== 'geographic';
}

function ringPercent(name: string): (tree: TreeResult) => number | null {
  return (tree) => number(tree.rings.find((ring) => ring.name === name)?.overlapPct ?? null);
}

/** A drawn feature: which tree, which ring of it, and whether drawing was exact. */
export interface Drawn {
  readonly tree: TreeResult;
  readonly ring: TreeResult['rings'][number] | null;
  readonly approximate: boolean;
}

type DrawnColumns = (plan: Plan, assessment: Assessment) => readonly Column<Drawn>[];

/** What each drawn role carries beside role, id and tree: the figures a map is coloured and labelled by. */
const DRAWN_COLUMNS: Readonly<Record<DrawnRole, DrawnColumns>> = {
  zone: (plan) => {
    const { length, area } = SCALES[plan.units];
    return [
      {
        name: `zone_radius_${length.suffix}`,
        type: 'real',
        value: ({ tree }) => scaled(tree.zoneRadiusM, length.factor),
      },
      { name: `zone_area_${area.suffix}`, type: 'real', value: ({ tree }) => scaled(tree.zoneAreaM2, area.factor) },
      { name: 'overlap_pct', type: 'real', value: ({ tree }) => number(tree.overlapPct) },
    ];
  },
  ring: (plan) => {
    const { length } = SCALES[plan.units];
    return [
      { name: 'ring', type: 'text', value: ({ ring }) => ring?.name ?? null },
      {
        name: `ring_radius_${length.suffix}`,
        type: 'real',
        value: ({ ring }) => scaled(ring?.radiusM ?? null, length.factor),
      },
      { name: 'ring_pct', type: 'real', value: ({ ring }) => number(ring?.overlapPct ?? null) },
    ];
  },
  crown: (plan) => {
    const { area } = SCALES[plan.units];
    return [
      {
        name: `crown_area_${area.suffix}`,
        type: 'real',
        value: ({ tree }) => scaled(tree.crown?.areaM2 ?? null, area.factor),
      },
      {
        name: `crown_overlap_${area.suffix}`,
        type: 'real',
        value: ({ tree }) => scaled(tree.crown?.overlapM2 ?? null, area.factor),
      },
      { name: 'crown_overlap_pct', type: 'real', value: ({ tree }) => number(tree.crown?.overlapPct ?? null) },
    ];
  },
  overlap: (plan) => {
    const { area } = SCALES[plan.units];
    return [
      { name: `overlap_${area.suffix}`, type: 'real', value: ({ tree }) => scaled(tree.overlapM2, area.factor) },
      { name: 'overlap_pct', type: 'real', value: ({ tree }) => number(tree.overlapPct) },
      { name: 'approximate', type: 'boolean', value: ({ approximate }) => approximate },
    ];
  },
  severed: (plan) => {
    const { area } = SCALES[plan.units];
    return [
      { name: `severed_${area.suffix}`, type: 'real', value: ({ tree }) => scaled(tree.severedM2, area.factor) },
      { name: 'severed_pct', type: 'real', value: ({ tree }) => number(tree.severedPct) },
      { name: 'approximate', type: 'boolean', value: ({ approximate }) => approximate },
    ];
  },
};

/** Columns of a drawn role: `rb_tree` is the tree's `rb_id`, `rb_tree_key` what a person calls the tree. */
export function drawnColumns(role: DrawnRole, assessment: Assessment, plan: Plan): Column<Drawn>[] {
  const rowOf = treeRow(assessment);
  const columns: Column<Drawn>[] = [
    { name: 'role', type: 'text', value: () => role },
    {
      name: 'id',
      type: 'text',
      value: ({ tree, ring }) => `${role}:${rowOf(tree)}${ring === null ? '' : `:${ring.name}`}`,
    },
    { name: 'tree', type: 'text', value: ({ tree }) => `trees:${rowOf(tree)}` },
    { name: 'tree_key', type: 'text', value: ({ tree }) => tree.key },
    { name: 'disposition', type: 'text', value: ({ tree }) => tree.disposition },
    ...DRAWN_COLUMNS[role](plan, assessment),
    { name: 'verdict', type: 'text', value: ({ tree }) => tree.verdict },
    { name: 'lot', type: 'text', value: ({ tree }) => tree.lot },
  ];
  return written(columns, plan);
}

/** The columns that are asked for, and those that say what a feature is. */
function written<T>(columns: readonly Column<T>[], { figures, prefix }: Plan): Column<T>[] {
  if (figures === null) return [...columns];
  return columns.filter(
    ({ name }) => STRUCTURE.has(name) || figures.some((asked) => isFigure(name, asked.trim(), prefix)),
  );
}

const UNIT = /_(m|m2|m3|ft|ft2|yd3|in)$/;

/** Whether a column is the figure asked for: by its name, with or without the prefix and the unit it ends in. */
export function isFigure(name: string, asked: string, prefix: string): boolean {
  const bare = asked.startsWith(prefix) ? asked.slice(prefix.length) : asked;
  return name === bare || name.replace(UNIT, '') === bare;
}

/** What a piece of works carries. */
export function worksColumns(assessment: Assessment): Column<WorksResult>[] {
  const { works } = assessment.job;
  return [
    { name: 'role', type: 'text', value: () => 'works' },
    { name: 'id', type: 'text', value: (w) => `works:${w.row}` },
    { name: 'layer', type: 'text', value: (w) => works.layers[works.layerOf[w.row]!]?.name ?? null },
    { name: 'kind', type: 'text', value: (w) => w.kind },
    { name: 'option', type: 'text', value: (w) => works.option[w.row] ?? null },
    { name: 'counted', type: 'text', value: (w) => w.counted },
    { name: 'counted_reason', type: 'text', value: (w) => w.countedReason },
    { name: 'repaired', type: 'boolean', value: (w) => w.repaired },
    ...(assessment.grades === undefined
      ? []
      : [
          { name: 'from_grades', type: 'boolean', value: (w: WorksResult) => isFromGrades(assessment, w.row) } as const,
        ]),
    { name: 'reasons', type: 'text', value: (w) => (works.rejected.get(w.row) ?? []).join(';') },
  ];
}

/** What ground that is hard today carries. */
export function existingColumns(existing: WorksTable): Column<number>[] {
  return [
    { name: 'role', type: 'text', value: () => 'existing' },
    { name: 'id', type: 'text', value: (row) => `existing:${row}` },
    { name: 'layer', type: 'text', value: (row) => existing.layers[existing.layerOf[row]!]?.name ?? null },
    { name: 'accepted', type: 'boolean', value: (row) => !existing.rejected.has(row) },
    { name: 'repaired', type: 'boolean', value: (row) => existing.repaired.has(row) },
    { name: 'reasons', type: 'text', value: (row) => (existing.rejected.get(row) ?? []).join(';') },
  ];
}

/** What a lot carries; a lot that could not be used has no figures. */
export function lotColumns(assessment: Assessment, plan: Plan): Column<Assessment['lots'][number]>[] {
  const lots = assessment.job.lots;
  return [
    { name: 'role', type: 'text', value: () => 'lot' },
    { name: 'id', type: 'text', value: (l) => `lots:${l.row}` },
    { name: 'accepted', type: 'boolean', value: (l) => l.accepted },
    { name: 'repaired', type: 'boolean', value: (l) => lots?.repaired.has(l.row) ?? false },
    { name: 'reasons', type: 'text', value: (l) => (lots?.rejected.get(l.row) ?? []).join(';') },
    ...lotProperties(assessment, plan.units).map(
      ({ name, value }): Column<Assessment['lots'][number]> => ({
        name,
        type: 'real',
        value: (l) => (l.accepted ? number(value(l.figures, l.row)) : null),
      }),
    ),
  ];
}
