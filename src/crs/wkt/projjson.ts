// In: PROJJSON, parsed or not; out: the same as a WKT 2 tree, so that there is one reader for both.
// Terms: node as in wkt-tree.ts. Only what places a position is carried over; scope, area and remarks are not.

import type { WktNode, WktValue } from './wkt-tree.js';

type Json = Readonly<Record<string, unknown>>;

const TYPES: Readonly<Record<string, string>> = {
  ProjectedCRS: 'PROJCRS',
  GeographicCRS: 'GEOGCRS',
  GeodeticCRS: 'GEODCRS',
  CompoundCRS: 'COMPOUNDCRS',
  BoundCRS: 'BOUNDCRS',
  DerivedGeodeticCRS: 'DERIVEDGEOGCRS',
  DerivedGeographicCRS: 'DERIVEDGEOGCRS',
  DerivedProjectedCRS: 'DERIVEDPROJCRS',
  EngineeringCRS: 'ENGCRS',
  VerticalCRS: 'VERTCRS',
  TemporalCRS: 'TIMECRS',
  ParametricCRS: 'PARAMETRICCRS',
};

/**
 * A PROJJSON coordinate system as a WKT 2 tree; undefined when the value is none.
 *
 * @example
 * projjsonTree({ type: 'GeographicCRS', name: 'WGS 84', ... })?.keyword; // 'GEOGCRS'
 */
export function projjsonTree(value: unknown): WktNode | undefined {
  return crs(value, 0);
}

function crs(value: unknown, depth: number, keyword?: string): WktNode | undefined {
  const json = objectOf(value);
  const word = keyword ?? TYPES[textOf(json?.type)];
  if (json === undefined || word === undefined || depth > 8) return undefined;
  const inner = (key: string, as: string): WktNode[] => {
    const one = crs(json[key], depth + 1);
    return one === undefined ? [] : [node(as, one)];
  };
  const components = listOf(json.components).map((one) => crs(one, depth + 1));
  const base = crs(json.base_crs, depth + 1, 'BASEGEOGCRS');
  return node(
    word,
    textOf(json.name),
    ...inner('source_crs', 'SOURCECRS'),
    ...inner('target_crs', 'TARGETCRS'),
    ...components,
    base,
    datum(json),
    primeMeridian(json),
    operation('CONVERSION', json.conversion),
    operation('ABRIDGEDTRANSFORMATION', json.transformation),
    ...coordinateSystem(json.coordinate_system),
    ...ids(json),
  );
}

function datum(json: Json): WktNode | undefined {
  const ensemble = objectOf(json.datum_ensemble);
  const one = ensemble ?? objectOf(json.datum);
  if (one === undefined) return undefined;
  return node(ensemble === undefined ? 'DATUM' : 'ENSEMBLE', textOf(one.name), ellipsoid(one.ellipsoid));
}

function ellipsoid(value: unknown): WktNode | undefined {
  const json = objectOf(value);
  if (json === undefined) return undefined;
  const a = measured(json.semi_major_axis ?? json.radius, 'metre');
  const b = measured(json.semi_minor_axis, 'metre');
  const rf = numberOf(json.inverse_flattening);
  const flattening = !Number.isNaN(rf)
    ? rf
    : Number.isNaN(b.value) || b.value === a.value
      ? 0
      : a.value / (a.value - b.value);
  return node('ELLIPSOID', textOf(json.name), a.value, flattening, unit('LENGTHUNIT', a.unit));
}

/** It stands in the datum; a base without one counts from Greenwich. */
function primeMeridian(json: Json): WktNode | undefined {
  const one = objectOf(objectOf(json.datum ?? json.datum_ensemble)?.prime_meridian);
  if (one === undefined) return undefined;
  const longitude = measured(one.longitude, 'degree');
  return node('PRIMEM', textOf(one.name), longitude.value, unit('ANGLEUNIT', longitude.unit));
}

function operation(keyword: string, value: unknown): WktNode | undefined {
  const json = objectOf(value);
  if (json === undefined) return undefined;
  const method = objectOf(json.method) ?? {};
  const parameters = objectsIn(json.parameters).map((p) =>
    node('PARAMETER', textOf(p.name), numberOf(p.value), unit('UNIT', p.unit), ...ids(p)),
  );
  return node(keyword, textOf(json.name), node('METHOD', textOf(method.name), ...ids(method)), ...parameters);
}

function coordinateSystem(value: unknown): WktNode[] {
  const json = objectOf(value);
  if (json === undefined) return [];
  const axes = objectsIn(json.axis);
  return [
    node('CS', textOf(json.subtype), axes.length),
    ...axes.map((axis) => node('AXIS', textOf(axis.name), textOf(axis.direction), unit('UNIT', axis.unit))),
  ];
}

function ids(json: Json): WktNode[] {
  const all = objectsIn([json.id, ...listOf(json.ids)]);
  return all.map((id) => node('ID', textOf(id.authority), textOf(id.code)));
}

/** Units written as a word; every other one brings its own factor. */
const WORDS: Readonly<Record<string, number>> = { metre: 1, degree: Math.PI / 180, unity: 1 };

function unit(keyword: string, value: unknown): WktNode | undefined {
  if (typeof value === 'string') return node(keyword, value, WORDS[value] ?? Number.NaN);
  const json = objectOf(value);
  return json === undefined ? undefined : node(keyword, textOf(json.name), numberOf(json.conversion_factor));
}

/** A bare number in the default unit, or a number with a unit of its own. */
function measured(value: unknown, usual: string): { readonly value: number; readonly unit: unknown } {
  const json = objectOf(value);
  return json === undefined
    ? { value: numberOf(value), unit: usual }
    : { value: numberOf(json.value), unit: json.unit ?? usual };
}

function node(keyword: string, ...values: readonly (WktValue | undefined)[]): WktNode {
  return { keyword, values: values.filter((v) => v !== undefined) };
}

function objectOf(value: unknown): Json | undefined {
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Json) : undefined;
}

function objectsIn(value: unknown): readonly Json[] {
  return listOf(value)
    .map(objectOf)
    .filter((one) => one !== undefined);
}

function listOf(value: unknown): readonly unknown[] {
  return Array.isArray(value) ? value : [];
}

function textOf(value: unknown): string {
  return typeof value === 'string' ? value : typeof value === 'number' ? String(value) : '';
}

function numberOf(value: unknown): number {
  return typeof value === 'number' ? value : Number.NaN;
}
