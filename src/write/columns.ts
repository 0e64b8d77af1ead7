// The properties of each role as typed tables. In: an assessment and a plan; out: columns: a key and how to fill it.
// Terms: column = one property, its key text ready to write; every feature of a role has every column (null: none).

import { type Assessment, type TreeResult, WORKS_KINDS, type WorksKind, type WorksResult } from '../types.js';
import { jsonText } from './json.js';
import { bearing, figure, SCALES } from './numbers.js';
import type { DrawnRole, Plan } from './options.js';

/** One property of a feature made from a record of type T. */
export interface Column<T> {
  readonly name: string; // without the prefix
  readonly value: (of: T) => string; // JSON text
}

/** The function that writes all columns of a record: `"rb_role":"tree",...`. */
export function membersOf<T>(prefix: string, columns: readonly Column<T>[]): (of: T) => string {
  const keyed = columns.map((c, i) => ({ key: `${i === 0 ? '' : ','}${jsonText(prefix + c.name)}:`, value: c.value }));
  return (of) => {
    let text = '';
    for (const column of keyed) text += column.key + column.value(of);
    return text;
  };
}

const number = (value: number | null): string => String(figure(value));
const scaled = (value: number | null, factor: number): string => number(value === null ? null : value * factor);

/** The kinds some counted works are of, in the order of WORKS_KINDS. */
export function kindsPresent(works: readonly WorksResult[]): WorksKind[] {
  const present = new Set(works.filter((w) => w.counted !== 'false').map((w) => w.kind));
  return WORKS_KINDS.filter((kind) => present.has(kind));
}

/** What a tree carries, in the order of the manual. */
export function treeColumns(assessment: Assessment, plan: Plan): Column<TreeResult>[] {
  const { length, area, diameter } = SCALES[plan.units];
  const grid = assessment.trees.some((tree) => tree.convergence !== null);
  const z = assessment.job.trees.z;
  const columns: Column<TreeResult>[] = [
    { name: 'role', value: () => '"tree"' },
    { name: 'id', value: (t) => `"trees:${t.row}"` },
    { name: 'disposition', value: (t) => jsonText(t.disposition) },
    { name: `dbh_${diameter.suffix}`, value: (t) => scaled(t.dbhM, diameter.factor) },
    { name: `zone_radius_${length.suffix}`, value: (t) => scaled(t.zoneRadiusM, length.factor) },
    { name: `zone_area_${area.suffix}`, value: (t) => scaled(t.zoneAreaM2, area.factor) },
    { name: `overlap_${area.suffix}`, value: (t) => scaled(t.overlapM2, area.factor) },
    { name: 'overlap_pct', value: (t) => number(t.overlapPct) },
  ];
  for (const kind of kindsPresent(assessment.works)) {
    columns.push({
      name: `overlap_${kind}_${area.suffix}`,
      value: (t) => scaled(t.overlapByKindM2?.[kind] ?? null, area.factor),
    });
  }
  columns.push(
    { name: `severed_${area.suffix}`, value: (t) => scaled(t.severedM2, area.factor) },
    { name: 'severed_pct', value: (t) => number(t.severedPct) },
    { name: 'affected_pct', value: (t) => number(t.affectedPct) },
  );
  for (const { name } of assessment.rule.rings) columns.push({ name: `ring_${name}_pct`, value: ringPercent(name) });
  columns.push(
    { name: `nearest_${length.suffix}`, value: (t) => scaled(t.nearestM, length.factor) },
    { name: `nearest_face_${length.suffix}`, value: (t) => scaled(t.nearestFaceM, length.factor) },
    { name: 'nearest_bearing', value: (t) => String(bearing(t.nearestBearing)) },
  );
  if (grid) {
    columns.push(
      { name: 'nearest_grid_bearing', value: (t) => String(bearing(t.nearestGridBearing)) },
      { name: 'convergence', value: (t) => number(t.convergence) },
    );
  }
  columns.push(
    { name: 'nearest_works', value: (t) => jsonText(t.nearestWorks) },
    { name: 'verdict', value: (t) => jsonText(t.verdict) },
    { name: 'consequence', value: (t) => jsonText(t.consequence) },
    { name: 'reasons', value: (t) => jsonText(t.reasons.join(';')) },
    { name: 'lot', value: (t) => jsonText(t.lot) },
  );
  if (z !== null) columns.push({ name: 'z', value: (t) => number(z[t.row] ?? null) });
  return columns;
}

