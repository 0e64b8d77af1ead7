// Assessment -> tree schedule. In: an assessment and units; out: CSV (RFC 4180), one row per tree in input order.
// Terms: cell = one field of a row; own field = a property of the source (common name, remarks) that is passed on.

import type { Assessment, Layer, OtherReckoning, TreeResult } from '../model/index.js';
import { treeView, treeViews } from '../model/index.js';
import { holdsOf, kindsPresent, saysAccuracy, saysProtected, yesNo } from './columns.js';
import { inert, quoted } from './csv-cell.js';
import { gradeCells } from './grades.js';
import { cell, SCALES, type Units } from './numbers.js';
import { shownTrees } from './shown.js';

/** A column of the schedule; numbers come unrounded, with the decimals they are shown with. */
export type ScheduleColumn = { readonly title: string } & (
  | { readonly type: 'text'; readonly value: (tree: TreeResult) => string }
  | { readonly type: 'number'; readonly decimals: number; readonly value: (tree: TreeResult) => number | null }
);

/** Options of `toSchedule`. */
export interface ScheduleOptions {
  readonly units?: Units | undefined;
  /** As in `toGeoJSON`. */
  readonly only?: readonly string[] | undefined;
}

/**
 * The tree schedule as CSV text: comma, CRLF, UTF-8, a heading row, then every tree read, assessed or not.
 * Percent with one decimal, lengths and areas with two. A job without trees gives the heading alone.
 *
 * @example
 * toSchedule(assessment, { units: 'us' }).split('\r\n')[0]; // 'Tree,Species,Common name,...'
 */
export function toSchedule(assessment: Assessment, options: ScheduleOptions = {}): string {
  return [...schedulePieces(shownTrees(assessment, { only: options.only }), options)].join('');
}

/** The same row by row, for files too large to hold as one string. */
export function* schedulePieces(
  assessment: Assessment,
  options: { readonly units?: Units | undefined } = {},
): Generator<string> {
  const columns = scheduleColumns(assessment, options.units ?? 'metric');
  yield heading(columns);
  for (const tree of treeViews(assessment)) yield line(columns, tree);
}

/** The heading, and the function that writes one tree's row. */
export function scheduleLines(
  assessment: Assessment,
  options: { readonly units?: Units | undefined } = {},
): { readonly heading: string; readonly row: (tree: TreeResult) => string } {
  const columns = scheduleColumns(assessment, options.units ?? 'metric');
  return { heading: heading(columns), row: (tree) => line(columns, tree) };
}

function heading(columns: readonly ScheduleColumn[]): string {
  return `${columns.map((c) => quoted(c.title)).join(',')}\r\n`;
}

function line(columns: readonly ScheduleColumn[], tree: TreeResult): string {
  return `${columns.map((c) => quoted(cellText(c, tree))).join(',')}\r\n`;
}

function cellText(column: ScheduleColumn, tree: TreeResult): string {
  return column.type === 'text' ? inert(column.value(tree)) : cell(column.value(tree), column.decimals);
}

