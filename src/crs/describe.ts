// PROJ string of a Crs -> its numbers. In: the one definition the table holds; out: projection, parameters, ellipsoid,
// prime meridian. Terms: a, rf = half-axis in metres and reciprocal flattening (0: a sphere); es = square of eccentricity.

import { projection as projectionOf } from './projection.js';

export interface UnpackedProj {
  readonly projection: string;
  /** Parameters of the projection by PROJ's names; a flag is 1. */
  readonly parameters: ReadonlyMap<string, number>;
  readonly a: number;
  readonly rf: number;
  readonly es: number;
  readonly pm: number; // degrees east of Greenwich
}

const NOT_NUMBERS: ReadonlySet<string> = new Set([
  'proj',
  'ellps',
  'units',
  'datum',
  'towgs84',
  'no_defs',
  'pm',
  'axis',
]);

/** Flattening of the named ellipsoids to full digits; a value computed from es would lose digits. */
const RF: Readonly<Record<string, number>> = {
  WGS84: 298.257223563,
  GRS80: 298.257222101,
  intl: 297,
  bessel: 299.1528128,
  clrk66: 294.978698213898,
  krass: 298.3,
};

/** Takes a PROJ string of ours apart. */
export function unpackProj(proj: string): UnpackedProj {
  const parameters = new Map<string, number>();
  const words = new Map<string, string>();
  for (const part of proj.split(/\s+/)) {
    const [key = '', value] = part.replace(/^\+/, '').split('=');
    if (value === undefined) parameters.set(key, 1);
    else if (NOT_NUMBERS.has(key)) words.set(key, value);
    else parameters.set(key, Number(value));
  }
  const earth = projectionOf(proj);
  const named = RF[words.get('ellps') ?? ''];
  const given = parameters.get('rf');
  const computed = earth.es < 1e-15 ? 0 : 1 / (1 - Math.sqrt(1 - earth.es));
  return {
    projection: words.get('proj') ?? '',
    parameters,
    a: earth.a,
    rf: given ?? named ?? computed,
    es: earth.es,
    pm: ((earth.from_greenwich ?? 0) * 180) / Math.PI,
  };
}
