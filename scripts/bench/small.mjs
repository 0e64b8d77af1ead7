// The everyday job: 1,000 trees against 1,000 polygons, the whole assessment in memory, beside an indexed turf script.
// In: nothing; out: three lines on stdout. Terms: margins = rb_margin_m of every tree, which jobs of this size have unasked.

import { assess, readLayer } from '../../dist/index.js';
import { makeCity } from '../lib/synthetic.mjs';
import * as peers from './peers.mjs';
import { makeScene } from './scene.mjs';
import { interleaved } from './stats.mjs';

const SIZE = 1000;
/** turf measures a sample, spread over the trees; its time is scaled to all of them. */
const SAMPLE = 20;

export async function oneThousand() {
  const city = makeCity({ trees: SIZE, polygonsPerTree: 1, seed: 1 });
  const layer = (name, features) =>
    readLayer(new TextEncoder().encode(JSON.stringify({ type: 'FeatureCollection', features })), { name });
  const trees = layer(
    'trees.geojson',
    city.trees.map(({ lon, lat, ...properties }) => ({
      type: 'Feature',
      properties,
      geometry: { type: 'Point', coordinates: [lon, lat] },
    })),
  );
  const works = layer(
    'works.geojson',
    city.polygons.map(({ ring, ...properties }) => ({
      type: 'Feature',
      properties,
      geometry: { type: 'Polygon', coordinates: [ring] },
    })),
  );
  const scene = makeScene(SIZE, 1, 1);
  const turf = peers.turf(scene);
  const jobs = [
    {
      name: 'rootberth, whole assessment',
      units: 1,
      work: () => assess({ trees, works: [{ layer: works }] }).trees.reduce((sum, t) => sum + (t.overlapPct ?? 0), 0),
    },
    {
      name: 'the same without margins',
      units: 1,
      work: () =>
        assess({ trees, works: [{ layer: works }], options: { margins: false } }).trees.reduce(
          (sum, t) => sum + (t.overlapPct ?? 0),
          0,
        ),
    },
    {
      name: `turf, indexed, overlap only (${SAMPLE} trees, scaled)`,
      units: SAMPLE / SIZE,
      work: () =>
        Array.from({ length: SAMPLE }, (_, i) => turf.percent(Math.floor((i * SIZE) / SAMPLE))).reduce(
          (a, b) => a + b,
          0,
        ),
    },
  ];
  console.log(`\n${SIZE} trees x ${city.polygons.length} polygons, computing only`);
  for (const r of interleaved(jobs, 3)) {
    console.log(
      `${r.name.padEnd(48)} ${r.median.toFixed(0).padStart(8)} ms  (${r.min.toFixed(0)} to ${r.max.toFixed(0)})`,
    );
  }
}
