// In: a layer with its Crs; out: a finding where its positions make sense in another unit, or in a neighbouring zone.
// Terms: sibling = the same zone and datum in another unit; neighbour = a zone of the same family (datum, unit, kind of
// grid) whose area of use touches this one's. Judged on a sample of vertices. Nothing is changed; the user is only told.

import type { Crs, CrsUnit, Layer } from '../model/index.js';
import { type Finding, finding, METRES_PER } from '../model/index.js';
import { type Box, inArea } from './bounds.js';
import { type CrsRow, conversion, datumRow, rowName, rows, unfold } from './crs-table.js';
import { transformFor } from './transform.js';
import { canonical, same } from './wkt/wkt-methods.js';

const SAMPLE = 2_000; // vertices looked at
const MOST = 0.9; // share of them that has to fit the other reading
const TOUCH = 0.5; // degrees between areas of use that still count as touching
const WIDEST_ZONE = 180; // degrees: a system with a wider area is not a zone of a family and has no neighbours
const ALIKE = 3; // a neighbour's area is at most this many times wider or narrower, which excludes national and county grids

/**
 * A finding on a layer whose positions make sense in another unit or in a neighbouring zone; null where they make sense in
 * neither.
 */
export function suspect(layer: Layer, crs: Crs): Finding | null {
  return looksWrong(layer, crs) ? (unitSuspect(layer, crs) ?? zoneSuspect(layer, crs)) : null;
}

/** A finding on a layer for which `isNear` holds in a neighbouring zone; null where there is none. */
export function suspectBeside(layer: Layer, crs: Crs, isNear: (zone: Crs) => boolean, why: string): Finding | null {
  const fits = neighbours(crs).filter(isNear);
  return fits.length === 0 ? null : zoneFinding(layer, crs, fits, why);
}

/** Positions outside the area of use that lie inside when their numbers are read in another unit; null if not so. */
function unitSuspect(layer: Layer, crs: Crs): Finding | null {
  const units = (['m', 'ft', 'ftUS'] as const).filter((unit) => isOther(unit, crs.unit));
  for (const unit of units) {
    if (insideShare(layer, crs, METRES_PER[unit] / crs.metresPerUnit) < MOST) continue;
    const sibling = siblings(crs).find((one) => one.unit === unit);
    // Either foot fits; the one that the zone has a system for is named.
    if (sibling === undefined && unit === 'ft' && siblings(crs).some((one) => one.unit === 'ftUS')) continue;
    const named = sibling === undefined ? '' : `: ${sibling.code} (${sibling.name})`;
    const message = `its positions lie outside the area of ${crs.code} (in ${crs.unit}), and inside when read in ${unit}${named}`;
    const cure = `find out the unit of the file, and name the system of that unit${sibling === undefined ? '' : `: ${sibling.code}`}`;
    return finding('crs-unit-suspect', { layer: layer.name }, message, cure);
  }
  return null;
}

/** The place distinguishes metres from feet, but not the two feet from each other. */
function isOther(unit: 'm' | 'ft' | 'ftUS', own: CrsUnit): boolean {
  return own === 'm' ? unit !== 'm' : (own === 'ft' || own === 'ftUS') && unit === 'm';
}

/** Positions outside the area of use that lie inside a neighbouring zone's when read in it; null if there is none. */
function zoneSuspect(layer: Layer, crs: Crs): Finding | null {
  const fits = neighbours(crs).filter((zone) => insideShare(layer, zone, 1) >= MOST);
  if (fits.length === 0) return null;
  return zoneFinding(layer, crs, fits, 'its positions lie outside the area of');
}

/** The finding on a layer that fits other zones better; `why` is followed by its own code. */
function zoneFinding(layer: Layer, crs: Crs, fits: readonly Crs[], why: string): Finding {
  const names = fits.slice(0, 3).map((zone) => `${zone.code} (${zone.name})`);
  const message = `${why} ${crs.code} (${crs.name}), and where they should when read in the neighbouring ${names.join(' or ')}`;
  return finding(
    'crs-zone-suspect',
    { layer: layer.name },
    message,
    `find out the zone of the file, and name ${fits[0]?.code}`,
  );
}

