// Which coordinate reference systems are available. In: tables as the generated modules hold them (texts); out: their rows.
// Terms: table = systems folded into texts (see tables/all.ts); complete = the table of the whole world; line = one entry of a
// text. Node registers the complete table by itself; a browser registers the regions it wants, or the world on demand.

import { InputError } from '../model/index.js';
import { BASE } from './tables/base.js';
import type { CrsTable } from './tables/table.js';

export interface CrsRow {
  readonly code: number;
  readonly datum: number; // index for datumRow
  readonly area: number; // index into the areas, -1 for none
  readonly conversion: number; // index for conversion, -1 for a geographic system
  readonly deprecated: boolean;
}

/** All registered tables as one. */
export interface Registered {
  readonly names: readonly string[];
  readonly complete: boolean;
  readonly datums: readonly string[];
  readonly areas: readonly string[];
  /** Name|unit|template's words|values. */
  readonly conversions: readonly string[];
  readonly rows: ReadonlyMap<number, CrsRow>;
  readonly refused: ReadonlyMap<number, { readonly name: string; readonly reason: string }>;
}

let tables: readonly CrsTable[] = [BASE];
let unfolded: Registered | null = null;

/**
 * Makes the systems of a table known to `findCrs`, to texts that state a system, and to `assess`. Takes microseconds: rows
 * are unfolded when one is asked for. Registering twice does nothing; the world replaces its parts.
 *
 * In Node this has been done with the world; elsewhere, only `EPSG:4326` and `EPSG:3857`, `OGC:CRS84` and `local:` systems
 * are known until it is called.
 *
 * @example
 * import { registerCrs } from 'rootberth';
 * import { us } from 'rootberth/crs/us';
 * registerCrs(us);
 */
export function registerCrs(table: CrsTable): void {
  if (tables.some((known) => known.complete || known.name === table.name)) return;
  tables = table.complete ? [table] : [...tables, table];
  unfolded = null;
}

/** What is registered, unfolded once. */
export function registered(): Registered {
  unfolded ??= joined(tables);
  return unfolded;
}

/** A system that none of the loaded tables has, when further tables exist. */
export function tableMissing(what: string, layer?: string): InputError {
  const message = `${what} is in none of the loaded tables of coordinate systems (${registered().names.join(', ')})`;
  return new InputError('crs-table-missing', message, {
    ...(layer === undefined ? { usage: true } : { layer }),
    cure: 'load the table that has it: registerCrs(world) of rootberth/crs/world',
  });
}

export const whole = (text: string): number => (text === '' ? -1 : Number.parseInt(text, 36));

/** Texts of several tables as lists in which each line stands once; `at` leads from a table's line to its place. */
class Lines {
  readonly all: string[] = [];
  readonly #place = new Map<string, number>();

  add(lines: readonly string[]): (index: number) => number {
    const places = lines.map((line) => {
      let place = this.#place.get(line);
      if (place === undefined) {
        place = this.all.push(line) - 1;
        this.#place.set(line, place);
      }
      return place;
    });
    return (index) => (index < 0 ? -1 : places[index]!);
  }
}

function joined(from: readonly CrsTable[]): Registered {
  const datums = new Lines();
  const areas = new Lines();
  const conversions = new Lines();
  const rows: CrsRow[] = [];
  const refused: Registered['refused'] = new Map(from.flatMap(refusedOf));
  for (const table of from) {
    const datum = datums.add(table.datums.split('\n'));
    const area = areas.add(table.areas.split('\n'));
    const conversion = conversions.add(conversionLines(table));
    let code = 0;
    for (const line of table.rows.split('\n')) {
      const deprecated = line.endsWith('!');
      const [step = '', d = '', a = '', c = ''] = (deprecated ? line.slice(0, -1) : line).split(',');
      code += whole(step);
      rows.push({ code, datum: datum(whole(d)), area: area(whole(a)), conversion: conversion(whole(c)), deprecated });
    }
  }
  if (from.length > 1) rows.sort((a, b) => a.code - b.code);
  return {
    names: from.map((table) => table.name),
    complete: from.some((table) => table.complete),
    datums: datums.all,
    areas: areas.all,
    conversions: conversions.all,
    rows: new Map(rows.map((row) => [row.code, row])),
    refused,
  };
}

/** Each table has its own numbering of templates; written out in full, a line means the same in all of them. */
function conversionLines(table: CrsTable): string[] {
  const templates = table.templates.split('\n');
  return table.conversions === ''
    ? []
    : table.conversions.split('\n').map((line) => {
        const [name = '', unit = '', template = '', values = ''] = line.split('|');
        return `${name}|${unit}|${templates[whole(template)] ?? ''}|${values}`;
      });
}

function refusedOf(table: CrsTable): [number, { readonly name: string; readonly reason: string }][] {
  if (table.refused === '') return [];
  const reasons = table.reasons.split('\n');
  return table.refused.split('\n').map((line) => {
    const [code = '', name = '', reason = ''] = line.split('|');
    return [Number(code), { name, reason: reasons[whole(reason)] ?? '' }];
  });
}
