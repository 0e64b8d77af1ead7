// What an arborist looks at, as fields of a form. In: a survey layer; out: titles, words to choose from, the survey's own column of
// each field, what a tree is called. Terms: see model/worth.ts; column = a property under its file's own name; own words = what no
// table has: kept as they are. Nothing is graded here: the library's tables say what a word means. Linear in columns and trees.

import { TREE_FIELDS, type TreeField } from '../../check/field-table.js';
import { canonicalOf } from '../../check/fields.js';
import { WordReader } from '../../check/values.js';
import { TREE_WORD_FIELDS } from '../../check/words/field-words.js';
import { wordsOf } from '../../check/words/word-table.js';
import type { Layer } from '../../model/index.js';
import { fieldTitle } from '../../write/worth-words.js';

/** Fields by what is looked at; those of the crown first, as one walks up to a tree. */
export const FORM: readonly (readonly [heading: string, fields: readonly TreeField[]])[] = [
  ['Health', ['vigour', 'crown_density_pct', 'dieback_pct', 'live_buds', 'pests']],
  ['Trunk', ['sounding', 'cavities', 'decay', 'fungi', 'past_damage']],
  ['Roots', ['root_flare', 'root_disease', 'soil']],
  ['Forks, lean, dead wood', ['codominant', 'included_bark', 'lean_deg', 'dead_wood']],
  [
    'Years and risk',
    ['remaining_years', 'irremediable', 'strikes', 'age', 'age_years', 'life_span', 'category', 'remarks'],
  ],
];

const TITLES: Readonly<Partial<Record<TreeField, string>>> = {
  soil: 'Soil at the tree',
  age_years: 'Age in years',
  life_span: 'Likely span of years',
  category: 'The surveyor’s own category',
  remarks: 'Remarks',
  crown_density_pct: 'Crown density, %',
  dieback_pct: 'Dieback, %',
  lean_deg: 'Lean, degrees from plumb',
  irremediable: 'A serious defect that can’t be put right',
};

/** What a field may look like, where no list says it. */
export const EXAMPLES: Readonly<Partial<Record<TreeField, string>>> = {
  crown_density_pct: '60 or 10-20',
  dieback_pct: '15',
  lean_deg: '8',
  remaining_years: '10-20, 20+, <10',
  strikes: 'the house; nothing',
  age_years: '80',
  life_span: '150-200',
  category: 'B, C1,2, U',
};

/** A field as a label. */
export function titleOf(field: TreeField): string {
  return TITLES[field] ?? fieldTitle(field);
}

/** The words of a field's table; null where it takes any text. */
export function wordsFor(field: TreeField): readonly string[] | null {
  return TREE_FIELDS[field].value === 'word' ? (TREE_WORD_FIELDS[field]?.values ?? null) : null;
}

/** The survey's own columns by field, the first of each. */
export function columnsOf(fields: readonly string[]): ReadonlyMap<TreeField, string> {
  const found = new Map<TreeField, string>();
  for (const name of fields) {
    const field = canonicalOf(name, TREE_FIELDS)?.field;
    if (field !== undefined && !found.has(field)) found.set(field, name);
  }
  return found;
}

/**
 * A value as the form shows it: the table's word where the table knows it, else the survey's own.
 *
 * @example
 * shownValue('decay', 'Major'); // 'severe'
 * shownValue('decay', 'Ganoderma at base'); // 'Ganoderma at base'
 */
export function shownValue(field: TreeField, value: unknown): string {
  if (value === null || value === undefined) return '';
  const table = TREE_WORD_FIELDS[field];
  if (wordsFor(field) !== null && table !== undefined) {
    const plain = typeof value === 'boolean' ? (value ? 'yes' : 'no') : value;
    const word = table.values[new WordReader(wordsOf(table)).read(plain)];
    if (word !== undefined) return word;
  }
  return typeof value === 'object' ? JSON.stringify(value) : String(value);
}

/** What a tree is called for good: its id, else its tag. A place in the list is no name: it changes with each tree that goes. */
export type TreeName = { readonly name: string } | { readonly problem: string };

export function treeName(layer: Layer, row: number): TreeName {
  const { names, count } = namesIn(layer);
  const name = names[row] ?? '';
  if (name === '') return { problem: 'This tree has no id and no tag: give it one first, under its columns.' };
  return (count.get(name) ?? 0) > 1
    ? { problem: `Another tree is called ${name} too: give each an id of its own first.` }
    : { name };
}

/** Whether a tree of the layer has this name. */
export function hasTree(layer: Layer, name: string): boolean {
  return namesIn(layer).count.has(name);
}

interface NamesIn {
  readonly names: readonly string[];
  readonly count: ReadonlyMap<string, number>;
}

const NAMES = new WeakMap<Layer, NamesIn>();

function namesIn(layer: Layer): NamesIn {
  const known = NAMES.get(layer);
  if (known !== undefined) return known;
  const columns = columnsOf(layer.fields);
  const valueAt = (at: number, field: TreeField): unknown =>
    columns.has(field) ? layer.value(at, columns.get(field)!) : undefined;
  const names = Array.from({ length: layer.count }, (_, at) => {
    const texts = [valueAt(at, 'id'), layer.id(at), valueAt(at, 'tag')].map((text) => String(text ?? '').trim());
    return texts.find((text) => text !== '') ?? '';
  });
  const count = new Map<string, number>();
  for (const name of names) count.set(name, (count.get(name) ?? 0) + 1);
  const found = { names, count };
  NAMES.set(layer, found);
  return found;
}
