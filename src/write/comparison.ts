// A comparison -> GeoJSON. In: what `compareAssessed` found, options; out: one collection: ground taken and freed by all works
// together, works and existing that are not the same, trees that are not the same. Terms: see docs/compare.md; of what is in
// both files the later place is drawn. The bytes depend on the comparison and the options alone.

import type { FeatureCollection } from 'geojson';
import type { Comparison, FieldChange, LonLatPolygons, TreeChange, WorksChange } from '../model/index.js';
import { VERSION } from '../model/index.js';
import type { Column } from './column.js';
import { membersOf } from './columns.js';
import { whyWords } from './comparison-words.js';
import { type GeometryText, geometryTextFor } from './geometry-text.js';
import { jsonText } from './json.js';
import { bearing, figure, SCALES } from './numbers.js';
import { type GeoJSONOptions, type Plan, planOf } from './options.js';
import { CAUTIONS, positionsWords } from './provenance.js';

/** Options of a comparison's collection: those of `toGeoJSON` that apply. Units default to those of the later file. */
export type ComparisonGeoJSONOptions = Pick<GeoJSONOptions, 'units' | 'prefix'>;

/**
 * The collection as text, in pieces; `rb_role` is `ground`, `works`, `existing` or `tree`, `rb_change` what happened to it.
 *
 * @example
 * for (const piece of comparisonText(compared, { units: 'us' })) sink.write(piece);
 */
export function* comparisonText(
  comparison: Comparison,
  options: ComparisonGeoJSONOptions = {},
): Generator<string, void, undefined> {
  const { units = comparison.after.units, prefix } = options;
  const plan: Plan = { ...planOf({ units, prefix, roles: ['tree'] }), output: comparison.system };
  const code = plan.output?.crs.code;
  const crs = code === undefined ? '' : `"crs":{"type":"name","properties":{"name":${jsonText(code)}}},\n`;
  yield `{"type":"FeatureCollection",\n${crs}"rootberth":${jsonText(about(comparison, plan))},\n"features":[`;
  let separator = '\n';
  for (const text of features(comparison, plan)) {
    yield separator + text;
    separator = ',\n';
  }
  yield '\n]}\n';
}

/** The same as an object. */
export function toComparisonGeoJSON(comparison: Comparison, options: ComparisonGeoJSONOptions = {}): FeatureCollection {
  return JSON.parse([...comparisonText(comparison, options)].join('')) as FeatureCollection;
}

function about({ before, after, counts, settings, findings }: Comparison, plan: Plan): object {
  const file = ({ name, rule, units }: Comparison['before']) => ({ name, rule, units });
  return {
    version: VERSION,
    compared: { before: file(before), after: file(after), counts, settings },
    written: { units: plan.units, prefix: plan.prefix, positions: positionsWords(null, plan.output) },
    cautions: CAUTIONS,
    findings,
  };
}

function* features(comparison: Comparison, plan: Plan): Generator<string> {
  const text = geometryTextFor(plan.output);
  const { ground, works, trees } = comparison;
  const groundMembers = membersOf(plan.prefix, groundColumns(plan));
  for (const [change, shape, areaM2] of [
    ['taken', ground.taken, ground.takenM2],
    ['freed', ground.freed, ground.freedM2],
  ] as const) {
    if (shape.length > 0) yield feature(`ground:${change}`, text.polygons(shape), groundMembers({ change, areaM2 }));
  }
  const worksMembers = membersOf(plan.prefix, worksColumns(plan));
  for (const [i, one] of works.entries()) {
    yield feature(`${one.role}:${i}:${one.label}`, worksGeometry(one, text), worksMembers(one));
  }
  const treeMembers = membersOf(plan.prefix, treeColumns(plan));
  for (const [i, one] of trees.entries()) {
    const at = one.after ?? one.before!;
    yield feature(`tree:${i}:${one.label}`, text.point(at.lon, at.lat), treeMembers(one));
  }
}

function worksGeometry({ before, after }: WorksChange, text: GeometryText): string {
  const shape: LonLatPolygons = after?.shape ?? before?.shape ?? [];
  return text.polygons(shape);
}

function feature(id: string, geometry: string, members: string): string {
  return `{"type":"Feature","id":${jsonText(id)},"geometry":${geometry},"properties":{${members}}}`;
}

