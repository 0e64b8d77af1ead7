// A seeded scene for the benches: in: a number of trees; out: the invented city in one frame, as every engine wants it.
// Terms: scene = trees (x, y, r in metres) and polygons (rings of x, y), all in the frame of the city's middle.

import Flatbush from 'flatbush';
import '../../build/node/crs.js'; // the projections
import { frameAt } from '../../build/crs/index.js';
import { makeCity } from '../lib/synthetic.mjs';

const KINDS = ['building', 'paving', 'excavation', 'trench', 'fill', 'compaction', 'bore'];

/** @returns trees and polygons in metres, a flatbush over the polygons' boxes, and the city as it was made (lon/lat) */
export function makeScene(count, seed = 1, polygonsPerTree = 0.53) {
  const city = makeCity({ trees: count, polygonsPerTree, seed });
  const middle = city.trees[Math.floor(count / 2)];
  const frame = frameAt(middle.lon, middle.lat);
  const toFrame = (pairs) => {
    frame.toFrame(pairs, pairs);
    return pairs;
  };
  const xy = toFrame(Float64Array.from(city.trees.flatMap((t) => [t.lon, t.lat])));
  const r = Float64Array.from(city.trees, (t) => t.dbh_in * 0.3048); // 1 ft per inch
  const polygons = city.polygons.map((p) => toFrame(Float64Array.from(p.ring.slice(0, -1).flat())));
  const kinds = city.polygons.map((p) => Math.max(KINDS.indexOf(p.kind), 0));
  const index = new Flatbush(polygons.length);
  for (const ring of polygons) {
    const box = [Infinity, Infinity, -Infinity, -Infinity];
    for (let i = 0; i < ring.length; i += 2) {
      box[0] = Math.min(box[0], ring[i]);
      box[1] = Math.min(box[1], ring[i + 1]);
      box[2] = Math.max(box[2], ring[i]);
      box[3] = Math.max(box[3], ring[i + 1]);
    }
    index.add(...box);
  }
  index.finish();
  return { city, count, xy, r, polygons, kinds, index };
}
