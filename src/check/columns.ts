// One property of a row after the other: in: the sources of a field, a layer and a row; out: metres, text or a
// word's code, with a finding for what can't be read.
// Terms: the first source that is not blank counts.

import type { Layer, LayerRole } from '../model/index.js';
import { unitMissing } from './field-errors.js';
import type { FieldSpec } from './field-table.js';
import type { SourceField } from './fields.js';
import type { Reporter } from './reporter.js';
import { OVERFLOWS_M, readLength, readText, shown, UNITLESS, UNREADABLE, WordReader, type Words } from './values.js';

/** No tree, trench or crown is longer: beyond it a figure is a slip of the pen (and would overflow later). */
const LONGEST_M = 10_000;

/** Reads a length field; NaN where it is not given. Throws InputError `unit-missing` at the first bare number. */
export class LengthColumn {
  readonly given: boolean;
  readonly #sources: readonly SourceField[];
  readonly #field: string;
  readonly #spec: FieldSpec;
  readonly #role: LayerRole;
  readonly #out: Reporter;

  constructor(
    field: string,
    spec: FieldSpec,
    sources: readonly SourceField[] | undefined,
    role: LayerRole,
    out: Reporter,
  ) {
    this.#sources = sources ?? [];
    this.given = this.#sources.length > 0;
    this.#field = field;
    this.#spec = spec;
    this.#role = role;
    this.#out = out;
  }

  /** The first source that gives a length of 0 or more; unreadable and negative values get a finding and are skipped. */
  read(layer: Layer, row: number): number {
    for (const source of this.#sources) {
      const metres = this.one(source, layer, row);
      if (!Number.isNaN(metres)) return metres;
    }
    return Number.NaN;
  }

  /** The first source that gives more than 0; `differs` is called for every later source more than 5 % off it. */
  readPositive(layer: Layer, row: number, differs: (a: SourceField, b: SourceField) => void): number {
    let first: SourceField | undefined;
    let length = Number.NaN;
    for (const source of this.#sources) {
      const metres = this.one(source, layer, row);
      if (!(metres > 0)) continue;
      if (first === undefined) {
        first = source;
        length = metres;
      } else if (conflict(length, metres)) differs(first, source);
    }
    return length;
  }

  one(source: SourceField, layer: Layer, row: number): number {
    const value = layer.value(row, source.name);
    const metres = readLength(value, source.metresPerUnit);
    if (metres >= 0 && metres <= LONGEST_M) return metres;
    if (Number.isNaN(metres)) return metres;
    if (metres === UNITLESS) throw unitMissing(this.#out.layer, this.#role, this.#field, this.#spec, source.name);
    // a diameter that is far too large is judged as a diameter, where its row is rejected; so far that it still has digits
    if (metres !== UNREADABLE && metres > 0 && this.#spec.unit === 'diameter') return Math.min(metres, OVERFLOWS_M);
    const why = metres === UNREADABLE ? 'is not a length' : metres < 0 ? 'is negative' : 'is over 10 km';
    this.#out.say(
      'number-unreadable',
      row,
      `properties.${source.name}`,
      `${source.name} ${shown(value)} ${why}; treated as missing`,
      'write a plain number, or a number with its unit (24 in)',
    );
    return Number.NaN;
  }
}

/** Two figures for one length that are more than 5 % of the larger apart. */
export function conflict(a: number, b: number): boolean {
  return Math.abs(a - b) > 0.05 * Math.max(a, b) * (1 + 1e-12);
}

/** Reads a field of a few words; `otherwise` when blank or, with a finding, unknown. */
export class WordColumn {
  readonly #sources: readonly SourceField[];
  readonly #reader: WordReader;
  readonly #names: string;
  readonly #out: Reporter;

  constructor(sources: readonly SourceField[] | undefined, words: Words, names: string, out: Reporter) {
    this.#sources = sources ?? [];
    this.#reader = new WordReader(words);
    this.#names = names;
    this.#out = out;
  }

  read(layer: Layer, row: number, otherwise: number, taken: string): number {
    for (const source of this.#sources) {
      const value = layer.value(row, source.name);
      const code = this.#reader.read(value);
      if (code >= 0) return code;
      if (code === -1) continue;
      this.#out.say(
        'value-unknown',
        row,
        `properties.${source.name}`,
        `${source.name} ${shown(value)} is not one of the words this field takes; taken as ${taken}`,
        `use ${this.#names}`,
      );
    }
    return otherwise;
  }
}

/** The first source that holds text. */
export function textOf(sources: readonly SourceField[] | undefined, layer: Layer, row: number): string | undefined {
  if (sources === undefined) return undefined;
  for (const source of sources) {
    const text = readText(layer.value(row, source.name));
    if (text !== undefined) return text;
  }
  return undefined;
}
