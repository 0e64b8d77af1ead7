// Which column of a file is which field. In: the layers of a role, what is mapped so far; out: a row a field with what is read,
// what `check` proposes and the first values; the mapping once a person has chosen. Terms: mapping = as `--field` takes it,
// `{ dbh: 'TRUNK:in', 'works.depth': 'D' }`; named = read by its own name, without a mapping; proposed = not in use until it is
// chosen. No browser here. Linear in the layer: the proposal of a unit looks at every figure.

import { unitOfName } from '../../check/field-names.js';
import { type FieldSpec, LOT_FIELDS } from '../../check/field-table.js';
import { canonicalOf, labelSources, likelyFields, sizeColumns, TREE_FIELDS, WORKS_FIELDS } from '../../check/index.js';
import { stemSeries } from '../../check/stem-columns.js';
import { fieldNeed, unitNeeds } from '../../describe/needs.js';
import type { AssessOptions, Layer, LengthUnit } from '../../model/index.js';
import { unitNamed } from '../../model/index.js';

export type MappedRole = 'trees' | 'works' | 'existing' | 'lots';
export type Mapping = Readonly<Record<string, string>>;
export type LayersByRole = Readonly<Record<MappedRole, readonly Layer[]>>;

export const UNITS: readonly LengthUnit[] = ['in', 'cm', 'mm', 'm', 'ft'];
const SAMPLES = 5;

interface Listed {
  readonly specs: Readonly<Record<string, FieldSpec>>;
  readonly titles: Readonly<Record<string, string>>;
}

const WORKS_TITLES = { id: 'Name', kind: 'Kind', width: 'Width', depth: 'Depth', height: 'Height' };

/** The fields that figures and verdicts hang on; others are mapped on the command line. */
const LISTED: Readonly<Record<MappedRole, Listed>> = {
  trees: {
    specs: TREE_FIELDS,
    titles: {
      id: 'Name',
      tag: 'Tag',
      dbh: 'Trunk diameter',
      girth: 'Girth',
      stems: 'Several stems',
      species: 'Species',
      disposition: 'Kept or removed',
      crown_radius: 'Crown radius',
      crown_spread: 'Crown spread',
      height: 'Height',
      crown_base: 'Height of the crown’s base',
      condition: 'Condition',
      category: 'Category',
    },
  },
  works: { specs: WORKS_FIELDS, titles: WORKS_TITLES },
  existing: { specs: WORKS_FIELDS, titles: { kind: 'Kind', width: 'Width' } },
  lots: { specs: LOT_FIELDS, titles: { id: 'Name' } },
};

/** A column, or several of stems with commas between, and the unit that was said of it; '' = none. */
export interface Chosen {
  readonly column: string;
  readonly unit: LengthUnit | '';
}

export interface ColumnRow {
  /** As `--field` takes it: `dbh`, `works.depth`. */
  readonly field: string;
  readonly title: string;
  /** Whether it is a length, so that a unit can be said. */
  readonly isLength: boolean;
  /** What can be chosen beside none. */
  readonly columns: readonly string[];
  /** Read without a mapping; '' where no column has the field's name. */
  readonly named: string;
  /** In use, by name or by mapping. */
  readonly used: Chosen;
  /** What `check` would write; null where it writes nothing, or where it is in use. */
  readonly proposed: Chosen | null;
}

/** A row for each field of a role that is listed; none while the role has no layer with columns. */
export function columnRows(
  role: MappedRole,
  layers: readonly Layer[],
  fields: Mapping,
  dbhUnit: LengthUnit | '' = '',
): ColumnRow[] {
  const own = columnsOf(layers);
  if (own.length === 0) return [];
  const { specs, titles } = LISTED[role];
  const proposals = proposalsOf(role, layers, fields, dbhUnit);
  return Object.entries(titles).map(([name, title]) => {
    const field = role === 'trees' ? name : `${role}.${name}`;
    const named = namedColumn(role, layers, name, specs);
    const said = fields[field];
    const used: Chosen = said === undefined ? { column: named, unit: '' } : chosenOf(said, own);
    const asked = proposals[field];
    const other = asked === undefined ? used : chosenOf(asked, own);
    const proposed = other.column === used.column && other.unit === used.unit ? null : other;
    const lists = [used.column, proposed?.column ?? '', named].filter((one) => one !== '' && !own.includes(one));
    return {
      field,
      title,
      isLength: specs[name]?.unit !== undefined,
      columns: [...new Set([...lists, ...own])],
      named,
      used,
      proposed,
    };
  });
}