function ringPercent(name: string): (tree: TreeResult) => string {
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
      { name: `zone_radius_${length.suffix}`, value: ({ tree }) => scaled(tree.zoneRadiusM, length.factor) },
      { name: `zone_area_${area.suffix}`, value: ({ tree }) => scaled(tree.zoneAreaM2, area.factor) },
      { name: 'overlap_pct', value: ({ tree }) => number(tree.overlapPct) },
    ];
  },
  ring: (plan) => {
    const { length } = SCALES[plan.units];
    return [
      { name: 'ring', value: ({ ring }) => jsonText(ring?.name ?? null) },
      { name: `ring_radius_${length.suffix}`, value: ({ ring }) => scaled(ring?.radiusM ?? null, length.factor) },
      { name: 'ring_pct', value: ({ ring }) => number(ring?.overlapPct ?? null) },
    ];
  },
  overlap: (plan) => {
    const { area } = SCALES[plan.units];
    return [
      { name: `overlap_${area.suffix}`, value: ({ tree }) => scaled(tree.overlapM2, area.factor) },
      { name: 'overlap_pct', value: ({ tree }) => number(tree.overlapPct) },
      { name: 'approximate', value: ({ approximate }) => String(approximate) },
    ];
  },
  severed: (plan) => {
    const { area } = SCALES[plan.units];
    return [
      { name: `severed_${area.suffix}`, value: ({ tree }) => scaled(tree.severedM2, area.factor) },
      { name: 'severed_pct', value: ({ tree }) => number(tree.severedPct) },
      { name: 'approximate', value: ({ approximate }) => String(approximate) },
    ];
  },
};

/** Columns of a drawn role: `rb_tree` is the tree's `rb_id`, `rb_tree_key` what a person calls the tree. */
export function drawnColumns(role: DrawnRole, assessment: Assessment, plan: Plan): Column<Drawn>[] {
  return [
    { name: 'role', value: () => jsonText(role) },
    { name: 'id', value: ({ tree, ring }) => jsonText(`${role}:${tree.row}${ring === null ? '' : `:${ring.name}`}`) },
    { name: 'tree', value: ({ tree }) => `"trees:${tree.row}"` },
    { name: 'tree_key', value: ({ tree }) => jsonText(tree.key) },
    { name: 'disposition', value: ({ tree }) => jsonText(tree.disposition) },
    ...DRAWN_COLUMNS[role](plan, assessment),
    { name: 'verdict', value: ({ tree }) => jsonText(tree.verdict) },
    { name: 'lot', value: ({ tree }) => jsonText(tree.lot) },
  ];
}

/** What a piece of works carries. */
export function worksColumns(assessment: Assessment): Column<WorksResult>[] {
  const { works } = assessment.job;
  return [
    { name: 'role', value: () => '"works"' },
    { name: 'id', value: (w) => `"works:${w.row}"` },
    { name: 'layer', value: (w) => jsonText(works.layers[works.layerOf[w.row] as number]?.name ?? null) },
    { name: 'kind', value: (w) => jsonText(w.kind) },
    { name: 'option', value: (w) => jsonText(works.option[w.row] ?? null) },
    { name: 'counted', value: (w) => jsonText(w.counted) },
    { name: 'counted_reason', value: (w) => jsonText(w.countedReason) },
    { name: 'repaired', value: (w) => String(w.repaired) },
    { name: 'reasons', value: (w) => jsonText((works.rejected.get(w.row) ?? []).join(';')) },
  ];
}

/** What a lot carries. */
export function lotColumns(assessment: Assessment): Column<Assessment['lots'][number]>[] {
  const lots = assessment.job.lots;
  return [
    { name: 'role', value: () => '"lot"' },
    { name: 'id', value: (l) => `"lots:${l.row}"` },
    { name: 'accepted', value: (l) => String(l.accepted) },
    { name: 'repaired', value: (l) => String(lots?.repaired.has(l.row) ?? false) },
    { name: 'reasons', value: (l) => jsonText((lots?.rejected.get(l.row) ?? []).join(';')) },
  ];
}
