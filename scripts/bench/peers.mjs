// The engines compared with ours, each doing the same job: percent of a zone inside the union of the polygons near it.
// In: a scene; out: for each engine a function of a tree that returns the percent. All use the same box index; all but
// ours replace the circle by a 64-sided polygon scaled to its area. Each is used as its documentation shows it used well:
// polygons are converted once, circles are built per tree.

import { createRequire } from 'node:module';
import {
  circle,
  featureCollection,
  intersect,
  area as turfArea,
  polygon as turfPolygon,
  union as turfUnion,
} from '@turf/turf';
import initGeosJs from 'geos-wasm';
import { intersection as polyIntersection, union as polyUnion } from 'polyclip-ts';
import { Meter } from '../../build/geometry/kernel/meter.js';
import { PieceBuilder } from '../../build/geometry/kernel/pieces.js';
import { spatialOrder } from '../../build/overlap/order.js';

const SIDES = 64;
const SCALE = Math.sqrt((2 * Math.PI) / SIDES / Math.sin((2 * Math.PI) / SIDES));
const CUTTING = new Set([0, 2, 3]);

function circleCorners(x, y, r) {
  const out = new Float64Array(SIDES * 2);
  for (let i = 0; i < SIDES; i++) {
    out[i * 2] = x + r * SCALE * Math.cos((2 * Math.PI * i) / SIDES);
    out[i * 2 + 1] = y + r * SCALE * Math.sin((2 * Math.PI * i) / SIDES);
  }
  return out;
}

const candidates = (scene, t) => {
  const x = scene.xy[t * 2];
  const y = scene.xy[t * 2 + 1];
  const r = scene.r[t];
  return scene.index.search(x - r, y - r, x + r, y + r);
};

/** Ours: overlap, severed ground, shares by kind and the nearest works, in one pass. */
export function exact(scene) {
  const builder = new PieceBuilder();
  scene.polygons.forEach((ring, i) => {
    builder.add([ring], { owner: i, classBit: 8 << scene.kinds[i], cuts: CUTTING.has(scene.kinds[i]) });
  });
  const meter = new Meter(builder.finish());
  const percent = (t) => {
    const r = scene.r[t];
    return (meter.discAndNearest(scene.xy[t * 2], scene.xy[t * 2 + 1], r) / (Math.PI * r * r)) * 100;
  };
  return { name: 'rootberth', percent, order: spatialOrder(scene.xy) };
}

export async function geos(scene) {
  const g = await initGeosJs();
  const scratch = g.Module._malloc((SIDES + 1) * 16);
  const cell = g.Module._malloc(8);
  const geom = (ring) => {
    const n = ring.length / 2;
    const at = n <= SIDES ? scratch : g.Module._malloc((n + 1) * 16);
    g.Module.HEAPF64.set(ring, at / 8);
    g.Module.HEAPF64[at / 8 + n * 2] = ring[0];
    g.Module.HEAPF64[at / 8 + n * 2 + 1] = ring[1];
    const seq = g.GEOSCoordSeq_copyFromBuffer(at, n + 1, 0, 0);
    if (at !== scratch) g.Module._free(at);
    return g.GEOSGeom_createPolygon(g.GEOSGeom_createLinearRing(seq), 0, 0);
  };
  const shapes = scene.polygons.map(geom);
  const area = (p) => {
    g.GEOSArea(p, cell);
    return g.Module.HEAPF64[cell / 8];
  };
  const percent = (t) => {
    const near = candidates(scene, t);
    if (near.length === 0) return 0;
    const r = scene.r[t];
    const zone = geom(circleCorners(scene.xy[t * 2], scene.xy[t * 2 + 1], r));
    let sum = 0;
    for (const p of near) {
      const part = g.GEOSIntersection(zone, shapes[p]);
      if (g.GEOSisEmpty(part) === 1) g.GEOSGeom_destroy(part);
      else if (sum === 0) sum = part;
      else {
        const both = g.GEOSUnion(sum, part);
        g.GEOSGeom_destroy(sum);
        g.GEOSGeom_destroy(part);
        sum = both;
      }
    }
    const out = sum === 0 ? 0 : (area(sum) / (Math.PI * r * r)) * 100;
    if (sum !== 0) g.GEOSGeom_destroy(sum);
    g.GEOSGeom_destroy(zone);
    return out;
  };
  return { name: 'geos-wasm (64-gon)', percent };
}

export async function clipper(scene) {
  const make = createRequire(import.meta.url)('clipper2-wasm');
  const c = await make();
  const toPaths = (ring) => {
    const path = c.MakePathD(Array.from(ring));
    const paths = new c.PathsD();
    paths.push_back(path);
    path.delete();
    return paths;
  };
  const percent = (t) => {
    const near = candidates(scene, t);
    if (near.length === 0) return 0;
    const r = scene.r[t];
    const x = scene.xy[t * 2];
    const y = scene.xy[t * 2 + 1];
    const local = (ring) => Array.from(ring, (v, i) => v - (i % 2 === 0 ? x : y));
    const zone = toPaths(circleCorners(0, 0, r));
    const works = new c.PathsD();
    for (const p of near) {
      const path = c.MakePathD(local(scene.polygons[p]));
      works.push_back(path);
      path.delete();
    }
    const cut = c.IntersectD(works, zone, c.FillRule.NonZero, 3);
    const out = (Math.abs(c.AreaPathsD(cut)) / (Math.PI * r * r)) * 100;
    for (const part of [zone, works, cut]) part.delete();
    return out;
  };
  return { name: 'clipper2-wasm (64-gon)', percent };
}

export function polyclip(scene) {
  const pairs = (ring) => {
    const out = [];
    for (let i = 0; i < ring.length; i += 2) out.push([ring[i], ring[i + 1]]);
    out.push(out[0]);
    return [out];
  };
  const ringArea = (ring) => {
    let sum = 0;
    for (let i = 0; i + 1 < ring.length; i++) sum += ring[i][0] * ring[i + 1][1] - ring[i + 1][0] * ring[i][1];
    return sum / 2;
  };
  const percent = (t) => {
    const near = candidates(scene, t);
    if (near.length === 0) return 0;
    const r = scene.r[t];
    const x = scene.xy[t * 2];
    const y = scene.xy[t * 2 + 1];
    const local = near.map((p) => pairs(Array.from(scene.polygons[p], (v, i) => v - (i % 2 === 0 ? x : y))));
    const works = polyUnion(local[0], ...local.slice(1));
    const cut = polyIntersection(pairs(circleCorners(0, 0, r)), works);
    let sum = 0;
    for (const polygon of cut) for (const ring of polygon) sum += ringArea(ring);
    return (sum / (Math.PI * r * r)) * 100;
  };
  return { name: 'polyclip-ts (64-gon)', percent };
}

/** As a script on lon/lat would do it: turf.circle, the index, union, intersect, area. */
export function turf(scene) {
  const shapes = scene.city.polygons.map((p) => turfPolygon([p.ring]));
  const percent = (t) => {
    const near = candidates(scene, t);
    if (near.length === 0) return 0;
    const tree = scene.city.trees[t];
    const zone = circle([tree.lon, tree.lat], scene.r[t], { steps: SIDES, units: 'meters' });
    const works = near.length === 1 ? shapes[near[0]] : turfUnion(featureCollection(near.map((p) => shapes[p])));
    const cut = intersect(featureCollection([zone, works]));
    return cut === null ? 0 : (turfArea(cut) / turfArea(zone)) * 100;
  };
  return { name: 'turf, indexed (64-gon)', percent };
}