function groundColumns({ units }: Plan): Column<{ readonly change: string; readonly areaM2: number }>[] {
  const { suffix, factor } = SCALES[units].area;
  return [
    { name: 'role', type: 'text', value: () => 'ground' },
    { name: 'change', type: 'text', value: (g) => g.change },
    { name: `area_${suffix}`, type: 'real', value: (g) => figure(g.areaM2 * factor) },
  ];
}

/** What trees and works share: what happened, to which, in which respects. */
function sharedColumns<T extends TreeChange | WorksChange>(plan: Plan, role: (of: T) => string): Column<T>[] {
  const { suffix, factor } = SCALES[plan.units].length;
  return [
    { name: 'role', type: 'text', value: role },
    { name: 'change', type: 'text', value: (c) => c.change },
    { name: 'label', type: 'text', value: (c) => c.label },
    { name: 'changed', type: 'text', value: changedWords },
    { name: `moved_${suffix}`, type: 'real', value: (c) => figure(c.move === null ? null : c.move.byM * factor) },
    { name: 'moved_bearing', type: 'real', value: (c) => bearing(c.move?.bearing ?? null) },
  ];
}

/** `moved;diameter;verdict`. */
function changedWords(one: TreeChange | WorksChange): string {
  const words = one.fields.map(({ field }) => field);
  if ('reshaped' in one && one.reshaped) words.unshift('reshaped');
  if (one.move !== null) words.unshift('moved');
  if ('verdict' in one && one.verdict !== null) words.push('verdict');
  return words.join(';');
}

/** `species: Acer -> Quercus; height_ft: 59 -> 61`. */
function fieldsText(fields: readonly FieldChange[]): string {
  return fields
    .filter(({ quantity }) => quantity === 'plain')
    .map(({ field, before, after }) => `${field}: ${before ?? 'none'} -> ${after ?? 'none'}`)
    .join('; ');
}

function worksColumns(plan: Plan): Column<WorksChange>[] {
  const { suffix, factor } = SCALES[plan.units].area;
  const area = (name: string, key: 'beforeM2' | 'afterM2' | 'takenM2' | 'freedM2'): Column<WorksChange> => ({
    name: `${name}_${suffix}`,
    type: 'real',
    value: (c) => figure(c.ground[key] * factor),
  });
  return [
    ...sharedColumns<WorksChange>(plan, (c) => c.role),
    { name: 'kind_before', type: 'text', value: (c) => c.before?.kind ?? null },
    { name: 'kind_after', type: 'text', value: (c) => c.after?.kind ?? null },
    area('area_before', 'beforeM2'),
    area('area_after', 'afterM2'),
    area('taken', 'takenM2'),
    area('freed', 'freedM2'),
    { name: 'fields', type: 'text', value: (c) => fieldsText(c.fields) },
  ];
}

function treeColumns(plan: Plan): Column<TreeChange>[] {
  const { suffix, factor } = SCALES[plan.units].diameter;
  const dbh = (of: TreeChange['before']): number | null => {
    return figure(of === null || of.dbhM === null ? null : of.dbhM * factor);
  };
  return [
    ...sharedColumns<TreeChange>(plan, () => 'tree'),
    { name: `dbh_before_${suffix}`, type: 'real', value: (c) => dbh(c.before) },
    { name: `dbh_after_${suffix}`, type: 'real', value: (c) => dbh(c.after) },
    { name: 'disposition_before', type: 'text', value: (c) => c.before?.disposition ?? null },
    { name: 'disposition_after', type: 'text', value: (c) => c.after?.disposition ?? null },
    { name: 'overlap_pct_before', type: 'real', value: (c) => figure(c.before?.overlapPct ?? null) },
    { name: 'overlap_pct_after', type: 'real', value: (c) => figure(c.after?.overlapPct ?? null) },
    { name: 'verdict_before', type: 'text', value: (c) => c.before?.verdict ?? null },
    { name: 'verdict_after', type: 'text', value: (c) => c.after?.verdict ?? null },
    { name: 'fields', type: 'text', value: (c) => fieldsText(c.fields) },
    { name: 'why', type: 'text', value: (c) => (c.verdict === null ? null : whyWords(c.verdict.why)) },
  ];
}
