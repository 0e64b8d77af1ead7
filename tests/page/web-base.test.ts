// A web page without any table of systems: jobs in longitude and latitude are measured all the same.
import proj4 from 'proj4';
import { beforeEach, expect, it, vi } from 'vitest';
import { feature } from '../support/report-jobs.js';

// As a page loads them: with nothing registered, whatever other test files of the process have loaded.
beforeEach(() => vi.resetModules());

it('assesses a job in lon/lat with what the base registers, and no other projection', async () => {
  const { assess, readLayer } = await import('../../src/core.js');
  await import('../../src/web/base.js');
  const layer = (name: string, ...features: object[]) =>
    readLayer(new TextEncoder().encode(JSON.stringify({ type: 'FeatureCollection', features })), { name });
  const [lon, lat] = [-122.69, 45.51];
  const half = 0.0002; // 16 m west to east, 22 m north and south
  const ring = [
    [lon, lat - half],
    [lon + half, lat - half],
    [lon + half, lat + half],
    [lon, lat + half],
    [lon, lat - half],
  ];
  const { trees } = assess({
    trees: layer('trees.geojson', feature('Point', [lon, lat], { id: 'T1', dbh_cm: 40 })),
    works: [{ layer: layer('works.geojson', feature('Polygon', [ring], { id: 'W1', kind: 'building' })) }],
  });
  // The works begin at the trunk's centre and reach beyond the zone (4.8 m): a half of it.
  expect(trees[0]?.overlapPct).toBeCloseTo(50, 3);
});

it('has the transverse Mercator of proj4, to the last bit', async () => {
  const { projection } = await import('../../src/crs/projection.js');
  await import('../../src/web/base.js');
  expect(() => projection('+proj=lcc +lat_1=44 +lat_2=46')).toThrow('not registered');
  for (const [lon0, lat0, ellps] of [
    [-122.625, 45.375, 'WGS84'],
    [10.125, 51.625, 'WGS84'],
    [151.125, -33.875, 'intl'],
  ] as const) {
    const text = `+proj=tmerc +lat_0=${lat0} +lon_0=${lon0} +k=1 +x_0=0 +y_0=0 +ellps=${ellps} +units=m +no_defs`;
    const ours = projection(text);
    const theirs = new proj4.Proj(text) as unknown as typeof ours;
    for (const [east, north] of [
      [0, 0],
      [0.1, -0.07],
      [-0.3, 0.2],
      [2, 5],
    ] as const) {
      const at = { x: ((lon0 + east) * Math.PI) / 180, y: ((lat0 + north) * Math.PI) / 180 };
      const [a, b] = [ours, theirs].map((one) => ({ ...one.forward({ ...at }) })) as { x: number; y: number }[];
      expect([a?.x, a?.y], text).toEqual([b?.x, b?.y]);
      expect({ ...ours.inverse({ ...a! }) }).toEqual({
        ...theirs.inverse({ ...a! }),
      });
    }
  }
});
