// Jobs for the tests of drawings and reports. In: features; out: assessments. Terms: as in model/.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { makeCity } from '../../scripts/lib/synthetic.mjs';
import { type Assessment, assess, type Rule, readLayer } from '../../src/core.js';

export interface Feature {
  readonly type: 'Feature';
  readonly properties: Record<string, unknown>;
  readonly geometry: { readonly type: string; readonly coordinates: unknown };
}

export const feature = (type: string, coordinates: unknown, properties: Record<string, unknown>): Feature => ({
  type: 'Feature',
  properties,
  geometry: { type, coordinates },
});

export function layer(name: string, features: readonly Feature[]): ReturnType<typeof readLayer> {
  return readLayer(new TextEncoder().encode(JSON.stringify({ type: 'FeatureCollection', features })), { name });
}

/** Points and polygons in metres on a local plane. */
export function localJob(
  trees: readonly Feature[],
  works: readonly Feature[],
  lots: readonly Feature[] = [],
  rule?: Rule | readonly Rule[],
): Assessment {
  return assess({
    trees: layer('trees.geojson', trees),
    works: [{ layer: layer('works.geojson', works) }],
    ...(rule === undefined ? {} : { rule }),
    ...(lots.length === 0 ? {} : { lots: layer('lots.geojson', lots) }),
    options: { crs: 'local:m', crsFor: { trees: 'local:m', works: 'local:m', lots: 'local:m' } },
  });
}

export const square = (x: number, y: number, side: number): number[][][] => [
  [
    [x, y],
    [x + side, y],
    [x + side, y + side],
    [x, y + side],
    [x, y],
  ],
];

const DEMO = join(import.meta.dirname, '../../data/demo');
const demoLayer = (name: string): ReturnType<typeof readLayer> => readLayer(readFileSync(join(DEMO, name)), { name });

export function demoJob(): Assessment {
  return assess({
    trees: demoLayer('survey.csv'),
    works: [{ layer: demoLayer('works.geojson') }],
    lots: demoLayer('lots.geojson'),
    options: { crs: 'EPSG:2913' },
  });
}

/** An invented city of so many trees. */
export function cityJob(trees: number): Assessment {
  const city = makeCity({ trees, seed: 1 });
  return assess({
    trees: layer(
      'trees.geojson',
      city.trees.map(({ id, dbh_in, lon, lat }) => feature('Point', [lon, lat], { id, dbh_in })),
    ),
    works: [
      {
        layer: layer(
          'works.geojson',
          city.polygons.map(({ id, kind, ring }) => feature('Polygon', [ring], { id, kind })),
        ),
      },
    ],
  });
}
