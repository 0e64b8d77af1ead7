// Which columns of a CSV file hold the coordinates. In: column names and the caller's wish; out: column positions.
// Terms: easting, northing = x, y of the coordinate system, in this order whatever the file's own order is.
// Names are compared in any case; nothing is guessed from the values.

import { InputError } from '../model/index.js';
import { listOf, nearestOf } from '../text/index.js';
import type { ReadOptions } from './options.js';

/** Name pairs that are read as coordinates, and whether the pair itself says that they are degrees. */
const PAIRS: readonly { readonly x: string; readonly y: string; readonly degrees: boolean }[] = [
  { x: 'easting', y: 'northing', degrees: false },
  { x: 'x', y: 'y', degrees: false },
  { x: 'lon', y: 'lat', degrees: true },
  { x: 'longitude', y: 'latitude', degrees: true },
];

/** Names of columns that hold a position, in small letters. */
export const POSITION_NAMES: ReadonlySet<string> = new Set(PAIRS.flatMap(({ x, y }) => [x, y]));

/** Names that are probably coordinates, for the user to confirm (common practice, no source); most certain first. */
const LIKELY: readonly (readonly [x: RegExp, y: RegExp])[] = [
  [
    /^(?:lng|long?|longitude)(?![a-z])|(?<![a-z])(?:lng|lon|long|longitude)$/i,
    /^lat(?:itude)?(?![a-z])|(?<![a-z])lat(?:itude)?$/i,
  ],
  [/east/i, /north/i],
  [/^x(?![a-z])|(?<![a-z])x$/i, /^y(?![a-z])|(?<![a-z])y$/i],
  [/^e$/i, /^n$/i],
];

/** The one pair of columns that look like coordinates, easting first; null where no pair or several pairs do. */
function likelyPair(names: readonly string[]): readonly [string, string] | null {
  for (const [x, y] of LIKELY) {
    const [xs, ys] = [names.filter((name) => x.test(name)), names.filter((name) => y.test(name))];
    if (xs.length === 1 && ys.length === 1 && xs[0] !== ys[0]) return [xs[0]!, ys[0]!];
  }
  return null;
}

const HEIGHTS: readonly string[] = ['elevation', 'elev', 'z'];

export interface CoordinateColumns {
  readonly x: number; // position, from 0
  readonly y: number;
  readonly z: number; // -1: none
  /** The names say longitude and latitude. */
  readonly degrees: boolean;
}

/**
 * Finds the coordinate columns.
 *
 * @throws InputError `csv-coordinates` when there are none, `csv-column` when a named one is not there
 * @example
 * coordinateColumns(['tag', 'Easting', 'Northing'], { name: 'trees.csv' }); // { x: 1, y: 2, z: -1, degrees: false }
 */
export function coordinateColumns(names: readonly string[], options: ReadOptions): CoordinateColumns {
  const lower = names.map((name) => name.toLowerCase());
  const z = lower.findIndex((name) => HEIGHTS.includes(name));
  if (options.xy !== undefined) {
    const [x, y] = [column(names, options.xy[0], options), column(names, options.xy[1], options)];
    return {
      x,
      y,
      z: z === x || z === y ? -1 : z,
      degrees: PAIRS.some((p) => p.degrees && p.x === lower[x] && p.y === lower[y]),
    };
  }
  for (const pair of PAIRS) {
    const [x, y] = [lower.indexOf(pair.x), lower.indexOf(pair.y)];
    if (x !== -1 && y !== -1) return { x, y, z, degrees: pair.degrees };
  }
  if (options.table === true) return { x: -1, y: -1, z: -1, degrees: false };
  const numeric = names.length > 1 && names.filter((name) => /^[-+]?\d*[.,]?\d+$/.test(name)).length > 1;
  const likely = likelyPair(names);
  throw new InputError(
    'csv-coordinates',
    `${options.name} has no columns called easting and northing, x and y, lon and lat, or longitude and latitude; its columns are ${listed(names)}`,
    {
      layer: options.name,
      cure:
        numeric || options.noHeader === true
          ? 'if the file has no header row, use --no-header and name the coordinate columns, easting first: --xy 3,2; for a survey point file: --columns P,N,E,Z,D'
          : likely === null
            ? 'say which columns hold them, easting first: --xy EAST,NORTH (names, or positions from 1)'
            : `say which columns hold them, easting first; probably --xy '${likely.join(',')}'`,
      ...(likely === null || numeric ? {} : { choices: likely }),
    },
  );
}

function column(names: readonly string[], wanted: string | number, options: ReadOptions): number {
  const text = String(wanted).trim();
  const exact = names.indexOf(text);
  if (typeof wanted === 'string' && exact !== -1) return exact;
  const folded = names.findIndex((name) => name.toLowerCase() === text.toLowerCase());
  if (typeof wanted === 'string' && folded !== -1) return folded;
  const position = /^\d+$/.test(text) ? Number(text) : 0;
  if (position >= 1 && position <= names.length) return position - 1;
  throw new InputError(
    'csv-column',
    `${options.name} has no column ${JSON.stringify(wanted)}; its columns are ${listed(names)}`,
    {
      layer: options.name,
      path: text,
      cure: `use one of these names, or a position from 1 to ${names.length}; the nearest name is "${nearest(text, names)}"`,
    },
  );
}

function listed(names: readonly string[]): string {
  return listOf(names, 20, (name) => `"${name}"`);
}

/** The name that takes the fewest changed letters. */
function nearest(wanted: string, names: readonly string[]): string {
  const start = (text: string): string => text.slice(0, 64).toLowerCase();
  return nearestOf(wanted, names.slice(0, 1000), () => Infinity, start) ?? '';
}
