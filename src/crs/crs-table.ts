// In: the tables that are registered; out: their rows unfolded one at a time, when asked for.
// Terms: conversion = projection with its parameters; datum row = a geographic system with its one way to WGS 84;
// refused = a code that exists but cannot be used, with the reason.

import type { Crs, CrsUnit } from '../model/index.js';
import { METRES_PER } from '../model/index.js';
import { type CrsRow, type Registered, registered } from './crs-registry.js';

export type { CrsRow };

/** A geographic system and its one operation to WGS 84. */
export interface DatumRow {
  readonly code: number; // of the geographic system
  readonly name: string;
  readonly ellipsoid: string; // PROJ parameters
  readonly pm: string; // prime meridian, '' = Greenwich
  readonly shift: string; // towgs84 values, '' = none
  readonly operation: string;
  readonly accuracyM: number | null;
  readonly otherNames: readonly string[]; // simplified: lower case, letters and digits only
}

/** A projection with its parameters, shared by the rows that differ in their datum only. */
export interface Conversion {
  readonly name: string; // '~' stands for the datum's name
  readonly unit: CrsUnit;
  readonly metresPerUnit: number;
  readonly projection: string;
  readonly parameters: ReadonlyMap<string, number>;
}

/** Every row, by code. */
export function rows(): ReadonlyMap<number, CrsRow> {
  return registered().rows;
}

/** Why a code that EPSG knows is not in the table; undefined when EPSG (as of the table) does not know it. */
export function refusal(code: number): { readonly name: string; readonly reason: string } | undefined {
  return registered().refused.get(code);
}

// Unfolded rows are kept as long as the same tables are registered.
let datumCache = new Map<number, DatumRow>();
let conversionCache = new Map<number, Conversion>();
let cachedOf: Registered | null = null;

function current(): Registered {
  const now = registered();
  if (now !== cachedOf) {
    datumCache = new Map();
    conversionCache = new Map();
    cachedOf = now;
  }
  return now;
}

export function datumRow(index: number): DatumRow {
  const { datums } = current();
  let row = datumCache.get(index);
  if (row === undefined) {
    const [code = '', name = '', ellipsoid = '', pm = '', shift = '', operation = '', accuracy = '', names = ''] = (
      datums[index] ?? ''
    ).split('|');
    row = {
      code: Number(code),
      name,
      ellipsoid: ellipsoid
        .split(' ')
        .map((part) => `+${part}`)
        .join(' '),
      pm,
      shift,
      operation,
      accuracyM: accuracy === '' ? null : Number(accuracy),
      otherNames: names === '' ? [] : names.split(' '),
    };
    datumCache.set(index, row);
  }
  return row;
}

/** Number of datum rows. */
export function datumCount(): number {
  return registered().datums.length;
}

const UNIT_OF: Readonly<Record<string, CrsUnit>> = { m: 'm', f: 'ft', u: 'ftUS' };
const UNIT_METRES: Readonly<Record<string, number>> = { m: 1, f: METRES_PER.ft, u: METRES_PER.ftUS };

export function conversion(index: number): Conversion {
  const { conversions } = current();
  let row = conversionCache.get(index);
  if (row === undefined) {
    const [name = '', unit = '', template = '', values = ''] = (conversions[index] ?? '').split('|');
    const [projection = '', ...keys] = template.split(' ');
    const list = values.split(' ');
    row = {
      name,
      unit: UNIT_OF[unit] ?? 'other',
      metresPerUnit: UNIT_METRES[unit] ?? Number(unit),
      projection,
      parameters: new Map(keys.map((key, i) => [key, list[i] === '' ? Number.NaN : Number(list[i])])),
    };
    conversionCache.set(index, row);
  }
  return row;
}

function areaOf(index: number): Crs['areaOfUse'] {
  if (index < 0) return null;
  const [west = Number.NaN, south = Number.NaN, east = Number.NaN, north = Number.NaN] = (
    registered().areas[index] ?? ''
  )
    .split(' ')
    .map(Number);
  return [west, south, east, north];
}

/** PROJ parameters of a unit: proj4 reads +to_meter as a plain number only, never as a fraction. */
export function unitPart(unit: CrsUnit, metresPerUnit: number): string {
  if (unit === 'm') return '+units=m';
  if (unit === 'ft') return '+units=ft';
  if (unit === 'ftUS') return '+units=us-ft';
  return `+to_meter=${metresPerUnit}`;
}

/** PROJ parameters of a datum: ellipsoid, prime meridian and shift, all spelled out. */
export function datumPart(datum: Pick<DatumRow, 'ellipsoid' | 'pm' | 'shift'>): string {
  const pm = datum.pm === '' ? '' : ` +pm=${datum.pm}`;
  return `${datum.ellipsoid}${pm}${datum.shift === '' ? '' : ` +towgs84=${datum.shift}`}`;
}

/** A projection as PROJ parameters, in the order given; a parameter without a value is a flag. */
export function projectionPart(projection: string, parameters: ReadonlyMap<string, number>): string {
  const parts = [...parameters].map(([key, value]) => (Number.isNaN(value) ? `+${key}` : `+${key}=${value}`));
  return `+proj=${projection} ${parts.join(' ')}`;
}

/** Unfolds a row into a Crs. */
export function unfold(row: CrsRow): Crs {
  const datum = datumRow(row.datum);
  const about = { name: datum.name, operation: datum.operation, accuracyM: datum.accuracyM };
  const code = `EPSG:${row.code}`;
  const areaOfUse = areaOf(row.area);
  const mark = row.deprecated ? ' (deprecated)' : '';
  if (row.conversion < 0) {
    return {
      code,
      name: datum.name + mark,
      kind: 'geographic',
      unit: 'degree',
      metresPerUnit: Number.NaN,
      areaOfUse,
      proj: `+proj=longlat ${datumPart(datum)} +no_defs`,
      datum: about,
    };
  }
  const c = conversion(row.conversion);
  const projection = projectionPart(c.projection, c.parameters);
  return {
    code,
    name: (c.name.startsWith('~') ? `${datum.name} / ${c.name.slice(1)}` : c.name) + mark,
    kind: 'projected',
    unit: c.unit,
    metresPerUnit: c.metresPerUnit,
    areaOfUse,
    proj: `${projection} ${datumPart(datum)} ${unitPart(c.unit, c.metresPerUnit)} +no_defs`,
    datum: about,
  };
}

/** A row's name without unfolding the rest. */
export function rowName(row: CrsRow): string {
  const datum = datumRow(row.datum).name;
  if (row.conversion < 0) return datum;
  const { name } = conversion(row.conversion);
  return name.startsWith('~') ? `${datum} / ${name.slice(1)}` : name;
}

/** A name with everything but letters and digits gone, in lower case, without the D_ or GCS_ of an ESRI text. */
export function simplified(name: string): string {
  return name
    .toLowerCase()
    .replace(/^(d|gcs)_/, '')
    .replace(/[^a-z0-9]/g, '');
}
