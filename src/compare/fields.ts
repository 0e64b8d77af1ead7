// Own properties of a feature, before and after. In: two files and one of their roles; out: for a pair of rows the fields that
// are not the same. Terms: plain value = a value as text, so that 12.50 and "12.5" are one and blank is none; one-sided = a
// column that only one of the files has: told once, not tree by tree. Cost: the columns for each pair.

import { canonicalOf, TREE_FIELDS, WORKS_FIELDS } from '../check/index.js';
import { type FieldChange, type Finding, finding } from '../model/index.js';
import { POSITION_NAMES } from '../read/index.js';
import { counted } from '../text/index.js';
import type { Opened, Row } from './submission.js';

/** What a reader adds to a table beside its own columns. */
const ADDED: ReadonlySet<string> = new Set(['fid', 'feature_id']);

/** An own column, and the field of the contract that it is. */
interface Column {
  readonly name: string;
  readonly field: string | null;
}

export interface OwnFields {
  /** The columns of both files whose values are compared. */
  readonly columns: readonly Column[];
  readonly findings: readonly Finding[];
}

/** The own columns of a role in two files. */
export function ownFields(before: Opened, after: Opened, role: 'trees' | 'works' | 'existing'): OwnFields {
  const [earlier, later] = [namesOf(before, role), namesOf(after, role)];
  const table: Parameters<typeof canonicalOf>[1] = role === 'trees' ? TREE_FIELDS : WORKS_FIELDS;
  const fieldOf = (name: string): string | null =>
    mappedTo(before, role, name) ?? mappedTo(after, role, name) ?? canonicalOf(name, table)?.field ?? null;
  const columns: Column[] = [];
  const findings: Finding[] = [];
  for (const name of new Set([...earlier.keys(), ...later.keys()])) {
    const field = fieldOf(name);
    const given = [earlier.get(name) ?? 0, later.get(name) ?? 0];
    const isOneSided = given[0] === 0 || given[1] === 0;
    if (!isOneSided || (field !== null && earlier.has(name) && later.has(name))) columns.push({ name, field });
    else if (given[0] !== given[1]) findings.push(oneSided(before, after, name, role, given));
  }
  return { columns, findings };
}

/** Own columns and how many rows fill them. */
function namesOf(file: Opened, role: 'trees' | 'works' | 'existing'): Map<string, number> {
  const out = new Map<string, number>();
  for (const { layer, at } of file[role]) {
    for (const [name, value] of Object.entries(layer.properties(at))) {
      if (name.startsWith(file.prefix) || ADDED.has(name) || POSITION_NAMES.has(name.toLowerCase())) continue;
      out.set(name, (out.get(name) ?? 0) + (plainValue(value) === null ? 0 : 1));
    }
  }
  return out;
}

/** The field that `--field` gave a column to. */
function mappedTo({ provenance }: Opened, role: string, name: string): string | null {
  const options = provenance?.options;
  const fields =
    typeof options === 'object' && options !== null && 'fields' in options ? (options.fields as object | null) : null;
  for (const [field, source] of Object.entries(fields ?? {})) {
    const [of, rest] = field.includes('.') ? field.split('.', 2) : ['trees', field];
    if (of === role && typeof source === 'string' && source.split(':')[0] === name) return rest ?? null;
  }
  return null;
}

function oneSided(
  before: Opened,
  after: Opened,
  name: string,
  role: string,
  [earlier = 0, later = 0]: readonly number[],
): Finding {
  const only = earlier > 0 ? before.name : after.name;
  const noun = role === 'trees' ? 'tree' : 'feature';
  return finding(
    'compare-field',
    { layer: only, path: `properties.${name}` },
    `the field ${name} of the ${role} is filled in ${only} alone (${counted(earlier + later, noun)}): it was not compared`,
    'compare by hand if it matters, or assess the other survey with the field in it',
  );
}

/** The fields of a pair that are not the same. */
export function changedFields(columns: readonly Column[], before: Row, after: Row): FieldChange[] {
  const out: FieldChange[] = [];
  for (const { name, field } of columns) {
    const [a, b] = [plainValue(before.layer.value(before.at, name)), plainValue(after.layer.value(after.at, name))];
    if (a !== b) out.push({ field: name, is: field, quantity: 'plain', before: a, after: b });
  }
  return out;
}

/** All own fields that are compared, as one text. */
export function ownText(columns: readonly Column[], { layer, at }: Row): string {
  return columns.map(({ name }) => plainValue(layer.value(at, name)) ?? '').join('\t');
}

const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;
/** A longer number is a code: as a number it would lose digits. */
const DIGITS = 15;

/** One value as text; null where nothing is given. */
export function plainValue(value: unknown): string | null {
  switch (typeof value) {
    case 'string': {
      const text = value.trim();
      if (text === '') return null;
      // a zero in front makes a code of it: 007
      const isNumber = text.length <= DIGITS && NUMBER.test(text) && !/^[+-]?0\d/.test(text);
      return isNumber ? String(Number(text) + 0) : text;
    }
    case 'number':
      return Number.isFinite(value) ? String(value + 0) : null;
    case 'bigint':
    case 'boolean':
      return String(value);
    default:
      return value === null || typeof value !== 'object' ? null : JSON.stringify(value);
  }
}