/** The mapping with one field chosen anew; a field that is read by its name needs none. */
export function withColumn(fields: Mapping, { field, named }: ColumnRow, { column, unit }: Chosen): Mapping {
  const { [field]: _, ...others } = fields;
  if (column === named && unit === '') return others;
  if (column === '') return { ...others, [field]: '-' };
  const parts = isList(field, column) ? column.split(',') : [column];
  return { ...others, [field]: parts.map((part) => (unit === '' ? part : `${part}:${unit}`)).join(',') };
}

/** The mapping with everything that is proposed. */
export function withProposals(fields: Mapping, rows: readonly ColumnRow[]): Mapping {
  return rows.reduce((now, row) => (row.proposed === null ? now : withColumn(now, row, row.proposed)), fields);
}

/** The column that a field is mapped to, where the layer has it: what is drawn goes into it. */
export function mappedColumn(layer: Layer | undefined, fields: Mapping, field: string): string | undefined {
  const said = fields[field];
  const { column } = said === undefined ? { column: '' } : chosenOf(said, layer?.fields ?? []);
  return column === '' ? undefined : column;
}

/** The first values of a column as the file has them; of several columns, beside each other. */
export function samplesOf(layers: readonly Layer[], column: string): string[] {
  if (column === '') return [];
  const layer = layers.find(({ fields }) => fields.includes(column)) ?? layers.find(({ count }) => count > 0);
  if (layer === undefined) return [];
  const parts = layer.fields.includes(column) ? [column] : column.split(',');
  return Array.from({ length: Math.min(SAMPLES, layer.count) }, (_, row) =>
    parts.map((part) => shownCell(layer.value(row, part))).join('; '),
  );
}

/** Mappings whose columns a layer of their role still has: those of a file that is gone would be refused. */
export function usable(fields: Mapping, layers: LayersByRole): Mapping {
  return Object.fromEntries(
    Object.entries(fields).filter(([field, said]) => {
      const own = columnsOf(layers[roleOf(field)] ?? []);
      return own.length > 0 && (said === '-' || chosenOf(said, own).column !== '');
    }),
  );
}

/** What the page calls a field as `--field` names it; undefined where it lists none such. */
export function titleOf(field: string): string | undefined {
  const role = roleOf(field);
  const { titles } = LISTED[role];
  const name = role === 'trees' ? field : field.slice(role.length + 1);
  return Object.hasOwn(titles, name) ? titles[name] : undefined;
}

/** The role that a field, or the word of a field, belongs to. */
export function roleOf(key: string): MappedRole {
  const prefix = key.slice(0, Math.max(key.indexOf('.'), 0));
  return prefix === 'works' || prefix === 'existing' || prefix === 'lots' ? prefix : 'trees';
}

/** `dbh=TRUNK:in`, as the command line and a job file take a mapping. */
export function textsOf(mapping: Mapping): string[] {
  return Object.entries(mapping).map(([key, value]) => `${key}=${value}`);
}

/** The same read again: one text or a list. `at` says which equals sign parts: the first of fields, the last of words. */
export function mappingFrom(value: unknown, at: 'first' | 'last'): Mapping {
  const texts = (Array.isArray(value) ? (value as unknown[]) : [value]).filter((one) => typeof one === 'string');
  return Object.fromEntries(
    texts.flatMap((text): [string, string][] => {
      const equals = at === 'first' ? text.indexOf('=') : text.lastIndexOf('=');
      return equals < 1 ? [] : [[text.slice(0, equals), text.slice(equals + 1)]];
    }),
  );
}

function columnsOf(layers: readonly Layer[]): string[] {
  return [...new Set(layers.flatMap(({ fields }) => fields))];
}

function isList(field: string, column: string): boolean {
  return field === 'stems' && column.includes(',');
}

