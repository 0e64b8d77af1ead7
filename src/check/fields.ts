// Field resolution: in: a layer's field names, the contract's fields and the user's mapping; out: per canonical
// field the source fields to read, each with its unit. Done once a layer, never per value.
// Terms: source field = a name in the file; mapping = { dbh: 'DIAM', 'works.depth': 'D:ft' }; `-` leaves a field out.

import type { Layer, LayerRole } from '../model/index.js';
import { type Finding, finding, type LengthUnit, METRES_PER, UNIT_WORDS, unitNamed } from '../model/index.js';
import { missingField, optionName, unknownField } from './field-errors.js';
import { plainName, unitOfName } from './field-names.js';
import type { FieldSpec } from './field-table.js';
import { labelSources } from './labels.js';
import { stemSeries } from './stem-columns.js';

export interface SourceField {
  readonly name: string;
  readonly metresPerUnit: number; // NaN: the unit is not stated
  /** Further columns of the same tree, a stem in each. */
  readonly also?: readonly SourceField[];
}

/** Canonical field -> its source fields, in the order they are asked. */
export type Sources<F extends string> = Readonly<Partial<Record<F, readonly SourceField[]>>>;

export interface FieldOptions {
  readonly dbhUnit?: LengthUnit;
  readonly fields?: Readonly<Record<string, string>>;
  /**
   * Which stage handles trees without a diameter. `required` (default): such a tree is rejected here, and so is a layer
   * without any field for it. `field`: the layer must have the field, single rows are left to the rule. `optional`:
   * both are left to the rule, which may size zones from crowns alone.
   */
  readonly diameter?: 'required' | 'field' | 'optional';
  /** Layers whose coordinates are longitudes and latitudes: their rings may run across 180 degrees. */
  readonly degrees?: ReadonlySet<Layer>;
}

const ROLES: readonly LayerRole[] = ['trees', 'works', 'existing', 'lots', 'zones', 'crowns', 'limbs'];

interface Mapping {
  readonly source: string; // as given, unit cut off where it was one
  /** Further columns, of a list: stems=A,B,C. */
  readonly also?: readonly Mapping[];
  readonly unit: LengthUnit | null;
}

/**
 * Resolves the fields of one or more layers of a role. At least one of them must have a mapped field.
 * Throws InputError: `field-unknown` (usage) for a contract field that does not exist, `field-missing` for a source
 * field that no layer has.
 */
export function resolveFields<F extends string>(
  layers: readonly Layer[],
  role: LayerRole,
  table: Readonly<Record<F, FieldSpec>>,
  options: FieldOptions,
  findings: Finding[],
): Sources<F>[] {
  const mappings = readMappings(layers, role, table, options.fields ?? {});
  return layers.map((layer) => resolveLayer(layer, role, table, mappings, options.dbhUnit, findings));
}

function readMappings<F extends string>(
  layers: readonly Layer[],
  role: LayerRole,
  table: Readonly<Record<F, FieldSpec>>,
  fields: Readonly<Record<string, string>>,
): Map<F, Mapping> {
  const out = new Map<F, Mapping>();
  for (const [key, value] of Object.entries(fields)) {
    const dot = key.indexOf('.');
    const prefix = dot < 0 ? 'trees' : key.slice(0, dot).toLowerCase();
    if (!ROLES.includes(prefix as LayerRole)) throw unknownField(key, role, table);
    if (prefix !== role) continue;
    const named = canonicalOf(dot < 0 ? key : key.slice(dot + 1), table);
    if (named === undefined) throw unknownField(key, role, table);
    const lists = table[named.field].value === 'lengths';
    const mapping = (lists ? listOf(layers, value, named.unit) : undefined) ?? mappingOf(layers, value, named.unit);
    if (mapping === undefined && layers.some((layer) => layer.count > 0)) throw missingField(layers, role, key, value);
    if (mapping !== undefined) out.set(named.field, mapping);
  }
  return out;
}

