// A stray position takes no box and no distance with it. In: layers with one position that is impossible, swapped or far
// away; out: extents, and which findings there are.

import { describe, expect, it } from 'vitest';
import { assignCrs, checkPositions, layerBounds } from '../../src/crs/index.js';
import { describeLayer, descriptionRows } from '../../src/describe/index.js';
import { readLayer } from '../../src/read/index.js';
import { bytesOf } from '../support/layers.js';

const csv = (rows: readonly (readonly [number, number])[], heading = 'x,y'): ReturnType<typeof readLayer> =>
  readLayer(bytesOf(`${heading},dbh_in\n${rows.map(([x, y]) => `${x},${y},12`).join('\n')}\n`), { name: 'survey.csv' });
const SITE = [
  [7639984.09, 680142.92],
  [7639990.5, 680150.25],
  [7640001.25, 680160],
] as const;
const works = readLayer(
  bytesOf(
    '{"type":"Feature","properties":{},"geometry":{"type":"Polygon","coordinates":[[[-122.692,45.511],[-122.6919,45.511],[-122.6919,45.5111],[-122.692,45.511]]]}}',
  ),
  { name: 'plan.geojson' },
);
const options = { crs: 'EPSG:2913' };
const placed = (layer: ReturnType<typeof readLayer>) =>
  assignCrs(
    [
      { role: 'trees', layer },
      { role: 'works', layer: works },
    ],
    options,
  ).assigned;

describe('a stray position', () => {
  it.each([
    ['at 0, 0', [0, 0]],
    ['with easting and northing swapped', [680142.92, 7639984.09]],
  ] as const)('%s stretches no extent', (_, stray) => {
    const whole = layerBounds(csv(SITE), placed(csv(SITE))[0]!.crs)!;
    const layer = csv([...SITE, stray]);
    const box = layerBounds(layer, placed(layer)[0]!.crs)!;
    expect(box).toEqual({ ...whole, strays: 1 });
    const described = describeLayer(layer, options);
    expect(described.lonLat).toEqual(whole.lonLat);
    expect(Object.fromEntries(descriptionRows(described))['extent (lon, lat)']).toContain('without 1 stray position');
  });

  it('hides no layer that lies far away', () => {
    // A box from the site to the stray would hold anything between: that the works lie 100 km off would not be seen.
    const far = csv([...SITE.map(([x, y]) => [x, y - 400_000] as const), [0, 0]]);
    const codes = (layer: typeof far): string[] => checkPositions(placed(layer)).map(({ code }) => code);
    expect(codes(far)).toContain('layers-apart');
    expect(codes(csv([...SITE, [0, 0]]))).not.toContain('layers-apart');
  });

  it('is none where most positions lie outside: then the system is wrong', () => {
    const layer = csv([SITE[0], [0, 0], [1, 1]]);
    expect(layerBounds(layer, placed(layer)[0]!.crs)?.strays).toBe(0);
  });

  it('in degrees: a latitude before a longitude, and what no globe has', () => {
    const lonLat = csv(
      [
        [-122.6797, 45.5002],
        [-122.6795, 45.5004],
        [-122.6793, 45.5001],
        [45.5002, -122.6797],
        [200, 45.5],
      ],
      'lon,lat',
    );
    const crs = assignCrs([{ role: 'trees', layer: lonLat }], {}).assigned[0]!.crs;
    expect(layerBounds(lonLat, crs)).toMatchObject({ native: [-122.6797, 45.5001, -122.6793, 45.5004], strays: 2 });
  });
});
