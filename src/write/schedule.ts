// Assessment -> tree schedule. In: an assessment and units; out: CSV (RFC 4180), one row per tree in input order.
// Terms: cell = one field of a row; own field = a property of the source (common name, remarks) that is passed on.

import type { Assessment, Layer, TreeResult } from '../types.js';
import { kindsPresent } from './columns.js';
import { cell, SCALES, type Units } from './numbers.js';

interface ScheduleColumn {
  readonly title: string;
  readonly value: (tree: TreeResult) => string;
}

/**
 * The tree schedule as CSV text: comma, CRLF, UTF-8, a heading row, then every tree read, assessed or not.
 * Percent with one decimal, lengths and areas with two. A job without trees gives the heading alone.
 *
 * @example
 * toSchedule(assessment, { units: 'us' }).split('\r\n')[0]; // 'Tree,Species,Common name,...'
 */
export function toSchedule(assessment: Assessment, options: { readonly units?: Units | undefined } = {}): string {
  return [...schedulePieces(assessment, options)].join('');
}

/** The same row by row, for files too large to hold as one string. */
export function* schedulePieces(
  assessment: Assessment,
  options: { readonly units?: Units | undefined } = {},
): Generator<string> {
  const columns = scheduleColumns(assessment, SCALES[options.units ?? 'metric']);
  yield `${columns.map((c) => quoted(c.title)).join(',')}\r\n`;
  for (const tree of assessment.trees) yield `${columns.map((c) => quoted(c.value(tree))).join(',')}\r\n`;
}

function scheduleColumns(assessment: Assessment, scales: (typeof SCALES)[Units]): ScheduleColumn[] {
  const { length, area, diameterCell } = scales;
  const { trees } = assessment.job;
  const own = (field: string) => ownField(assessment, trees.layer, field);
  const lengthOf = (value: number | null): string => cell(value === null ? null : value * length.factor, 2);
  const areaOf = (value: number | null): string => cell(value === null ? null : value * area.factor, 2);
  const diameterOf = (value: number | null): string => cell(value === null ? null : value * diameterCell.factor, 1);
  const percent = (value: number | null): string => cell(value, 1);
  return [
    { title: 'Tree', value: (t) => inert(t.key) },
    { title: 'Species', value: (t) => inert(trees.species[t.row] ?? '') },
    { title: 'Common name', value: own('common_name') },
    { title: 'Disposition', value: (t) => t.disposition },
    { title: `DBH (${diameterCell.title})`, value: (t) => diameterOf(t.dbhM) },
    { title: `Zone radius (${length.title})`, value: (t) => lengthOf(t.zoneRadiusM) },
    { title: `Zone area (${area.title})`, value: (t) => areaOf(t.zoneAreaM2) },
    { title: `Overlap (${area.title})`, value: (t) => areaOf(t.overlapM2) },
    { title: 'Overlap (%)', value: (t) => percent(t.overlapPct) },
    ...kindsPresent(assessment.works).map((kind) => ({
      title: `Of it ${kind} (${area.title})`,
      value: (t: TreeResult) => areaOf(t.overlapByKindM2?.[kind] ?? null),
    })),
    { title: 'Severed (%)', value: (t) => percent(t.severedPct) },
    { title: 'Affected (%)', value: (t) => percent(t.affectedPct) },
    ...assessment.rule.rings.map(({ name, title }) => ({
      title: `${title ?? `Ring ${name}`} (%)`,
      value: (t: TreeResult) => percent(t.rings.find((ring) => ring.name === name)?.overlapPct ?? null),
    })),
    { title: `Nearest works (${length.title})`, value: (t) => lengthOf(t.nearestM) },
    { title: `Nearest works from trunk face (${length.title})`, value: (t) => lengthOf(t.nearestFaceM) },
    { title: 'Bearing to works (deg from true north)', value: (t) => northed(cell(t.nearestBearing, 1)) },
    { title: 'Works nearest', value: (t) => inert(t.nearestWorks ?? '') },
    { title: 'Verdict', value: (t) => t.verdict },
    { title: 'Consequence', value: (t) => t.consequence },
    { title: 'Reasons', value: (t) => t.reasons.join('; ') },
    { title: 'Lot', value: (t) => inert(t.lot ?? '') },
    { title: 'Remarks', value: own('remarks') },
  ];
}

/** A field that is passed on: by the name it was mapped to, else by its own name in any case. */
function ownField(assessment: Assessment, layer: Layer, field: string): (tree: TreeResult) => string {
  const mapped = assessment.options.fields?.[field] ?? assessment.options.fields?.[`trees.${field}`];
  const source = mapped ?? layer.fields.find((name) => name.toLowerCase() === field);
  if (source === undefined) return () => '';
  return (tree) => {
    const value = layer.properties(tree.row)[source];
    return typeof value === 'string' || typeof value === 'number' ? inert(String(value)) : '';
  };
}

/**
 * Text from a source that a spreadsheet would run as a formula gets an apostrophe in front, which spreadsheets hide;
 * numbers ("-12") stay numbers.
 */
function inert(text: string): string {
  return /^[=+\-@\t\r]/.test(text) && !/^[+-]?\d+(\.\d+)?$/.test(text) ? `'${text}` : text;
}

function northed(text: string): string {
  return text === '360.0' ? '0.0' : text;
}

function quoted(text: string): string {
  return /[",\r\n]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
