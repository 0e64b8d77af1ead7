// The limb list: in: a Layer of rows (no coordinates needed) and the tree table; out: a LimbTable with every row of it,
// the tree each limb is on, and findings.
// Terms: reference = the north a bearing counts from, never guessed; declination = magnetic north, degrees east of true.

import {
  BEARING_REFS,
  type BearingRef,
  type Finding,
  InputError,
  type Layer,
  type LimbOptions,
  type LimbTable,
  type TreeTable,
} from '../model/index.js';
import { LengthColumn, textOf, WordColumn } from './columns.js';
import { TreeNames } from './drawn.js';
import { LIMB_FIELDS, type LimbField } from './field-table.js';
import { type FieldOptions, resolveFields, type SourceField, type Sources } from './fields.js';
import { Keys } from './keys.js';
import { Reporter } from './reporter.js';
import { listNames } from './suggest.js';
import { shown } from './values.js';
import type { FieldWords, Words } from './words/index.js';

const REF_WORDS: Words = {
  true: 0,
  t: 0,
  truenorth: 0,
  grid: 1,
  g: 1,
  gridnorth: 1,
  magnetic: 2,
  m: 2,
  mag: 2,
  compass: 2,
};
const REFS: FieldWords = {
  table: { values: BEARING_REFS, words: {}, asked: [], unknown: 'not given' },
  words: REF_WORDS,
  asked: new Set(),
  option: null,
};
const NO_REF = 255;

/**
 * Checks a limb list and joins it to the trees by id, then by tag. Rows that can't be placed stay, with reasons in
 * `rejected`: `tree-unknown`, `bearing-missing`, `bearing-reference-missing`, `declination-missing`.
 *
 * Throws InputError: `limb-field-missing` without a field for tree or bearing, `limb-bearing-missing` (usage) when
 * nothing says what bearings count from, `unit-missing`, `field-missing`, `field-unknown` (usage).
 *
 * @example
 * const { table } = checkLimbs(layer, trees, { limbs: { bearing: 'magnetic', declination: 15.2 } });
 * table.treeOf[0]; // 4: the first limb is on the fifth tree
 */
export function checkLimbs(
  layer: Layer,
  trees: TreeTable,
  options: FieldOptions & { readonly limbs?: LimbOptions } = {},
): { readonly table: LimbTable; readonly findings: readonly Finding[] } {
  const findings: Finding[] = [];
  const sources = (resolveFields([layer], 'limbs', LIMB_FIELDS, options, findings)[0] ?? {}) as Sources<LimbField>;
  const given = options.limbs ?? {};
  if (layer.count > 0) needFields(layer, sources, given);
  const out = new Reporter(layer, findings);
  const keys = new Keys();
  keys.add(layer, sources.id, undefined, out);
  const names = new TreeNames(trees, options);
  const numbers = (): Float64Array => new Float64Array(layer.count).fill(Number.NaN);
  const table = {
    layer,
    count: layer.count,
    key: keys.all.done(),
    tree: new Array<string>(layer.count).fill(''),
    treeOf: new Int32Array(layer.count).fill(-1),
    bearing: numbers(),
    reference: new Uint8Array(layer.count).fill(NO_REF),
    declination: numbers(),
    diameterM: numbers(),
    heightM: numbers(),
    lengthM: numbers(),
    share: numbers(),
    rejected: out.rejected,
  };
  const length = (field: LimbField): LengthColumn =>
    new LengthColumn(field, LIMB_FIELDS[field], sources[field], 'limbs', out);
  const lengths = [
    [length('diameter'), table.diameterM],
    [length('height'), table.heightM],
    [length('length'), table.lengthM],
  ] as const;
  const references = new WordColumn(sources.bearing_ref, REFS, out);
  const common = given.bearing === undefined ? NO_REF : BEARING_REFS.indexOf(given.bearing);
  for (let row = 0; row < layer.count; row++) {
    for (const [reader, column] of lengths) column[row] = reader.read(layer, row);
    table.share[row] = numberOf(sources.crown_share, layer, row, shareOf, SHARE_CURE, out);
    table.tree[row] = textOf(sources.tree, layer, row) ?? '';
    table.bearing[row] = numberOf(sources.bearing, layer, row, bearingOf, BEARING_CURE, out);
    table.reference[row] = references.read(layer, row, common, common);
    const own = numberOf(sources.declination, layer, row, declinationOf, DECLINATION_CURE, out);
    table.declination[row] = Number.isNaN(own) ? (given.declination ?? Number.NaN) : own;
    place(table, row, names, trees, out);
  }
  references.report('value-unknown', given.bearing ?? 'not given', 'limb');
  return { table, findings };
}

function needFields(layer: Layer, sources: Sources<LimbField>, given: LimbOptions): void {
  for (const field of ['tree', 'bearing'] as const) {
    if (sources[field] !== undefined) continue;
    const message = `${layer.name} has no field "${field}"; fields are: ${listNames(layer.fields)}`;
    const cure = `name the field that holds it: --field limbs.${field}=NAME`;
    throw new InputError('limb-field-missing', message, { layer: layer.name, cure });
  }
  if (sources.bearing_ref !== undefined || given.bearing !== undefined) return;
  throw new InputError('limb-bearing-missing', `nothing says which north the bearings of ${layer.name} count from`, {
    layer: layer.name,
    cure: 'give --limb-bearing true, grid or magnetic, or fill a field bearing_ref',
    usage: true,
  });
}

