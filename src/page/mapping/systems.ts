// Coordinate systems by name, code or place. In: what a person types, and a position of the survey in its own figures; out: the
// systems that fit, those first whose area of use holds the survey when it is read in them. Terms: place = latitude and
// longitude, or words of a name (`oregon north`); row = a system of the tables that are loaded. One transformation for each
// system that fits what is typed.

import { inArea } from '../../crs/bounds.js';
import { type CrsRow, refusal, rowName, rows, unfold } from '../../crs/crs-table.js';
import { transformFor } from '../../crs/transform.js';
import type { Crs } from '../../model/index.js';

export interface FoundSystem {
  readonly code: string;
  readonly name: string;
  readonly unit: string;
  /** Whether the survey lies in its area of use when it is read in this system; null without a survey. */
  readonly holds: boolean | null;
}

export interface FoundSystems {
  readonly systems: readonly FoundSystem[];
  /** How many fit, listed or not. */
  readonly count: number;
  /** Why a code that was typed can't be used; '' where there is nothing to say. */
  readonly refused: string;
}

const LISTED = 50;
const PLACE = /^(-?\d+(?:\.\d+)?)\s*°?\s*([ns])?[\s,;]+(-?\d+(?:\.\d+)?)\s*°?\s*([ew])?$/i;

/** `45.5, -122.6` or `45.5 N 122.6 W` as longitude, latitude; null where the text is none. */
export function placeIn(text: string): readonly [lon: number, lat: number] | null {
  const match = PLACE.exec(text.trim());
  if (match === null) return null;
  const [, a = '', north = '', b = '', east = ''] = match;
  const lat = Number(a) * (/s/i.test(north) ? -1 : 1);
  const lon = Number(b) * (/w/i.test(east) ? -1 : 1);
  return Math.abs(lat) <= 90 && Math.abs(lon) <= 180 ? [lon, lat] : null;
}

/**
 * Systems that fit a text; all that hold the survey where nothing is typed.
 *
 * @param at a position of the survey as its file has it; null without one
 */
export function findSystems(text: string, at: readonly [number, number] | null): FoundSystems {
  const place = placeIn(text);
  const code = /^(?:epsg:{0,2})?\s*(\d{2,7})$/i.exec(text.trim())?.[1];
  const words = text.toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? [];
  if (words.length === 0 && at === null) return { systems: [], count: 0, refused: '' };
  const fits = (row: CrsRow): boolean => {
    if (code !== undefined) return String(row.code).startsWith(code);
    if (row.deprecated) return false;
    if (place !== null || words.length === 0) return true;
    const name = rowName(row).toLowerCase();
    return words.every((word) => name.includes(word));
  };
  const found: { readonly crs: Crs; readonly holds: boolean | null; readonly size: number; readonly exact: boolean }[] =
    [];
  for (const row of rows().values()) {
    if (!fits(row)) continue;
    const crs = unfold(row);
    const { areaOfUse } = crs;
    if (place !== null && (areaOfUse === null || !inArea(areaOfUse, ...place))) continue;
    const holds = at === null ? null : holdsPosition(crs, at);
    if (words.length === 0 && holds !== true) continue;
    found.push({ crs, holds, size: sizeOf(areaOfUse), exact: String(row.code) === code });
  }
  // Codes that are typed in full first, then those that hold the survey, then the smallest area: the most special system.
  const rank = ({ holds, exact }: (typeof found)[number]): number => (exact ? 0 : holds === true ? 1 : 2);
  found.sort((a, b) => rank(a) - rank(b) || a.size - b.size || a.crs.name.localeCompare(b.crs.name));
  const why = code === undefined ? undefined : refusal(Number(code));
  return {
    systems: found
      .slice(0, LISTED)
      .map(({ crs, holds }) => ({ code: crs.code, name: crs.name, unit: crs.unit, holds })),
    count: found.length,
    refused: why === undefined ? '' : `EPSG:${code} (${why.name}) cannot be used: ${why.reason}`,
  };
}

/** Whether a position, read in a system, lies in the system's area of use. */
export function holdsPosition(crs: Crs, at: readonly [number, number]): boolean {
  if (crs.areaOfUse === null) return false;
  const xy = Float64Array.of(at[0], at[1]);
  if (crs.kind === 'geographic' && (Math.abs(at[0]) > 180 || Math.abs(at[1]) > 90)) return false;
  try {
    transformFor(crs).toLonLat(xy);
  } catch {
    return false; // a projection whose code is not loaded
  }
  return Number.isFinite(xy[0]) && Number.isFinite(xy[1]) && inArea(crs.areaOfUse, xy[0]!, xy[1]!);
}

/** Square degrees, for the order alone. */
function sizeOf(area: Crs['areaOfUse']): number {
  if (area === null) return Number.POSITIVE_INFINITY;
  const [west, south, east, north] = area;
  return (east >= west ? east - west : east + 360 - west) * (north - south);
}
