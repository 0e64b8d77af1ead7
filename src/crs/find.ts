// In: a coordinate system as a person or a file names it; out: the one vetted Crs, or an error that says what to do.
// Terms: local = a ground system without georeference (x east, y north, in the unit named).

import type { Crs } from '../model/index.js';
import { InputError, METRES_PER } from '../model/index.js';
import { registered, tableMissing } from './crs-registry.js';
import { refusal, rows, unfold } from './crs-table.js';
import { tableWorkIfAny } from './table-work.js';

/** Longitude, latitude on WGS 84: what GeoJSON uses (RFC 7946 section 4). */
export const CRS84: Crs = {
  code: 'OGC:CRS84',
  name: 'WGS 84 longitude, latitude',
  kind: 'geographic',
  unit: 'degree',
  metresPerUnit: Number.NaN,
  areaOfUse: [-180, -90, 180, 90],
  proj: '+proj=longlat +ellps=WGS84 +no_defs',
  datum: { name: 'WGS 84', operation: 'none needed', accuracyM: 0 },
};

function local(unit: 'ft' | 'ftUS' | 'm'): Crs {
  return {
    code: `local:${unit}`,
    name: `local ground system in ${unit}`,
    kind: 'local',
    unit,
    metresPerUnit: METRES_PER[unit],
    areaOfUse: null,
    proj: '',
    datum: { name: 'none', operation: 'no georeference', accuracyM: null },
  };
}

// Widely used codes for Web Mercator that EPSG never issued, or withdrew.
const ALIASES: ReadonlyMap<number, number> = new Map([
  [900913, 3857],
  [102100, 3857],
  [102113, 3857],
]);

const CODE_FORMS: readonly RegExp[] = [
  /^(?:EPSG::?)?(\d{1,7})$/i,
  /^(?:ESRI|OSGEO)::?(\d{1,7})$/i,
  /^urn:(?:x-)?ogc:def:crs:EPSG:[\d.]*:(\d{1,7})$/i,
  /^https?:\/\/(?:www\.)?opengis\.net\/def\/crs\/EPSG\/[\d.]+\/(\d{1,7})$/i,
  /^https?:\/\/(?:www\.)?opengis\.net\/gml\/srs\/epsg\.xml#(\d{1,7})$/i,
];
const CRS84_FORMS: readonly RegExp[] = [
  /^(?:OGC:)?CRS84h?$/i,
  /^urn:ogc:def:crs:OGC:[\d.]*:CRS84h?$/i,
  /^https?:\/\/(?:www\.)?opengis\.net\/def\/crs\/OGC\/[\d.]+\/CRS84h?$/i,
];

const cache = new Map<number, Crs>();

/** The Crs of an EPSG code, or undefined when the table does not have it. */
export function crsOfCode(code: number): Crs | undefined {
  const known = cache.get(code);
  if (known !== undefined) return known;
  const row = rows().get(ALIASES.get(code) ?? code);
  if (row === undefined) return undefined;
  const crs = unfold(row);
  cache.set(code, crs);
  return crs;
}

/**
 * The coordinate system a code or an address names. Coordinates are always easting, northing (or longitude,
 * latitude), whatever the axis order the code's registry gives.
 *
 * @param code `EPSG:2913`, `2913`, `OGC:CRS84`, an OGC URN or address, or `local:ft`, `local:ftUS`, `local:m`.
 * @throws InputError `crs-unknown` (wrong usage) with near names, or the reason why the code cannot be used;
 *   `crs-table-missing` where the code may be in a table that was not registered (see `registerCrs`; not in Node).
 * @example
 * findCrs('EPSG:2913').unit; // 'ft'
 */
export function findCrs(code: string): Crs {
  const text = code.trim();
  if (CRS84_FORMS.some((form) => form.test(text))) return CRS84;
  const ground = /^local:(.*)$/i.exec(text);
  if (ground) {
    const unit = (ground[1] ?? '').toLowerCase();
    if (unit === 'ft') return local('ft');
    if (unit === 'ftus' || unit === 'us-ft') return local('ftUS');
    if (unit === 'm') return local('m');
    throw unknown(text, 'a local system is local:ft, local:ftUS or local:m');
  }
  for (const form of CODE_FORMS) {
    const match = form.exec(text);
    if (!match) continue;
    const number = Number(match[1]);
    const crs = crsOfCode(number);
    if (crs !== undefined) return crs;
    const why = refusal(number);
    if (why !== undefined) {
      const cure = 'bring the layer into another coordinate system (a UTM zone, for instance) and name that one';
      throw new InputError('crs-unknown', `EPSG:${number} (${why.name}) cannot be used: ${why.reason}`, {
        usage: true,
        cure,
      });
    }
    if (!registered().complete) throw tableMissing(`EPSG:${number}`);
    throw unknown(text, tableWorkIfAny()?.nearCodes(number) ?? CODE_CURE);
  }
  throw unknown(text, tableWorkIfAny()?.nearNames(text) ?? CODE_CURE);
}

const CODE_CURE = 'give an EPSG code such as EPSG:2913, OGC:CRS84, or local:ft, local:ftUS, local:m';

function unknown(text: string, hint: string): InputError {
  return new InputError('crs-unknown', `coordinate system "${text}" is not known`, { usage: true, cure: hint });
}