type Filling = Omit<LimbTable, 'tree'> & { readonly tree: string[] };

/** Finds the limb's tree and checks that its bearing gives a direction; otherwise rejects the row with a finding. */
function place(table: Filling, row: number, names: TreeNames, trees: TreeTable, out: Reporter): void {
  const refuse = (reason: string, message: string, cure: string): void =>
    out.refuse('limb-unplaced', reason, row, null, message, cure);
  const name = table.tree[row]!;
  const found = names.rowsOf(name);
  if (found.length === 1) table.treeOf[row] = found[0]!;
  else {
    const keys = listNames(found.slice(0, 5).map((tree) => `"${trees.key.at(tree)}"`));
    const message =
      name === ''
        ? 'the limb does not say which tree it is on'
        : found.length === 0
          ? `the limb is on tree "${name}", but no tree of the survey has that id or tag`
          : `the limb is on tree "${name}", which is the name of ${found.length} trees (${keys})`;
    refuse('tree-unknown', message, 'write the id or tag of one tree in the field tree');
  }
  if (Number.isNaN(table.bearing[row]!)) refuse('bearing-missing', 'the limb has no bearing', BEARING_CURE);
  const reference: BearingRef | undefined = BEARING_REFS[table.reference[row]!];
  if (reference === undefined) {
    const message = 'nothing says which north the limb’s bearing counts from';
    refuse('bearing-reference-missing', message, 'write true, grid or magnetic in bearing_ref, or give --limb-bearing');
  } else if (reference === 'magnetic' && Number.isNaN(table.declination[row]!)) {
    const message = 'the limb’s bearing is magnetic, but no declination is given';
    refuse(
      'declination-missing',
      message,
      'give the declination for the place and date, east positive: --declination 15.2',
    );
  }
}

const BEARING_CURE = 'write degrees clockwise from north, 0 to 360, or a quadrant bearing such as N45E';
const DECLINATION_CURE = 'write degrees, east positive, such as 15.2, 15.2E or 3W';
const SHARE_CURE = 'write the share of the live crown as 12% or 0.12';

/** The first source that is not blank, as a number; NaN where it is blank or, with a finding, unreadable. */
function numberOf(
  sources: readonly SourceField[] | undefined,
  layer: Layer,
  row: number,
  parse: (text: string) => number,
  cure: string,
  out: Reporter,
): number {
  for (const source of sources ?? []) {
    const text = textOf([source], layer, row);
    if (text === undefined) continue;
    const value = parse(text);
    if (!Number.isNaN(value)) return value;
    const message = `${source.name} ${shown(text)} can't be read; treated as missing`;
    out.say('number-unreadable', row, `properties.${source.name}`, message, cure);
  }
  return Number.NaN;
}

const DECIMAL = /^[+-]?(\d+(?:\.\d*)?|\.\d+)$/;
/** No number, bearing or share is longer. Without this bound, long text would take quadratic time. */
const LONGEST = 100;

function plain(text: string): number {
  if (text.length > LONGEST) return Number.NaN;
  const point = text
    .trim()
    .replace(',', '.')
    .replace(/\s*(°|deg)$/i, '');
  return DECIMAL.test(point) ? Number(point) : Number.NaN;
}

/** Degrees 0 to 360, or a quadrant bearing: N45E is 45, S12W is 192; NaN for anything else. */
export function bearingOf(text: string): number {
  if (text.length > LONGEST) return Number.NaN;
  const quadrant = /^([NS])\s*([\d.,]+)\s*°?\s*([EW])$/i.exec(text.trim());
  if (quadrant !== null) {
    const angle = plain(quadrant[2]!);
    if (!(angle >= 0 && angle <= 90)) return Number.NaN;
    const north = quadrant[1]?.toUpperCase() === 'N';
    const east = quadrant[3]?.toUpperCase() === 'E';
    return ((north ? (east ? angle : 360 - angle) : east ? 180 - angle : 180 + angle) + 360) % 360;
  }
  const value = plain(text);
  return value >= 0 && value <= 360 ? value % 360 : Number.NaN;
}

/** Degrees east of true north: 15.2, 15.2E, -3 or 3W; NaN for anything else. */
export function declinationOf(text: string): number {
  if (text.length > LONGEST) return Number.NaN;
  const match = /^(.*?)\s*([EW])?$/i.exec(text.trim());
  const value = plain(match?.[1] ?? '');
  const side = match?.[2]?.toUpperCase();
  if (!(Math.abs(value) <= 180) || (side !== undefined && value < 0)) return Number.NaN;
  return side === 'W' ? -value : value;
}

/** `12%` or 0.12; a bare 12 could mean either and is refused. */
function shareOf(text: string): number {
  if (text.length > LONGEST) return Number.NaN;
  const percent = /^(.*?)\s*%$/.exec(text.trim());
  const value = percent === null ? plain(text) : plain(percent[1] ?? '') / 100;
  return value >= 0 && value <= 1 ? value : Number.NaN;
}
