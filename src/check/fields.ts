// Field resolution: in: a layer's field names, the contract's fields and the user's mapping; out: per canonical
// field the source fields to read, each with its unit. Done once a layer, never per value.
// Terms: source field = a name in the file; mapping = { dbh: 'DIAM', 'works.depth': 'D:ft' }; `-` leaves a field out.

import type { Layer, LayerRole } from '../model/index.js';
import { type Finding, finding, type LengthUnit, METRES_PER, UNIT_WORDS, unitNamed } from '../model/index.js';
import { missingField, optionName, plainName, unitOfName, unknownField } from './field-errors.js';
import type { FieldSpec } from './field-table.js';

export interface SourceField {
  readonly name: string;
  readonly metresPerUnit: number; // NaN: the unit is not said
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
  readonly unit: LengthUnit | null;
}

/**
 * Resolves the fields of one or more layers of a role (a mapped field must be in at least one of them).
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
    const mapping = mappingOf(layers, value, named.unit);
    if (mapping === undefined && layers.some((layer) => layer.count > 0)) throw missingField(layers, role, key, value);
    if (mapping !== undefined) out.set(named.field, mapping);
  }
  return out;
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
    if (named === undefined || mappings.has(named.field)) continue;
    const spec = table[named.field];
    const unit = named.unit ?? (spec.unit === 'diameter' ? (dbhUnit ?? null) : null);
    const list = found[named.field] ?? [];
    list.push({ name, metresPerUnit: unit === null ? Number.NaN : METRES_PER[unit] });
    found[named.field] = list;
  }
  for (const field of Object.keys(found) as F[]) dropUnitless(layer, field, table[field], found, findings);
  for (const [field, mapping] of mappings) {
    const name = sourceIn(layer, mapping.source);
    if (name === undefined) continue;
    const spec = table[field];
    const unit = mapping.unit ?? unitOfName(name) ?? (spec.unit === 'diameter' ? (dbhUnit ?? null) : null);
    found[field] = [{ name, metresPerUnit: unit === null ? Number.NaN : METRES_PER[unit] }];
    const told = spec.unit === undefined || unit === null ? '' : `, in ${UNIT_WORDS[unit]}`;
    findings.push(
      finding(
        'field-mapped',
        { layer: layer.name, path: `properties.${name}` },
        `field ${name} was read as ${field}${told}`,
        `change --field ${optionName(role, field)}=... if that is not what you meant`,
      ),
    );
  }
  return found;
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

/** "DBH (in)" -> dbh, inches; "Common name" -> common_name; undefined when it is none of the table's fields. */
export function canonicalOf<F extends string>(
  name: string,
  table: Readonly<Record<F, FieldSpec>>,
): { readonly field: F; readonly unit: LengthUnit | null } | undefined {
  const plain = plainName(name);
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
