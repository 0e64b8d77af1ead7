// What an arborist looks at, as columns of codes. In: a tree layer, the sources of its fields, the job's own words; out: a table,
// null where the survey has none of the fields; the soil; texts in the form they are shown in; findings.
// Terms: see model/worth.ts; own words = what no table has: kept as read, counted in one finding a field.
// Cost: a look-up for each row and field that the survey has; nothing where it has none.

import {
  type Layer,
  NOT_RECORDED,
  OWN_WORDS,
  WORTH_FIGURES,
  WORTH_VALUES,
  type WorthField,
  type WorthFigureField,
  type WorthTable,
  type WorthWordField,
} from '../model/index.js';
import { counted } from '../text/index.js';
import { textOf, WordColumn } from './columns.js';
import type { TreeField } from './field-table.js';
import type { Sources } from './fields.js';
import type { Reporter } from './reporter.js';
import { shown, WordReader } from './values.js';
import { CONDITIONS, type FieldWords, fieldWords, type ValueOptions, wordKey } from './words/index.js';

export interface ReadWorth {
  readonly worth?: WorthTable;
  readonly soil?: Uint8Array;
}

/** Reads every field of the survey's that an arborist looks at. */
export function readWorth(
  layer: Layer,
  sources: Sources<TreeField>,
  values: ValueOptions | undefined,
  out: Reporter,
): ReadWorth {
  const codes = new Map<WorthField, Uint8Array>();
  for (const field of Object.keys(WORTH_VALUES) as WorthWordField[]) {
    if (sources[field] !== undefined) codes.set(field, wordCodes(layer, field, sources, values, out));
  }
  for (const field of WORTH_FIGURES) {
    if (sources[field] !== undefined) codes.set(field, figureCodes(layer, field, sources, out));
  }
  const worth = codes.size === 0 ? {} : { worth: { codes, dead: deadOf(layer, sources, values) } };
  return { ...worth, ...soilOf(layer, sources, values, out) };
}

function wordCodes(
  layer: Layer,
  field: WorthWordField,
  sources: Sources<TreeField>,
  values: ValueOptions | undefined,
  out: Reporter,
): Uint8Array {
  const words = fieldWords('trees', field, values);
  const reader = new WordReader(words.words);
  const own = new OwnWords(field, out);
  const column = new Uint8Array(layer.count).fill(NOT_RECORDED);
  for (let row = 0; row < layer.count; row++) {
    const text = textOf(sources[field], layer, row) ?? flagText(layer, sources[field], row);
    if (text === undefined || wordKey(text) === '') continue; // a dash is no answer
    const code = reader.read(text);
    column[row] = code >= 0 ? code : OWN_WORDS;
    if (code < 0 && field !== 'strikes') own.add(text, row, sources[field]?.[0]?.name ?? field);
  }
  own.report(words);
  return column;
}

/** A yes or no that the file holds as such. */
function flagText(layer: Layer, sources: Sources<TreeField>[TreeField], row: number): string | undefined {
  for (const { name } of sources ?? []) {
    const value = layer.value(row, name);
    if (typeof value === 'boolean') return value ? 'yes' : 'no';
  }
  return undefined;
}

/** The survey's own words in one field: one finding for all of them. */
class OwnWords {
  readonly #field: string;
  readonly #out: Reporter;
  #count = 0;
  #first = { text: '', row: -1, source: '' };

  constructor(field: string, out: Reporter) {
    this.#field = field;
    this.#out = out;
  }

