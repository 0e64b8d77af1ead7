// Sun and shade of facades -> a table (CSV) and lines on the map (GeoJSON). In: a ShadeResult, units; out: text in pieces.
// Terms: see model/facade.ts. The table has one row a facade for the trees that stay, one for those of today, and two for each
// tree that shades it: standing alone, and what it alone keeps off.

import type { Facade, ShadeResult, SunFigures, SunShade } from '../model/index.js';
import { inert, quoted } from './csv-cell.js';
import { bearing, cell, degree, figure, SCALES, type Units } from './numbers.js';

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'] as const;

export interface ShadeTextOptions {
  readonly units?: Units | undefined;
  readonly prefix?: string | undefined;
}

/**
 * The table as CSV text (RFC 4180), hours with one decimal.
 *
 * @example
 * toShadeTable(shade(assessment)).split('\r\n')[1]; // 'H:1,H,180.0,10.00,6.00,,trees that stay,...'
 */
export function toShadeTable(result: ShadeResult, options: ShadeTextOptions = {}): string {
  return [...shadeTablePieces(result, options)].join('');
}

/** The same row by row. */
export function* shadeTablePieces(
  { facades }: ShadeResult,
  { units = 'metric' }: ShadeTextOptions = {},
): Generator<string, void, undefined> {
  const { length } = SCALES[units];
  const line = (cells: readonly string[]): string => `${cells.map(quoted).join(',')}\r\n`;
  yield line([
    ...['Facade', 'Building', 'Faces (deg from true north)', `Length (${length.title})`, `Height (${length.title})`],
    ...['Tree', 'Shade of', 'Sun without trees (h a year)', 'Shade (h a year)', 'Shade (%)'],
    ...['Summer sun (h)', 'Summer shade (h)', 'Winter sun (h)', 'Winter shade (h)'],
    ...['Low west summer sun (h)', 'Low west summer shade (h)', 'Low east summer sun (h)', 'Low east summer shade (h)'],
    ...MONTHS.map((month) => `${month} shade (h)`),
  ]);
  for (const facade of facades) {
    const head = [
      inert(facade.key),
      inert(facade.works),
      cell(bearing(facade.bearing), 1),
      cell(facade.lengthM * length.factor, 2),
      cell(facade.heightM * length.factor, 2),
    ];
    yield line([...head, '', 'trees that stay', ...hours(facade.standing)]);
    yield line([...head, '', 'trees of today', ...hours(facade.today)]);
    for (const { key, alone, only } of facade.trees) {
      yield line([...head, inert(key), 'this tree alone', ...hours(alone)]);
      yield line([...head, inert(key), 'this tree and no other', ...hours(only)]);
    }
  }
}

function hours({ all, lowEast, lowWest }: SunFigures): string[] {
  const both = ({ sunH, shadeH }: SunShade): string[] => [cell(sunH, 1), cell(shadeH, 1)];
  return [
    ...both(all.year),
    cell(share(all.year), 1),
    ...both(all.summer),
    ...both(all.winter),
    ...both(lowWest.summer),
    ...both(lowEast.summer),
    ...all.months.map(({ shadeH }) => cell(shadeH, 1)),
  ];
}

/** Percent of the sun that is kept off; null where there is no sun. */
export function share({ sunH, shadeH }: SunShade): number | null {
  return sunH > 0 ? (shadeH / sunH) * 100 : null;
}

/**
 * The facades as one GeoJSON FeatureCollection of lines in longitude and latitude, one feature a line of text.
 *
 * @example
 * JSON.parse(toFacades(shade(assessment))).features[0].properties.rb_shade_summer_pct; // 31.4
 */
export function toFacades(result: ShadeResult, options: ShadeTextOptions = {}): string {
  return [...facadePieces(result, options)].join('');
}

/** The same feature by feature. */
export function* facadePieces(
  { facades, settings }: ShadeResult,
  { units = 'metric', prefix = 'rb_' }: ShadeTextOptions = {},
): Generator<string, void, undefined> {
  yield `{"type":"FeatureCollection","rootberth":${JSON.stringify({ shade: settings, cautions: CAUTIONS })},"features":[`;
  let first = true;
  for (const facade of facades) {
    yield `${first ? '\n' : ',\n'}${JSON.stringify(feature(facade, units, prefix))}`;
    first = false;
  }
  yield '\n]}\n';
}

const CAUTIONS = [
  'Only direct sun on flat ground: no light from the sky, no terrain, no heat. Not an energy model.',
  'Do not keep or fell a tree for its shade alone: a qualified arborist and the local code decide.',
] as const;

function feature(facade: Facade, units: Units, prefix: string): object {
  const { length } = SCALES[units];
  const { all, lowEast, lowWest } = facade.standing;
  const named: Record<string, unknown> = {};
  const put = (name: string, value: unknown): void => {
    named[prefix + name] = value;
  };
  const sums = (name: string, sum: SunShade): void => {
    put(`sun_${name}_h`, figure(sum.sunH));
    put(`shade_${name}_h`, figure(sum.shadeH));
    put(`shade_${name}_pct`, figure(share(sum)));
  };
  put('role', 'facade');
  put('works', facade.works);
  put('facade', facade.number);
  put('faces_bearing', bearing(facade.bearing));
  put(`length_${length.suffix}`, figure(facade.lengthM * length.factor));
  put(`height_${length.suffix}`, figure(facade.heightM * length.factor));
  put('height_assumed', facade.heightAssumed);
  sums('year', all.year);
  sums('summer', all.summer);
  sums('winter', all.winter);
  sums('low_west_summer', lowWest.summer);
  sums('low_east_summer', lowEast.summer);
  put('shade_today_year_h', figure(facade.today.all.year.shadeH));
  put('shade_today_summer_h', figure(facade.today.all.summer.shadeH));
  put(
    'shade_trees',
    facade.trees
      .filter(({ standing }) => standing)
      .map(({ key }) => key)
      .join(';'),
  );
  const coordinates = facade.ends.map(([lon, lat]) => [degree(lon), degree(lat)]);
  return {
    type: 'Feature',
    id: `facade:${facade.key}`,
    properties: named,
    geometry: { type: 'LineString', coordinates },
  };
}
