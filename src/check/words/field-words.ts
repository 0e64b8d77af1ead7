// All tables of words by field, and what a job adds to them. In: a role, a field and the job's own words; out: word -> code,
// words that are asked for, values by name. Terms: see word-table.ts; own word = one that a job maps with --value.
// Cost: linear in the words of a table; once a column.

import type { LayerRole } from '../../model/index.js';
import { InputError } from '../../model/index.js';
import { didYouMean } from '../../text/index.js';
import { DISPOSITION_TABLE } from './disposition.js';
import { KIND_TABLE } from './kind.js';
import { AGE_TABLE, CONDITION_TABLE, FLAG_TABLE, FORM_TABLE, TOLERANCE_TABLE } from './tree-words.js';
import { type Words, type WordTable, wordKey, wordsOf } from './word-table.js';
import { SOIL_TABLE, WORTH_TABLES } from './worth-words.js';

/** Fields that hold words, by role. Works and what stands today have the same. */
export const TREE_WORD_FIELDS: Readonly<Record<string, WordTable>> = {
  disposition: DISPOSITION_TABLE,
  age: AGE_TABLE,
  tolerance: TOLERANCE_TABLE,
  condition: CONDITION_TABLE,
  form: FORM_TABLE,
  protected: FLAG_TABLE,
  off_site: FLAG_TABLE,
  veteran: FLAG_TABLE,
  estimated: FLAG_TABLE,
  soil: SOIL_TABLE,
  ...WORTH_TABLES,
};

export const WORKS_WORD_FIELDS: Readonly<Record<string, WordTable>> = {
  kind: KIND_TABLE,
  no_dig: FLAG_TABLE,
  temporary: FLAG_TABLE,
};

const FIELDS: Readonly<Partial<Record<LayerRole, Readonly<Record<string, WordTable>>>>> = {
  trees: TREE_WORD_FIELDS,
  works: WORKS_WORD_FIELDS,
  existing: WORKS_WORD_FIELDS,
};

/** `disposition.TBR` or `works.kind.Sanitary lateral` -> value. */
export type ValueOptions = Readonly<Record<string, string>>;

/** The words of a field, those of the table and those of the job. */
export interface FieldWords {
  readonly table: WordTable;
  readonly words: Words;
  readonly asked: ReadonlySet<string>;
  /** The field's name in --value, `works.kind`; null where --value maps none of its words. */
  readonly option: string | null;
}

const TABLE_WORDS = new Map<WordTable, Words>();

function tableWords(table: WordTable): Words {
  let words = TABLE_WORDS.get(table);
  if (words === undefined) {
    words = wordsOf(table);
    TABLE_WORDS.set(table, words);
  }
  return words;
}

/** The words that a field of a role takes in a job. Throws InputError `value-invalid` (usage). */
export function fieldWords(role: LayerRole, field: string, values: ValueOptions = {}): FieldWords {
  const table = FIELDS[role]?.[field] ?? FLAG_TABLE;
  const own: Record<string, number> = {};
  for (const [key, value] of Object.entries(values)) {
    const said = valueOption(key, value);
    if (said.role === role && said.field === field) own[wordKey(said.word)] = said.code;
  }
  const words = Object.keys(own).length === 0 ? tableWords(table) : { ...tableWords(table), ...own };
  const option = role === 'trees' ? field : `${role}.${field}`;
  return { table, words, asked: new Set(table.asked.map(wordKey)), option };
}

interface SaidValue {
  readonly role: LayerRole;
  readonly field: string;
  readonly word: string;
  readonly code: number;
}

const example = "write --value disposition.TBR=remove, or --value 'works.kind.Sanitary lateral=trench'";

/** The meaning of one mapping. Throws InputError `value-invalid` (usage) where the field or the value does not exist. */
export function valueOption(key: string, value: string): SaidValue {
  const [first = '', ...rest] = key.split('.');
  const named = FIELDS[first.toLowerCase() as LayerRole];
  const role = named === undefined ? 'trees' : (first.toLowerCase() as LayerRole);
  const field = (named === undefined ? first : (rest[0] ?? '')).toLowerCase();
  const word = bare((named === undefined ? rest : rest.slice(1)).join('.'));
  const fields = FIELDS[role] ?? {};
  const table = Object.hasOwn(fields, field) ? fields[field] : undefined;
  if (table === undefined) {
    const known = Object.entries(FIELDS).flatMap(([of, names]) =>
      Object.keys(names ?? {}).map((name) => (of === 'trees' ? name : `${of}.${name}`)),
    );
    throw refused(
      `there is no field of words called "${key}"${didYouMean(field, known)}`,
      `fields are ${known.join(', ')}`,
    );
  }
  if (wordKey(word) === '') throw refused(`--value ${key}=${value} names no word`, example);
  const code = table.values.indexOf(value.trim().toLowerCase());
  if (code < 0) {
    throw refused(
      `--value ${key}=${value}: "${value}" is not a value of ${field}`,
      `choose from ${table.values.join(', ')}`,
    );
  }
  return { role, field, word, code };
}

/** Checks all mappings of a job before anything is read. */
export function checkValues(values: ValueOptions = {}): void {
  for (const [key, value] of Object.entries(values)) valueOption(key, value);
}

function bare(word: string): string {
  const text = word.trim();
  return /^(["']).*\1$/s.test(text) && text.length > 1 ? text.slice(1, -1) : text;
}

function refused(message: string, cure: string): InputError {
  return new InputError('value-invalid', message, { cure, usage: true });
}
