// A small invented site that is edited: in: a plan of trees and works; out: its assessment, as an annotated collection.
// Terms: metres = east and north of the site's corner; the way to degrees is the ellipsoid's own (WGS 84), not the library's.
import type { FeatureCollection } from 'geojson';
import { assess } from '../../src/assess/index.js';
import type { Assessment, AssessOptions, Rule } from '../../src/model/index.js';
import { readLayer } from '../../src/read/index.js';
import { type GeoJSONOptions, toGeoJSON } from '../../src/write/index.js';
import { bytesOf } from './layers.js';

export interface SiteTree {
  readonly id: string | null;
  readonly x: number;
  readonly y: number;
  readonly dbh_in: number;
  readonly species?: string;
  readonly disposition?: string;
  readonly protected?: string;
  readonly lot?: string;
}

export interface SiteWorks {
  readonly id: string | null;
  readonly kind: string;
  readonly box: readonly [x: number, y: number, width: number, height: number];
  readonly depth_ft?: number;
}

export interface Site {
  readonly trees: readonly SiteTree[];
  readonly works: readonly SiteWorks[];
  readonly options?: AssessOptions;
  readonly rule?: Rule;
}

const [LON, LAT] = [-122.65, 45.43];
const A = 6_378_137;
const E2 = 0.00669437999014;
const RAD = Math.PI / 180;

/** Degrees of a place in metres: radii of curvature at the site (Bowring 1985), good to a micrometre over 100 m. */
export function degrees(x: number, y: number): [number, number] {
  const w = 1 - E2 * Math.sin(LAT * RAD) ** 2;
  const meridian = (A * (1 - E2)) / w ** 1.5;
  const lat = LAT + y / meridian / RAD;
  const across = (A / Math.sqrt(1 - E2 * Math.sin(lat * RAD) ** 2)) * Math.cos(lat * RAD);
  return [LON + x / across / RAD, lat];
}

function layerOf(name: string, features: readonly object[]) {
  return readLayer(bytesOf(JSON.stringify({ type: 'FeatureCollection', features })), { name });
}

const feature = (geometry: object, properties: object): object => ({ type: 'Feature', geometry, properties });

export function assessSite({ trees, works, options, rule }: Site): Assessment {
  const treeFeatures = trees.map(({ x, y, ...own }) => feature({ type: 'Point', coordinates: degrees(x, y) }, own));
  const worksFeatures = works.map(({ box: [x, y, w, h], ...own }) => {
    const ring = [degrees(x, y), degrees(x + w, y), degrees(x + w, y + h), degrees(x, y + h), degrees(x, y)];
    return feature({ type: 'Polygon', coordinates: [ring] }, own);
  });
  return assess({
    trees: layerOf('survey.geojson', treeFeatures),
    works: [{ layer: layerOf('plan.geojson', worksFeatures) }],
    ...(rule === undefined ? {} : { rule }),
    options: { ...options },
  });
}

export function writtenSite(site: Site, options: GeoJSONOptions = {}): FeatureCollection {
  return toGeoJSON(assessSite(site), options);
}

/** Trees in a grid, 15 m apart, with a house, a drive and a trench among them. */
export const SITE: Site = {
  trees: Array.from(
    { length: 20 },
    (_, i): SiteTree => ({
      id: `T${i + 1}`,
      x: (i % 5) * 15,
      y: Math.floor(i / 5) * 15,
      dbh_in: 8 + ((i * 7) % 13),
      species: ['Acer rubrum', 'Tilia cordata', 'Quercus garryana'][i % 3]!,
      disposition: i % 7 === 3 ? 'remove' : 'keep',
      protected: i % 2 === 0 ? 'yes' : 'no',
      lot: String((i % 4) + 5),
    }),
  ),
  works: [
    { id: 'house', kind: 'building', box: [17, 4, 10, 8], depth_ft: 3 },
    { id: 'drive', kind: 'paving', box: [32, 17, 9, 26], depth_ft: 1 },
    { id: 'drain', kind: 'trench', box: [2, 33, 25, 0.6], depth_ft: 4 },
  ],
};
