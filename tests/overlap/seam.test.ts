// Frames and splitting: a tree at the seam of two lattice cells measures the same in both frames, and a job split in
// two (trees, or works that no zone reaches) gives the same figures to the last bit.
import { describe, expect, it } from 'vitest';
import { makeCity } from '../../scripts/lib/synthetic.mjs';
import { assess, readLayer } from '../../src/core.js';
import { frameAt } from '../../src/crs/index.js';
import { Meter } from '../../src/geometry/kernel/meter.js';
import { PieceBuilder } from '../../src/geometry/kernel/pieces.js';
import type { Layer } from '../../src/model/index.js';

const bytes = (features: unknown[]): Uint8Array =>
  new TextEncoder().encode(JSON.stringify({ type: 'FeatureCollection', features }));

const city = makeCity({ trees: 3000, seed: 5 });
const treeFeatures = city.trees.map(({ lon, lat, ...properties }) => ({
  type: 'Feature',
  properties,
  geometry: { type: 'Point', coordinates: [lon, lat] },
}));
const works = readLayer(
  bytes(
    city.polygons.map(({ ring, ...properties }) => ({
      type: 'Feature',
      properties,
      geometry: { type: 'Polygon', coordinates: [ring] },
    })),
  ),
  { name: 'works.geojson' },
);
const treesLayer = (features: unknown[]): Layer => readLayer(bytes(features), { name: 'trees.geojson' });

describe('seams and splits', () => {
  it('a tree at the seam of two cells has the same percent in both frames, within 1e-6 points', () => {
    const lonLat = [
      [-0.00002, -0.00001, 0.00011, -0.00001, 0.00011, 0.00009, -0.00002, 0.00009],
      [0.00005, 0.00004, 0.0002, 0.00002, 0.00021, 0.0001],
    ];
    for (const [lon, lat] of [
      [-122.75, 45.4],
      [-97.25, 30.25],
      [151.25, -33.75],
      [10.5, 59.75],
    ] as const) {
      const percents = [-1e-4, 1e-4].map((side) => {
        const frame = frameAt(lon + side, lat + side); // the cells on either side of the corner of the lattice
        const b = new PieceBuilder();
        lonLat.forEach((ring, owner) => {
          const xy = Float64Array.from(ring, (v, i) => v + (i % 2 === 0 ? lon : lat));
          frame.toFrame(xy, xy);
          b.add([xy], { owner, classBit: 8, cuts: true });
        });
        const at = Float64Array.of(lon, lat);
        frame.toFrame(at, at);
        const meter = new Meter(b.finish());
        const overlap = meter.discAndNearest(at[0]!, at[1]!, 7);
        return [overlap / (Math.PI * 49), meter.severed / (Math.PI * 49), meter.distance].map((v) => v * 100);
      });
      expect(percents[0]?.[0]).toBeGreaterThan(10);
      percents[0]?.forEach((v, i) => {
        expect(Math.abs(v - percents[1]?.[i]!)).toBeLessThan(1e-6);
      });
    }
  });

  it('a job split in two, and in another order, gives every tree the same figures bit for bit', () => {
    const figures = (features: unknown[]): Map<string, string> => {
      const { trees } = assess({ trees: treesLayer(features), works: [{ layer: works }] });
      return new Map(
        trees.map((t) => [
          t.key,
          [
            t.overlapM2,
            t.severedM2,
            t.nearestM,
            t.nearestBearing,
            t.nearestWorks,
            t.verdict,
            ...t.rings.map((r) => r.overlapPct),
          ].join(),
        ]),
      );
    };
    const whole = figures(treeFeatures);
    expect(whole.size).toBe(3000);
    const half = treeFeatures.length / 2;
    for (const part of [treeFeatures.slice(0, half), treeFeatures.slice(half), [...treeFeatures].reverse()]) {
      for (const [key, value] of figures(part)) expect(value).toBe(whole.get(key));
    }
  });
});
