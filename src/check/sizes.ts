// Trunk sizes of a layer, judged by their figures. In: a layer and the unit an option gives; out: per column its range
// and what looks wrong with it, in words. Terms: size column = one that by its name holds a diameter, girth or radius;
// reading = a figure taken as diameter or girth in some unit; it fits when the trunks come out as trunks are. Units are judged
// by most of the figures: bulk = all but the smallest and the largest hundredth; figures outside are named and decide
// nothing. Nothing here changes a figure: units are never guessed, only doubted.

import type { Layer } from '../model/index.js';
import { type LengthUnit, METRES_PER } from '../model/index.js';
import { unitOfName } from './field-names.js';
import { TREE_FIELDS, type TreeField } from './field-table.js';
import { canonicalOf } from './fields.js';
import { figure } from './suggest.js';

export interface SizeColumn {
  readonly field: string;
  /** The contract field it is read as by its name. */
  readonly as: TreeField | null;
  readonly unit: LengthUnit | null;
  /** Rows with a figure above 0, and the least, middle and largest of them. */
  readonly count: number;
  readonly least: number;
  readonly median: number;
  readonly largest: number;
  /** Units in which the figures would be trunk diameters (girths where the name says so). */
  readonly fits: readonly LengthUnit[];
  /** Units in which they would be girths; empty where the name says that they are. */
  readonly asGirth: readonly LengthUnit[];
  readonly notes: readonly string[];
}

const NAMES = /dbh|bhd|dia|trunk|calip|girth|gbh|circ|bole|rad/i;
/** Crowns and zones have radii too, dates and ratings have names with these letters in them. */
const OTHER_NAMES = /crown|canopy|drip|zone|date|grad|trad|media|india/i;
/** A count or a number is not a size. */
const COUNT_NAMES = /^(trunks|stems|boles)$|count|num|qty|quantity|_no$|neighbou?r/i;
const GIRTH_NAMES = /girth|gbh|circ/i;
const UNITS = ['in', 'cm', 'mm', 'm', 'ft'] as const;
const UNIT_WORDS: Readonly<Record<string, string>> = { in: 'inches', cm: 'cm', mm: 'mm', m: 'metres', ft: 'feet' };

/** Usual trunks of a survey (common practice, no source): none over 3.5 m, half of them 5 cm to 1.5 m. */
const LEAST_M = 0.01;
const LARGEST_M = 3.5;
const MEDIAN_M = [0.05, 1.5] as const;

/** Every size column of a layer, in the layer's order; values are read once. */
export function sizeColumns(layer: Layer, dbhUnit: LengthUnit | undefined): SizeColumn[] {
  const columns = layer.fields
    .filter((name) => isSize(name))
    .map((name) => ({ name, values: figuresOf(layer, name) }))
    .filter(({ values }) => values.some((v) => v > 0));
  return columns.map((column, i) => {
    const others = columns.filter((_, k) => k < i);
    return describe(column.name, column.values, dbhUnit, others);
  });
}

function isSize(name: string): boolean {
  const named = canonicalOf(name, TREE_FIELDS);
  if (named !== undefined) return ['dbh', 'girth', 'base_dia'].includes(named.field);
  return NAMES.test(name) && !OTHER_NAMES.test(name) && !COUNT_NAMES.test(name);
}

/** A column's figures by row; NaN where there is none. Text with its own unit needs no check. */
function figuresOf(layer: Layer, field: string): Float64Array {
  const values = new Float64Array(layer.count).fill(Number.NaN);
  for (let f = 0; f < layer.count; f++) {
    const value = layer.value(f, field);
    if (typeof value === 'number') values[f] = value;
    else if (typeof value === 'string' && /^\s*\d+(?:[.,]\d+)?\s*$/.test(value))
      values[f] = Number(value.replace(',', '.'));
  }
  return values;
}

function describe(
  field: string,
  values: Float64Array,
  dbhUnit: LengthUnit | undefined,
  others: readonly { readonly name: string; readonly values: Float64Array }[],
): SizeColumn {
  const named = canonicalOf(field, TREE_FIELDS);
  const unit = named?.unit ?? unitOfName(field) ?? (named === undefined ? null : (dbhUnit ?? null));
  const sorted = values.filter((v) => v > 0 && Number.isFinite(v)).sort();
  const range = {
    least: sorted[0] ?? Number.NaN,
    median: sorted[sorted.length >> 1] ?? Number.NaN,
    largest: sorted.at(-1) ?? Number.NaN,
  };
  const girth = named?.field === 'girth' || GIRTH_NAMES.test(field);
  const bulk = bulkOf(sorted);
  const fits = UNITS.filter((u) => isTrunk(bulk, u, girth));
  const asGirth = girth ? [] : UNITS.filter((u) => isTrunk(bulk, u, true));
  const notes = [
    ...sizeNotes(bulk, unit, girth, fits, asGirth, /rad/i.test(field) && named === undefined),
    ...outlierNotes(
      values,
      bulk,
      girth,
      fits.filter((u) => unit === null || u === unit),
    ),
    ...roundNotes(sorted, unit),
    ...others.flatMap((other) => relation(field, values, other.name, other.values)),
  ];
  return { field, as: named?.field ?? null, unit, count: sorted.length, ...range, fits, asGirth, notes };
}

interface Range {
  readonly least: number;
  readonly median: number;
  readonly largest: number;
}

/** Share at either end that decides nothing. With fewer than a hundred figures all count. */
const APART_SHARE = 0.01;

function bulkOf(sorted: Float64Array): Range {
  const off = Math.floor(sorted.length * APART_SHARE);
  return {
    least: sorted[off] ?? Number.NaN,
    median: sorted[sorted.length >> 1] ?? Number.NaN,
    largest: sorted[sorted.length - 1 - off] ?? Number.NaN,
  };
}

