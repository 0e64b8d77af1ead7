// Errors for a person whose fields can't be used: in: a layer and what was asked of it; out: InputErrors that name
// the file, the field and the option to give.
// Terms: as in fields.ts.

import type { Layer, LayerRole } from '../model/index.js';
import { InputError, type LengthUnit, METRES_PER, unitNamed } from '../model/index.js';
import { unitOfName } from './field-names.js';
import type { FieldSpec } from './field-table.js';
import { stemSeries } from './stem-columns.js';
import { figure, listNames, nearestName } from './suggest.js';
import { readLength, UNITLESS, UNREADABLE } from './values.js';

/** `--field dbh=DIAM` for trees, `--field works.depth=D` for the rest. */
export function optionName(role: LayerRole, field: string): string {
  return role === 'trees' ? field : `${role}.${field}`;
}

/** For a contract field that does not exist (usage). */
export function unknownField<F extends string>(
  key: string,
  role: LayerRole,
  table: Readonly<Record<F, FieldSpec>>,
): InputError {
  const known = Object.keys(table).map((field) => optionName(role, field));
  const near = nearestName(key, known);
  return new InputError('field-unknown', `there is no field "${key}" to map; fields are: ${listNames(known)}`, {
    cure:
      near === undefined ? `use one of them, or works.depth and the like for another layer` : `did you mean "${near}"?`,
    usage: true,
  });
}

/** For a mapped source field that no layer has. */
export function missingField(layers: readonly Layer[], role: LayerRole, key: string, value: string): InputError {
  const names = [...new Set(layers.flatMap((layer) => layer.fields))];
  const colon = value.lastIndexOf(':');
  const asked = colon > 0 && unitNamed(value.slice(colon + 1)) !== undefined ? value.slice(0, colon) : value;
  const near = nearestName(asked, names);
  const files = layers.map((layer) => layer.name).join(', ');
  return new InputError('field-missing', `${files} has no field "${asked}"; fields are: ${listNames(names)}`, {
    layer: layers[0]?.name ?? role,
    path: `properties.${asked}`,
    cure: near === undefined ? `give --field ${key}= one of them` : `did you mean --field ${key}=${near}?`,
  });
}

/** The error for a field that holds bare numbers while nothing says their unit. */
export function unitMissing(layer: Layer, role: LayerRole, field: string, spec: FieldSpec, source: string): InputError {
  let low = Number.POSITIVE_INFINITY;
  let high = 0;
  for (let f = 0; f < layer.count; f++) {
    const value = readLength(layer.properties(f)[source], 1);
    if (!(value > 0) || value === UNITLESS || value === UNREADABLE) continue;
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  const range = high > 0 ? ` (values ${figure(low)} to ${figure(high)})` : '';
  const where = { layer: layer.name, path: `properties.${source}` };
  const message = `${layer.name}: field ${source} does not say its unit${range}`;
  if (spec.unit === 'diameter') {
    const units = (['in', 'cm', 'mm', 'm', 'ft'] as const).filter((u) => {
      const girth = field === 'girth' ? Math.PI : 1;
      return high > 0 && (low * METRES_PER[u]) / girth >= 0.01 && (high * METRES_PER[u]) / girth <= 6;
    });
    const hint =
      units.length === 0
        ? ''
        : `; by the size of the values it could be ${units.join(' or ')}, but units are never guessed`;
    return new InputError('unit-missing', message + hint, {
      ...where,
      cure: `add --dbh-unit in (or cm, mm, m, ft), or name the field ${field}_in, ${field}_cm or ${field}_mm`,
    });
  }
  const key = optionName(role, field);
  return new InputError('unit-missing', message, {
    ...where,
    cure: `add --field ${key}=${source}:ft (or :m, :in, :cm), name the field ${field}_ft or ${field}_m, or leave it out with --field ${key}=-`,
  });
}

/** The error for a tree layer that gives no size of any kind. */
export function diameterFieldMissing(layer: Layer, dbhUnit: LengthUnit | undefined): InputError {
  const likely = layer.fields.filter((name) => /dbh|dia|trunk|calip|girth|circ|stem|bole/i.test(name));
  const series = stemSeries(layer.fields, 'likely');
  const first = likely[0];
  const unit = dbhUnit === undefined ? ' --dbh-unit in (or cm, mm)' : '';
  const girth = first !== undefined && /girth|circ/i.test(first) ? 'girth' : 'dbh';
  const cure =
    series.length > 0
      ? `add --field stems=${series.join(',')}${unitOfName(series[0]!) === undefined ? unit : ''}`
      : first === undefined
        ? `name the field that holds the trunk diameter: --field dbh=NAME${unit}`
        : `add --field ${girth}=${first}${unitOfName(first) === undefined ? unit : ''}`;
  const maybe = likely.length === 0 ? '' : `; likely: ${listNames(likely)}`;
  return new InputError(
    'dbh-field-missing',
    `${layer.name} has no field for the trunk diameter (dbh_in, dbh_cm, ...); its fields are: ${listNames(layer.fields)}${maybe}`,
    { layer: layer.name, cure },
  );
}