/** A mapping's text as column and unit; the column is '' where it leaves the field out, or no layer has it. */
function chosenOf(said: string, own: readonly string[]): Chosen {
  if (own.includes(said)) return { column: said, unit: '' };
  const low = (name: string): string | undefined => own.find((one) => one.toLowerCase() === name.toLowerCase());
  const parts = said.split(',').map((part) => {
    const colon = part.lastIndexOf(':');
    const unit = colon < 0 ? undefined : unitNamed(part.slice(colon + 1));
    return { column: low(part.trim()) ?? low(part.slice(0, Math.max(colon, 0)).trim()), unit };
  });
  if (parts.length === 1 || parts.some(({ column }) => column === undefined)) {
    const colon = said.lastIndexOf(':');
    const unit = colon < 0 ? undefined : unitNamed(said.slice(colon + 1));
    const whole = low(said);
    if (whole !== undefined) return { column: whole, unit: '' };
    return { column: unit === undefined ? '' : (low(said.slice(0, colon)) ?? ''), unit: unit ?? '' };
  }
  return { column: parts.map(({ column }) => column).join(','), unit: parts[0]?.unit ?? '' };
}

/** The column that is read as a field by its own name. */
function namedColumn(role: MappedRole, layers: readonly Layer[], field: string, specs: Listed['specs']): string {
  for (const layer of layers) {
    const name = layer.fields.find((one) => canonicalOf(one, specs)?.field === field);
    if (name !== undefined) return name;
    if (role === 'trees' && field === 'stems') {
      const series = stemSeries(layer.fields, 'sure');
      if (series.length > 0) return series.join(',');
    }
    if (role === 'trees' && field === 'tag') {
      const [label] = labelSources(layer);
      if (label !== undefined) return label.name;
    }
  }
  return '';
}

/** What `check` would write of a role's fields, a unit with each where its figures fit one alone. */
function proposalsOf(role: MappedRole, layers: readonly Layer[], fields: Mapping, dbhUnit: LengthUnit | ''): Mapping {
  const options: AssessOptions = { fields, ...(dbhUnit === '' ? {} : { dbhUnit }) };
  const found: Record<string, string> = {};
  for (const layer of layers) {
    if (layer.count === 0) continue;
    const likely = likelyFields(layer, role).filter(({ field }) => fields[field] === undefined);
    const sizes = role === 'trees' ? sizeColumns(layer, options.dbhUnit) : [];
    // A mapping of another layer of the role: nothing is proposed beside it.
    const own = Object.fromEntries(
      Object.entries(fields).filter(
        ([field, said]) => roleOf(field) === role && chosenOf(said, layer.fields).column !== '',
      ),
    );
    const { needs } = unitNeeds(role, layer, { ...options, fields: own }, likely, sizes);
    for (const { option, value } of [...likely.flatMap(fieldNeed), ...needs]) {
      const equals = value.indexOf('=');
      const [field, said] = [value.slice(0, equals), value.slice(equals + 1)];
      if (option === '--field' && said !== '-' && said !== 'NAME') found[field] ??= said;
      if (option === '--dbh-unit' && value !== 'UNIT') addUnit(found, fields, layer, value as LengthUnit);
    }
  }
  return found;
}

/** The unit that diameters are most probably in, at the one column of them that does not say it. */
function addUnit(found: Record<string, string>, fields: Mapping, layer: Layer, unit: LengthUnit): void {
  for (const field of ['dbh', 'girth', 'stems']) {
    const said = found[field] ?? fields[field] ?? namedColumn('trees', [layer], field, TREE_FIELDS);
    if (said === '' || said === '-' || said.includes(',')) continue;
    const { column, unit: own } = chosenOf(said, layer.fields);
    if (column === '' || own !== '' || unitOfName(column) !== undefined) continue;
    found[field] = `${column}:${unit}`;
    return;
  }
}

function shownCell(value: unknown): string {
  if (value === null || value === undefined || Number.isNaN(value)) return '';
  const text = typeof value === 'object' ? JSON.stringify(value) : String(value);
  return text.length > 24 ? `${text.slice(0, 23)}…` : text;
}