/** Several columns, each a stem of one tree: A,B,C. Undefined where it is one column, or one of them is not there. */
function listOf(layers: readonly Layer[], value: string, unit: LengthUnit | null): Mapping | undefined {
  if (!value.includes(',') || mappingOf(layers, value, unit) !== undefined) return undefined;
  const all = value.split(',').map((one) => mappingOf(layers, one.trim(), unit));
  const [first, ...also] = all;
  return first === undefined || also.includes(undefined) ? undefined : { ...first, also: also as Mapping[] };
}

function mappingOf(layers: readonly Layer[], value: string, unit: LengthUnit | null): Mapping | undefined {
  if (value === '-') return { source: '-', unit: null };
  if (layers.some((layer) => sourceIn(layer, value) !== undefined)) return { source: value, unit };
  const colon = value.lastIndexOf(':');
  if (colon < 0) return undefined;
  const source = value.slice(0, colon);
  const stated = unitNamed(value.slice(colon + 1));
  if (stated === undefined || !layers.some((layer) => sourceIn(layer, source) !== undefined)) return undefined;
  return { source, unit: stated };
}

/** A field of the layer by name; capital letters count only where two fields differ by nothing else. */
function sourceIn(layer: Layer, name: string): string | undefined {
  if (layer.fields.includes(name)) return name;
  const low = name.toLowerCase();
  return layer.fields.find((field) => field.toLowerCase() === low);
}

function resolveLayer<F extends string>(
  layer: Layer,
  role: LayerRole,
  table: Readonly<Record<F, FieldSpec>>,
  mappings: ReadonlyMap<F, Mapping>,
  dbhUnit: LengthUnit | undefined,
  findings: Finding[],
): Sources<F> {
  const found: Partial<Record<F, SourceField[]>> = {};
  for (const name of layer.fields) {
    const named = canonicalOf(name, table);
    if (named === undefined || isMapped(layer, mappings.get(named.field))) continue;
    const spec = table[named.field];
    const unit = named.unit ?? (spec.unit === 'diameter' ? (dbhUnit ?? null) : null);
    const list = found[named.field] ?? [];
    list.push({ name, metresPerUnit: unit === null ? Number.NaN : METRES_PER[unit] });
    found[named.field] = list;
  }
  if (role === 'trees') findTreeColumns(layer, found, mappings, dbhUnit, findings);
  for (const field of Object.keys(found) as F[]) dropUnitless(layer, field, table[field], found, findings);
  for (const [field, mapping] of mappings) {
    const name = sourceIn(layer, mapping.source);
    if (name === undefined) continue;
    const spec = table[field];
    const sourceOf = (one: Mapping, own: string): SourceField & { readonly unit: LengthUnit | null } => {
      const unit = one.unit ?? unitOfName(own) ?? (spec.unit === 'diameter' ? (dbhUnit ?? null) : null);
      return { name: own, metresPerUnit: unit === null ? Number.NaN : METRES_PER[unit], unit };
    };
    const { unit, ...source } = sourceOf(mapping, name);
    const also = (mapping.also ?? []).flatMap((one) => {
      const own = sourceIn(layer, one.source);
      return own === undefined ? [] : [sourceOf(one, own)];
    });
    found[field] = [also.length === 0 ? source : { ...source, also }];
    const told = spec.unit === undefined || unit === null ? '' : `, in ${UNIT_WORDS[unit]}`;
    findings.push(
      finding(
        'field-mapped',
        { layer: layer.name, path: `properties.${name}` },
        also.length === 0
          ? `field ${name} was read as ${field}${told}`
          : `fields ${[name, ...also.map((one) => one.name)].join(', ')} were read as the stems of one tree${told}`,
        `change --field ${optionName(role, field)}=... if that is not what you meant`,
      ),
    );
  }
  return found;
}

/** A mapping replaces a layer's own names where the layer has its column; `-` leaves them out of every layer. */
function isMapped(layer: Layer, mapping: Mapping | undefined): boolean {
  return mapping !== undefined && (mapping.source === '-' || sourceIn(layer, mapping.source) !== undefined);
}