  add(text: string, row: number, source: string): void {
    if (this.#count++ === 0) this.#first = { text, row, source };
  }

  report({ table }: FieldWords): void {
    if (this.#count === 0) return;
    const { text, row, source } = this.#first;
    const message = `${source} holds words of its own (${counted(this.#count, 'tree')}), the first ${shown(text)}: kept as read, graded by nobody`;
    const cure = `use ${table.values.join(', ')}, or say what a word means: --value ${this.#field}.WORD=${table.values[0]}`;
    this.#out.say('words-kept', row, `properties.${source}`, message, cure);
  }
}

const MOST: Readonly<Record<WorthFigureField, number>> = { crown_density_pct: 100, dieback_pct: 100, lean_deg: 90 };
const UNIT: Readonly<Record<WorthFigureField, string>> = { crown_density_pct: '%', dieback_pct: '%', lean_deg: 'deg' };
const FIGURE =
  /^(?:<|>|~|ca\.?|about)?\s*(\d+(?:[.,]\d+)?)(?:\s*(?:-|–|to)\s*(\d+(?:[.,]\d+)?))?\s*(%|percent|°|deg\.?|degrees?)?$/i;
const NONE = /^(?:none|no|nil|upright|plumb|keine?)$/i;

interface Figure {
  readonly isSome: boolean;
  readonly text: string;
}

/** A figure as it is shown, with its unit; null for words. `undefined`: a number that can't be right. */
export function figureOf(field: WorthFigureField, text: string, column: string): Figure | null | undefined {
  if (NONE.test(text)) return { isSome: false, text };
  const found = FIGURE.exec(text);
  if (found === null) return null;
  const [low, high] = [found[1]!, found[2] ?? found[1]!].map((one) => Number(one.replace(',', '.')));
  if (low! > high! || high! > MOST[field]) return undefined;
  const unit = found[3] ?? '';
  const isPercent = UNIT[field] === '%';
  if (unit !== '' && /^(%|percent)$/i.test(unit) !== isPercent) return undefined;
  // 0.6 in a column whose name has no unit may be a share or a percent
  const saysUnit = unit !== '' || /(?:pct|percent|%)\W*$/i.test(column) || !isPercent;
  if (!saysUnit && high! > 0 && high! <= 1) return undefined;
  return { isSome: high! > 0, text: unit === '' ? `${text} ${UNIT[field]}` : text };
}

function figureCodes(layer: Layer, field: WorthFigureField, sources: Sources<TreeField>, out: Reporter): Uint8Array {
  const column = new Uint8Array(layer.count).fill(NOT_RECORDED);
  const source = sources[field]?.[0]?.name ?? field;
  for (let row = 0; row < layer.count; row++) {
    const text = textOf(sources[field], layer, row);
    if (text === undefined || wordKey(text) === '') continue;
    const figure = figureOf(field, text, source);
    column[row] = figure === null || figure === undefined ? OWN_WORDS : figure.isSome ? 1 : 0;
    if (figure !== undefined) continue;
    const message = `${source} ${shown(text)} is no ${UNIT[field] === '%' ? 'percent from 0 to 100' : 'angle from 0 to 90 degrees'}; kept as read`;
    const cure =
      UNIT[field] === '%' ? 'write 60 %, or name the column with _pct' : 'write degrees from plumb, such as 8';
    out.say('number-unreadable', row, `properties.${source}`, message, cure);
  }
  return column;
}

/** The text of a figure with its unit; other texts as they are. */
export function shownFigure(field: string, text: string | undefined, column: string | undefined): string | undefined {
  if (text === undefined || !(WORTH_FIGURES as readonly string[]).includes(field)) return text;
  return figureOf(field as WorthFigureField, text, column ?? '')?.text ?? text;
}

function deadOf(layer: Layer, sources: Sources<TreeField>, values: ValueOptions | undefined): Uint8Array {
  const dead = new Uint8Array(layer.count);
  if (sources.condition === undefined) return dead;
  const reader = new WordReader(fieldWords('trees', 'condition', values).words);
  const code = CONDITIONS.indexOf('dead');
  for (let row = 0; row < layer.count; row++) {
    if (reader.read(textOf(sources.condition, layer, row)) === code) dead[row] = 1;
  }
  return dead;
}

function soilOf(
  layer: Layer,
  sources: Sources<TreeField>,
  values: ValueOptions | undefined,
  out: Reporter,
): Pick<ReadWorth, 'soil'> {
  if (sources.soil === undefined) return {};
  const reader = new WordColumn(sources.soil, fieldWords('trees', 'soil', values), out);
  const soil = new Uint8Array(layer.count);
  for (let row = 0; row < layer.count; row++) soil[row] = reader.read(layer, row, NOT_RECORDED, NOT_RECORDED);
  reader.report('value-unknown', 'not given', 'tree');
  return { soil };
}