function looksWrong(layer: Layer, crs: Crs): boolean {
  return crs.kind === 'projected' && crs.areaOfUse !== null && insideShare(layer, crs, 1) < 0.5;
}

/** Share of a layer's (sampled) positions that lie in the area of use, their numbers multiplied by `per`. */
function insideShare(layer: Layer, crs: Crs, per: number): number {
  const area = crs.areaOfUse;
  if (area === null) return Number.NaN;
  const { xy } = layer.geometry;
  const step = Math.max(1, Math.floor(xy.length / 2 / SAMPLE)) * 2;
  const sample: number[] = [];
  for (let i = 0; i + 1 < xy.length; i += step) {
    const x = xy[i]!;
    const y = xy[i + 1]!;
    if (Number.isFinite(x) && Number.isFinite(y)) sample.push(x * per, y * per);
  }
  const lonLat = Float64Array.from(sample);
  transformFor(crs).toLonLat(lonLat);
  let inside = 0;
  for (let i = 0; i < lonLat.length; i += 2) if (inArea(area, lonLat[i]!, lonLat[i + 1]!)) inside++;
  return sample.length === 0 ? Number.NaN : (inside * 2) / sample.length;
}

function rowOf(crs: Crs): CrsRow | undefined {
  const row = rows().get(Number(crs.code.replace('EPSG:', '')));
  return row !== undefined && row.conversion >= 0 ? row : undefined;
}

function siblings(crs: Crs): readonly Crs[] {
  const own = rowOf(crs);
  if (own === undefined) return [];
  const c = conversion(own.conversion);
  const wanted = canonical(c.projection, c.parameters);
  return [...rows().values()]
    .filter((row) => row !== own && onOneDatum(row, own) && row.conversion >= 0 && !row.deprecated)
    .filter((row) => {
      const other = conversion(row.conversion);
      return other.unit !== c.unit && same(canonical(other.projection, other.parameters), wanted);
    })
    .map(unfold);
}

/** Zones of the same family whose areas touch, the nearest first. */
export function neighbours(crs: Crs): readonly Crs[] {
  const own = rowOf(crs);
  const area = crs.areaOfUse;
  if (own === undefined || area === null || area[2] - area[0] > WIDEST_ZONE) return [];
  const unit = conversion(own.conversion).metresPerUnit;
  const utm = isUtm(own);
  const found: { readonly zone: Crs; readonly apart: number }[] = [];
  for (const row of rows().values()) {
    if (row === own || row.conversion < 0 || row.deprecated || !onOneDatum(row, own) || isUtm(row) !== utm) continue;
    if (conversion(row.conversion).metresPerUnit !== unit) continue;
    const zone = unfold(row);
    const other = zone.areaOfUse;
    if (other === null || !touches(area, other)) continue;
    const ratio = (other[2] - other[0]) / (area[2] - area[0]);
    const height = (other[3] - other[1]) / (area[3] - area[1]);
    if (!(ratio <= ALIKE && ratio >= 1 / ALIKE && height <= ALIKE * 2 && height >= 1 / (ALIKE * 2))) continue;
    const apart = Math.hypot(area[0] + area[2] - other[0] - other[2], area[1] + area[3] - other[1] - other[3]);
    found.push({ zone, apart });
  }
  return found.sort((a, b) => a.apart - b.apart).map(({ zone }) => zone);
}

/** One datum, whichever way to WGS 84 suits the place. */
function onOneDatum(a: CrsRow, b: CrsRow): boolean {
  return a.datum === b.datum || datumRow(a.datum).name === datumRow(b.datum).name;
}

function isUtm(row: CrsRow): boolean {
  return rowName(row).includes('UTM zone');
}

/** Whether two areas come within TOUCH degrees; those across the antimeridian are left out. */
function touches(a: Box, b: Box): boolean {
  return a[0] - TOUCH <= b[2] && b[0] - TOUCH <= a[2] && a[1] - TOUCH <= b[3] && b[1] - TOUCH <= a[3];
}
