// Moving one piece of works: the figures are those of the whole assessment of works that were moved in the file.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { assess, builtinRule, moveWorks, readLayer, ruleIds } from '../../src/core.js';
import { box, localJob } from '../support/local-job.js';

const demo = join(import.meta.dirname, '../..', 'data', 'demo');
const bytesOf = (name: string): Uint8Array => readFileSync(join(demo, name));
const trees = readLayer(bytesOf('survey.csv'), { name: 'survey.csv' });
const plan = JSON.parse(
  new TextDecoder().decode(bytesOf('works.geojson')),
) as GeoJSON.FeatureCollection<GeoJSON.Polygon>;
const layerOf = (collection: object) =>
  readLayer(new TextEncoder().encode(JSON.stringify(collection)), { name: 'works.geojson' });

function assessed(collection: object, rule: string) {
  return assess({
    trees,
    works: [{ layer: layerOf(collection) }],
    rule: builtinRule(rule),
    options: { crs: 'EPSG:2913', margins: false },
  });
}

/** Metres to degrees at the demo's latitude, by the ellipsoid's radii of curvature (WGS 84): not the library's way. */
function shift([lon, lat]: readonly number[], east: number, north: number): [number, number] {
  const rad = Math.PI / 180;
  const es = 0.0066943799901413165;
  const w2 = 1 - es * Math.sin(lat! * rad) ** 2;
  const meridian = (6378137 * (1 - es)) / w2 ** 1.5;
  const parallel = (6378137 / Math.sqrt(w2)) * Math.cos(lat! * rad);
  return [lon! + east / parallel / rad, lat! + north / meridian / rad];
}

const house = plan.features.findIndex(({ properties }) => properties?.kind === 'building');
const trench = plan.features.findIndex(({ properties }) => properties?.kind === 'trench');

describe('a piece that is moved', () => {
  it.each(ruleIds().map((id) => [id]))('%s: as assessed with the piece moved in the file', (rule) => {
    const home = assessed(plan, rule);
    for (const [row, east, north, turn] of [
      [house, 3.5, -2, 0],
      [house, -4, 2.5, 35],
      [trench, 0.8, 6, -4],
      [house, 0, 0, 0],
    ] as const) {
      const mover = moveWorks(home, row);
      mover.to(120, 0, 90); // where it has been leaves no trace
      const moved = mover.to(east, north, turn);
      const coordinates: number[][] = [];
      for (let i = 0; i < mover.lonLat.length; i += 2) coordinates.push([...mover.lonLat.slice(i, i + 2)]);
      const feature = plan.features[row]!;
      const geometry =
        (feature.geometry.type as string) === 'LineString'
          ? { type: 'LineString', coordinates }
          : { type: 'Polygon', coordinates: [[...coordinates, coordinates[0]]] };
      const features = plan.features.map((one, i) => (i === row ? { ...one, geometry } : one));
      const whole = assessed({ type: 'FeatureCollection', features }, rule);
      const live = new Map(moved.map((tree) => [tree.row, tree]));
      expect(moved.length).toBeGreaterThan(0);
      for (const tree of whole.trees) {
        const now = live.get(tree.row) ?? home.tree(tree.row);
        expect(now.verdict, tree.key).toBe(tree.verdict);
        if (tree.overlapPct === null) continue;
        expect(now.overlapPct, tree.key).toBeCloseTo(tree.overlapPct, 9);
        expect(now.severedPct, tree.key).toBeCloseTo(tree.severedPct!, 9);
        expect(now.affectedPct, tree.key).toBeCloseTo(tree.affectedPct!, 9);
      }
    }
  });

  it('goes so many metres east and north on the ground', () => {
    const home = assessed(plan, 'foot-per-inch');
    const mover = moveWorks(home, house);
    const before = mover.lonLat.slice();
    mover.to(30, -12);
    // The frame's north is within a tenth of a degree of true north: 5 cm over 32 m.
    for (let i = 0; i < before.length; i += 2) {
      const [lon, lat] = shift([before[i]!, before[i + 1]!], 30, -12);
      const metres = 111_000;
      expect(Math.abs(mover.lonLat[i]! - lon) * metres * 0.7).toBeLessThan(0.06);
      expect(Math.abs(mover.lonLat[i + 1]! - lat) * metres).toBeLessThan(0.06);
    }
  });

  it('turns clockwise about the middle of its corners, true to size', () => {
    const home = assessed(plan, 'foot-per-inch');
    const mover = moveWorks(home, house);
    // By the ellipsoid's radii about its centre: metres east and north of it.
    const [lon0, lat0] = mover.centre;
    const [lonE, latN] = shift([lon0, lat0], 1, 1);
    const placed = (): [number, number][] =>
      Array.from({ length: mover.lonLat.length / 2 }, (_, i) => [
        (mover.lonLat[i * 2]! - lon0) / (lonE - lon0),
        (mover.lonLat[i * 2 + 1]! - lat0) / (latN - lat0),
      ]);
    const before = placed();
    for (const axis of [0, 1]) expect(Math.abs(before.reduce((sum, at) => sum + at[axis]!, 0))).toBeLessThan(1e-3);
    mover.to(0, 0, 90);
    // A quarter turn clockwise: what lay north lies east.
    placed().forEach(([x, y], i) => {
      const [e, n] = before[i]!;
      expect(Math.hypot(x - n, y + e)).toBeLessThan(0.01);
    });
  });

  it('comes home to the figures it left', () => {
    const home = assessed(plan, 'foot-per-inch');
    const mover = moveWorks(home, house);
    mover.to(5, 5);
    for (const tree of mover.to(0, 0)) {
      expect(tree.overlapPct).toBe(home.tree(tree.row).overlapPct);
      expect(tree.verdict).toBe(home.tree(tree.row).verdict);
    }
  });

  it('a group that works reach into has no trunk to stand in them', () => {
    const home = localJob(
      [box(0, 0, 30, 2, { id: 'H1', dbh_cm: 20 })],
      [box(14, -3, 15, 5, { id: 'cut', kind: 'trench' })],
    );
    const [group] = moveWorks(home, 0).to(0, 0);
    expect(group).toMatchObject({ overlapPct: home.tree(0).overlapPct, severedPct: 0, verdict: 'within-limit' });
  });
});