/** The columns of the schedule, for every sink that has one. */
export function scheduleColumns(assessment: Assessment, units: Units): ScheduleColumn[] {
  const { length, area, diameterCell } = SCALES[units];
  const { trees, treeTransform } = assessment.job;
  const local = treeTransform?.crs.kind === 'local'; // a ground system knows no true north
  const scaled = (value: number | null, factor: number): number | null => (value === null ? null : value * factor);
  const text = (title: string, value: (tree: TreeResult) => string): ScheduleColumn => ({ title, type: 'text', value });
  const number = (title: string, decimals: number, value: (tree: TreeResult) => number | null): ScheduleColumn => ({
    title,
    type: 'number',
    decimals,
    value,
  });
  const lengths = (title: string, value: (t: TreeResult) => number | null): ScheduleColumn =>
    number(`${title} (${length.title})`, 2, (t) => scaled(value(t), length.factor));
  const areas = (title: string, value: (t: TreeResult) => number | null): ScheduleColumn =>
    number(`${title} (${area.title})`, 2, (t) => scaled(value(t), area.factor));
  const percents = (title: string, value: (t: TreeResult) => number | null): ScheduleColumn =>
    number(`${title} (%)`, 1, value);
  const north = local ? 'grid' : 'true';
  const crownColumns = [
    areas('Crown area', (t) => t.crown?.areaM2 ?? null),
    areas('Crown over buildings', (t) => t.crown?.overlapM2 ?? null),
    percents('Crown over buildings', (t) => t.crown?.overlapPct ?? null),
    number(`Crown in conflict from (deg from ${north} north)`, 1, (t) => northed(t.crown?.arcFrom ?? null)),
    number(`Crown in conflict clockwise to (deg from ${north} north)`, 1, (t) => arcEnd(t)),
    lengths('Lift to clear the buildings', (t) => t.crown?.liftM ?? null),
    text('Crown over', (t) => t.crown?.works ?? ''),
  ];
  return [
    text('Tree', (t) => t.key),
    text('Species', (t) => trees.species[t.row] ?? ''),
    text('Common name', ownField(assessment, trees.layer, 'common_name')),
    text('Disposition', (t) => t.disposition),
    number(`DBH (${diameterCell.title})`, 1, (t) => scaled(t.dbhM, diameterCell.factor)),
    lengths('Zone radius', (t) => t.zoneRadiusM),
    areas('Zone area', (t) => t.zoneAreaM2),
    areas('Overlap', (t) => t.overlapM2),
    percents('Overlap', (t) => t.overlapPct),
    ...kindsPresent(assessment.eachWorks()).map((kind) =>
      areas(`Of it ${kind}`, (t) => t.overlapByKindM2?.[kind] ?? null),
    ),
    ...(assessment.job.existing === null ? [] : [percents('Hard today', (t) => t.existingPct)]),
    percents('Severed', (t) => t.severedPct),
    percents('Affected', (t) => t.affectedPct),
    ...assessment.rule.rings.map(({ name, title }) =>
      percents(title ?? `Ring ${name}`, (t) => t.rings.find((ring) => ring.name === name)?.overlapPct ?? null),
    ),
    ...gradeCells(assessment, units).map(({ title, decimals, value }) => number(title, decimals, value)),
    lengths('Nearest works', (t) => t.nearestM),
    lengths('Nearest works from trunk face', (t) => t.nearestFaceM),
    local
      ? number('Bearing to works (deg from grid north)', 1, (t) => northed(t.nearestGridBearing))
      : number('Bearing to works (deg from true north)', 1, (t) => northed(t.nearestBearing)),
    text('Works nearest', (t) => t.nearestWorks ?? ''),
    text('Works that take most alone', (t) => t.worstWorks ?? ''),
    percents('Taken by them alone', (t) => t.worstWorksPct),
    lengths('Works may approach by (negative: must retreat)', (t) => t.marginM),
    ...(saysAccuracy(assessment) ? [text('Verdict holds within the accuracy', (t) => holdsOf(t) ?? '')] : []),
    ...(assessment.job.crowns ? crownColumns : []),
    text('Verdict', (t) => t.verdict ?? ''),
    text('Consequence', (t) => t.consequence),
    text('Reasons', (t) => t.reasons.join('; ')),
    ...(saysProtected(assessment) ? [text('Protected', (t) => yesNo(t.isProtected))] : []),
    text('Lot', (t) => t.lot ?? ''),
    ...others(assessment).flatMap(({ title, see }) => [
      percents(`Overlap, ${title}`, (t) => see(t.row).overlapPct),
      text(`Verdict, ${title}`, (t) => see(t.row).verdict ?? ''),
    ]),
    text('Remarks', ownField(assessment, trees.layer, 'remarks')),
  ];
}

/** The same trees under each further rule and design option. */
const viewsOf = (other: OtherReckoning) => (row: number) => treeView(other, row);

function others({ otherRules, otherOptions }: Assessment): { title: string; see: (row: number) => TreeResult }[] {
  return [
    ...otherRules.map((other) => ({ title: other.rule.id, see: viewsOf(other) })),
    ...otherOptions.map((other) => ({ title: `option ${other.option}`, see: viewsOf(other) })),
  ];
}

/** A field that is passed on: by the name it was mapped to, else by its own name in any case. */
function ownField(assessment: Assessment, layer: Layer, field: string): (tree: TreeResult) => string {
  const mapped = assessment.options.fields?.[field] ?? assessment.options.fields?.[`trees.${field}`];
  const source = mapped ?? layer.fields.find((name) => name.toLowerCase() === field);
  if (source === undefined) return () => '';
  return (tree) => {
    const value = layer.properties(tree.row)[source];
    return typeof value === 'string' || typeof value === 'number' ? String(value) : '';
  };
}

/** All round is 0 to 360. */
function arcEnd({ crown }: TreeResult): number | null {
  if (crown === null || crown.arcTo === null) return null;
  return crown.arcFrom === 0 && crown.arcTo === 360 ? 360 : northed(crown.arcTo);
}

/** A bearing that rounds up to 360 is north. */
function northed(bearing: number | null): number | null {
  return bearing !== null && bearing.toFixed(1) === '360.0' ? 0 : bearing;
}
