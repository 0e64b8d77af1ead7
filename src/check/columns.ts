// One property of a row after the other: in: the sources of a field, a layer and a row; out: metres, text or a
// word's code, with a finding for what can't be read.
// Terms: the first source that is not blank counts.

import type { FindingCode, Layer, LayerRole } from '../model/index.js';
import { unitMissing } from './field-errors.js';
import type { FieldSpec } from './field-table.js';
import type { SourceField } from './fields.js';
import type { Reporter } from './reporter.js';
import { OVERFLOWS_M, readLength, readText, shown, UNITLESS, UNREADABLE, WordReader } from './values.js';
import { type FieldWords, wordKey } from './words/index.js';

/** No tree, trench or crown is longer. A larger figure is a typing error (and would overflow later). */
const LONGEST_M = 10_000;

/** Reads a length field; NaN where it is not given. Throws InputError `unit-missing` at the first bare number. */
export class LengthColumn {
  readonly given: boolean;
  readonly #sources: readonly SourceField[];
  readonly #field: string;
  readonly #spec: FieldSpec;
  readonly #role: LayerRole;
  readonly #out: Reporter;
  readonly #clean: ((value: unknown, source: SourceField, row: number) => unknown) | undefined;

  constructor(
    field: string,
    spec: FieldSpec,
    sources: readonly SourceField[] | undefined,
    role: LayerRole,
    out: Reporter,
    clean?: (value: unknown, source: SourceField, row: number) => unknown,
  ) {
    this.#clean = clean;
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
    const read = layer.value(row, source.name);
    const value = this.#clean === undefined ? read : this.#clean(read, source, row);
    const metres = readLength(value, source.metresPerUnit);
    if (metres >= 0 && metres <= LONGEST_M) return metres;
    if (Number.isNaN(metres)) return metres;
    if (metres === UNITLESS) throw unitMissing(this.#out.layer, this.#role, this.#field, this.#spec, source.name);
    // a diameter that is far too large is checked later, as a diameter; its row is rejected there
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

/** Words that are named one by one; the rest are counted together. */
const MOST_WORDS = 40;

interface Unknown {
  count: number;
  readonly first: number;
  readonly shown: string;
  readonly raw: string;
  readonly source: string;
  readonly asked: boolean;
}

/** Reads a field of a few words. Unknown words are counted, and each is reported once. */
export class WordColumn {
  readonly #sources: readonly SourceField[];
  readonly #reader: WordReader;
  readonly #of: FieldWords;
  readonly #out: Reporter;
  readonly #unknown = new Map<string, Unknown>();
  #others = 0; // more words than are kept

  constructor(sources: readonly SourceField[] | undefined, of: FieldWords, out: Reporter) {
    this.#sources = sources ?? [];
    this.#reader = new WordReader(of.words);
    this.#of = of;
    this.#out = out;
  }

  get given(): boolean {
    return this.#sources.length > 0;
  }

  /** The code of the first known word; `unknown` where all words are unknown; `blank` where there are no words. */
  read(layer: Layer, row: number, blank: number, unknown: number): number {
    let otherwise = blank;
    for (const source of this.#sources) {
      const value = layer.value(row, source.name);
      const code = this.#reader.read(value);
      if (code >= 0) return code;
      if (code === -1) continue;
      otherwise = unknown;
      this.#count(value, source.name, row);
    }
    return otherwise;
  }

  #count(value: unknown, source: string, row: number): void {
    const text = shown(value);
    const word = wordKey(text);
    const known = this.#unknown.get(word);
    if (known !== undefined) known.count++;
    else if (this.#unknown.size >= MOST_WORDS) this.#others++;
    else {
      const raw = String(value).trim();
      this.#unknown.set(word, { count: 1, first: row, shown: text, raw, source, asked: this.#of.asked.has(word) });
    }
  }

  /** One finding a word with its count, the most frequent first. `taken`: the value used for them; `noun`: what has them. */
  report(code: FindingCode, taken: string, noun: string): void {
    const { table, option } = this.#of;
    const worst = [...this.#unknown.values()].sort((a, b) => b.count - a.count || a.first - b.first);
    for (const { count, first, shown: word, raw, source, asked } of worst) {
      if (option !== null) this.#out.words.push({ option, word: raw, source, count, values: table.values });
      const why = asked ? 'has different meanings in different offices' : 'is not a word that this field accepts';
      const message = `${source} ${word} ${why} (${count} ${noun}${count === 1 ? '' : 's'}); taken as ${taken}`;
      const mapping =
        option === null ? '' : `, or say what it means: --value ${shellMapping(option, word, table.values)}`;
      this.#out.say(code, first, `properties.${source}`, message, `use ${table.values.join(', ')}${mapping}`);
    }
    if (this.#others > 0) {
      const message = `${this.#others} more ${noun}s hold other words that this field does not accept; taken as ${taken}`;
      this.#out.sayOnce(code, null, message, 'check that the right column was used for this field');
    }
  }
}

/** `disposition.TBR=keep|remove|transplant`, quoted where a shell needs it. */
function shellMapping(option: string, word: string, values: readonly string[]): string {
  const mapping = `${option}.${word.replace(/^"|"$/g, '')}`;
  const [first = ''] = values;
  const others = values.slice(1).join(', ');
  const pair = `${mapping}=${first}`;
  const quoted = /^[\w.=-]+$/.test(pair) ? pair : `'${pair.replaceAll("'", "'\\''")}'`;
  return others === '' ? quoted : `${quoted} (or ${others})`;
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