const NAMED = 3; // outliers named one by one

/** Figures outside the bulk that are too large or small for a trunk in a unit that fits the bulk, the largest first. */
function outlierNotes(values: Float64Array, bulk: Range, girth: boolean, units: readonly LengthUnit[]): string[] {
  const through = (v: number, unit: LengthUnit): number => (v * METRES_PER[unit]) / (girth ? Math.PI : 1);
  const rows: number[] = [];
  values.forEach((v, row) => {
    if (!(v > 0) || (v >= bulk.least && v <= bulk.largest)) return;
    if (units.some((unit) => through(v, unit) > LARGEST_M || through(v, unit) < LEAST_M)) rows.push(row);
  });
  if (rows.length === 0) return [];
  rows.sort((a, b) => values[b]! - values[a]! || a - b);
  const named = rows.slice(0, NAMED).map((row) => `${figure(values[row]!)} (feature ${row})`);
  const more = rows.length > NAMED ? ` and ${rows.length - NAMED} more` : '';
  return [`far from the rest: ${named.join(', ')}${more}: check ${rows.length === 1 ? 'it' : 'them'}`];
}

function isTrunk({ least, median, largest }: Range, unit: LengthUnit, girth: boolean): boolean {
  const metres = METRES_PER[unit] / (girth ? Math.PI : 1);
  const middle = median * metres;
  return least * metres >= LEAST_M && largest * metres <= LARGEST_M && middle >= MEDIAN_M[0] && middle <= MEDIAN_M[1];
}

function sizeNotes(
  range: Range,
  unit: LengthUnit | null,
  girth: boolean,
  fits: readonly LengthUnit[],
  asGirth: readonly LengthUnit[],
  radius: boolean,
): string[] {
  if (unit !== null && fits.some((u) => u === unit)) return [];
  const words = (list: readonly LengthUnit[]): string => list.map((u) => UNIT_WORDS[u] ?? u).join(' or ');
  const largest = figure(range.largest);
  if (unit === null) {
    if (radius) return [];
    // Only units of girth that a tape has: inches and cm.
    const taped = asGirth.filter((u) => (u === 'in' || u === 'cm') && !fits.includes(u));
    const or = taped.length === 0 ? '' : `, or girth in ${words(taped)}`;
    if (fits.length > 0) return [`largest ${largest}: by size ${words(fits)}${or}; the unit must be given`];
    if (asGirth.length > 0) return [`largest ${largest}: looks like girth in ${words(asGirth)}`];
    return [`largest ${largest}: fits no unit that trunks are measured in`];
  }
  const through = (range.largest * METRES_PER[unit]) / (girth ? Math.PI : 1);
  const would = `largest ${largest} ${unit} is a trunk ${figure(Number(through.toPrecision(3)))} m through`;
  // A girth in the same unit is the likelier error. A nursery of saplings in the given unit is no error.
  if (asGirth.some((u) => u === unit)) return [`${would}: looks like girth in ${UNIT_WORDS[unit] ?? unit}`];
  if (fits.length > 0) return [`${would}: looks like ${words(fits)}`];
  if (asGirth.length > 0) return [`${would}: looks like girth in ${words(asGirth)}`];
  return [`${would}: check the figures`];
}

const FEW = 10; // with fewer figures than this, round numbers show nothing

function roundNotes(sorted: Float64Array, unit: LengthUnit | null): string[] {
  if (sorted.length < FEW || sorted[0] === sorted.at(-1)) return [];
  const all = (step: number, slack: number): boolean =>
    sorted.every((v) => Math.abs(v / step - Math.round(v / step)) * step <= slack);
  for (const step of [10, 5]) {
    if (all(step, 1e-9)) return [`every figure is a multiple of ${step}: estimated, not taped?`];
  }
  const inches = sorted.some((v) => !Number.isInteger(v)) && all(2.54, 0.051);
  if (!inches || all(0.5, 1e-9)) return [];
  return [
    `every figure is a whole number of inches times 2.54: ${unit === 'in' ? 'is it in cm?' : 'cm made from inches'}`,
  ];
}

/** Factors between two columns that mean something, and what. */
const FACTORS: readonly { readonly by: number; readonly words: string; readonly means: string }[] = [
  { by: 1, words: 'the same as', means: '' },
  { by: 2, words: 'twice', means: ': diameter and radius?' },
  { by: Math.PI, words: '3.14 times', means: ': girth and diameter?' },
  { by: 2.54, words: '2.54 times', means: ': cm and inches?' },
  { by: 10, words: 'ten times', means: ': mm and cm?' },
  { by: 12, words: '12 times', means: ': inches and feet?' },
  { by: 25.4, words: '25.4 times', means: ': mm and inches?' },
];
const NEAR = 0.02; // figures are rounded
const NEARLY_ALL = 0.95;
const ENOUGH = 3; // rows in which both stand

function relation(a: string, valuesA: Float64Array, b: string, valuesB: Float64Array): string[] {
  const ratios: number[] = [];
  for (let i = 0; i < valuesA.length; i++) {
    const [x, y] = [valuesA[i]!, valuesB[i]!];
    if (x > 0 && y > 0) ratios.push(x / y);
  }
  if (ratios.length < ENOUGH) return [];
  for (const { by, words, means } of FACTORS) {
    const share = (factor: number): number =>
      ratios.filter((r) => Math.abs(r / factor - 1) <= NEAR).length / ratios.length;
    if (share(by) >= NEARLY_ALL) return [`${a} is ${words} ${b}${means}`];
    if (by !== 1 && share(1 / by) >= NEARLY_ALL) return [`${b} is ${words} ${a}${means}`];
  }
  return [];
}
