// Codes with the same numbers as a text; out: the one that is meant. In: the codes, the text's name and its own code.
// Terms: twins = codes with the same projection, numbers, unit and datum. The name of the text decides among them (EPSG's or
// Esri's), then its own code; where neither says, the area of use that holds the layer.
// Costs a look at each code; a layer's positions are read once, and only where the area has to decide.

import type { Crs, Layer } from '../model/index.js';
import { inArea, lonLatBounds } from './bounds.js';
import { type CrsRow, rowName, rows, simplified } from './crs-table.js';
import { crsOfCode } from './find.js';
import { ESRI_SYSTEMS } from './tables/esri-systems.js';

let esri: ReadonlyMap<number, readonly string[]> | null = null;

/** Esri's names of a code that shares its numbers, simplified. */
function esriNames(code: number): readonly string[] {
  esri ??= new Map(
    ESRI_SYSTEMS.split('\n').map((line) => {
      const [own = '', names = ''] = line.split('|');
      return [Number(own), names.split(' ')];
    }),
  );
  return esri.get(code) ?? [];
}

/** Names of variants of a grid that someone else asks for by name: axes the other way round, zones under another name. */
const VARIANT = /\((?:N-E|E-N|N,E|E,N)\)|TMzn|TM\d\d/;

/** A current code before a deprecated one, a plain grid before its variants, then the lowest code. */
function rank(row: CrsRow): number {
  return (row.deprecated ? 2 : 0) + (VARIANT.test(rowName(row)) ? 1 : 0);
}

function inOrder(codes: readonly number[]): readonly CrsRow[] {
  const found = codes.flatMap((code) => rows().get(code) ?? []);
  return found.sort((a, b) => rank(a) - rank(b) || a.code - b.code);
}

/** One of several codes, and those that it could be as well ('' and none where the text itself says which). */
export interface Meant {
  readonly crs: Crs;
  readonly twins: readonly Crs[];
}

/**
 * The code that a text means; undefined where there is none.
 *
 * @param epsg the text's own code, NaN for none
 * @example
 * meant([2260, 3424], 'NAD_1983_StatePlane_New_Jersey_FIPS_2900_Feet', NaN)?.crs.code; // 'EPSG:3424'
 */
export function meant(codes: readonly number[], name: string, epsg: number): Meant | undefined {
  const wanted = simplified(name);
  const ordered = inOrder(codes);
  const isNamed = (row: CrsRow): boolean => simplified(rowName(row)) === wanted || esriNames(row.code).includes(wanted);
  const named = ordered.filter(isNamed);
  const said = named.find(({ code }) => code === epsg) ?? named[0] ?? ordered.find(({ code }) => code === epsg);
  const crs = crsOfCode((said ?? ordered[0])?.code ?? Number.NaN);
  if (crs === undefined) return undefined;
  const others = said === undefined ? ordered.slice(1).filter((row) => !row.deprecated) : [];
  return { crs, twins: others.flatMap((row) => crsOfCode(row.code) ?? []) };
}

/** The same with a layer: where its middle lies in a twin's area of use and not in that of the first, the twin is meant. */
export function meantFor({ crs, twins }: Meant, layer: Layer): Meant {
  const box = twins.length === 0 ? null : lonLatBounds(layer, crs);
  if (box === null) return { crs, twins };
  const holds = ({ areaOfUse }: Crs): boolean =>
    areaOfUse !== null && inArea(areaOfUse, (box[0] + box[2]) / 2, (box[1] + box[3]) / 2);
  const first = [crs, ...twins].find(holds) ?? crs;
  return { crs: first, twins: [crs, ...twins].filter((one) => one !== first) };
}

/** What to add where a text could be several systems: '' where it says itself which. */
export function saysEqual({ twins }: Meant): string {
  if (twins.length === 0) return '';
  const names = twins.slice(0, 3).map(({ code, name }) => `${code} (${name})`);
  const more = twins.length > 3 ? ` and ${twins.length - 3} more` : '';
  return `; its name matches none of them, and ${names.join(', ')}${more} ${twins.length === 1 ? 'has' : 'have'} the same numbers`;
}