/** Columns of trees that are known by more than a name of the contract: stems in a series, labels. */
function findTreeColumns<F extends string>(
  layer: Layer,
  found: Partial<Record<F, SourceField[]>>,
  mappings: ReadonlyMap<string, Mapping>,
  dbhUnit: LengthUnit | undefined,
  findings: Finding[],
): void {
  const into = found as Partial<Record<string, SourceField[]>>;
  const mapped = new Set(
    [...mappings.values()].flatMap((one) => [one, ...(one.also ?? [])]).map(({ source }) => source),
  );
  const series = stemSeries(layer.fields, 'sure');
  if (series.length > 0 && !mappings.has('stems') && !series.some((name) => mapped.has(name))) {
    const [first, ...also] = series.map((name) => {
      const unit = unitOfName(name) ?? dbhUnit ?? null;
      return { name, metresPerUnit: unit === null ? Number.NaN : METRES_PER[unit] };
    });
    into.stems = [...(into.stems ?? []), { ...first!, also }];
    const message = `fields ${series.join(', ')} were read as the stems of one tree`;
    const cure = 'if they are not, leave them out with --field stems=- and name the diameter with --field dbh=NAME';
    findings.push(finding('field-mapped', { layer: layer.name, path: `properties.${series[0]}` }, message, cure));
  }
  if (!mappings.has('tag')) {
    const labels = labelSources(layer).filter(({ name }) => !mapped.has(name));
    if (labels.length > 0) into.tag = [...(into.tag ?? []), ...labels];
  }
}

/** Where dbh_in and dbh both stand, the one that says its unit is enough; the other is left out, with a finding. */
function dropUnitless<F extends string>(
  layer: Layer,
  field: F,
  spec: FieldSpec,
  found: Partial<Record<F, SourceField[]>>,
  findings: Finding[],
): void {
  const list = found[field] ?? [];
  if (spec.unit === undefined || !list.some((source) => !Number.isNaN(source.metresPerUnit))) return;
  for (const source of list.filter((s) => Number.isNaN(s.metresPerUnit))) {
    findings.push(
      finding(
        'field-mapped',
        { layer: layer.name, path: `properties.${source.name}` },
        `field ${source.name} was left out: another field gives ${field} with its unit`,
        `name its unit (${source.name}_in, ${source.name}_cm, ...) to have it read too`,
      ),
    );
  }
  found[field] = list.filter((source) => !Number.isNaN(source.metresPerUnit));
}

/** Other spellings of a field's name. */
const SAME_FIELD: Readonly<Record<string, string>> = {
  vigor: 'vigour',
  crown_density: 'crown_density_pct',
  dieback: 'dieback_pct',
  lean: 'lean_deg',
  years_left: 'remaining_years',
  cavity: 'cavities',
  deadwood: 'dead_wood',
  codominant_stems: 'codominant',
  co_dominant_stems: 'codominant',
  soil_type: 'soil',
  soil_texture: 'soil',
};

/** "DBH (in)" -> dbh, inches; "Common name" -> common_name; undefined when it is none of the table's fields. */
export function canonicalOf<F extends string>(
  name: string,
  table: Readonly<Record<F, FieldSpec>>,
): { readonly field: F; readonly unit: LengthUnit | null } | undefined {
  const said = plainName(name);
  const plain = Object.hasOwn(SAME_FIELD, said) && !Object.hasOwn(table, said) ? SAME_FIELD[said]! : said;
  if (Object.hasOwn(table, plain)) return { field: plain as F, unit: null };
  const pieces = plain.split('_');
  for (const units of [1, 2]) {
    const base = pieces.slice(0, -units).join('_');
    if (base === '' || !Object.hasOwn(table, base) || table[base as F].unit === undefined) continue;
    const unit = unitNamed(pieces.slice(-units).join('-'));
    if (unit !== undefined) return { field: base as F, unit };
  }
  return undefined;
}
