// One impossible position among many: it stays, not assessed, and the others are assessed as without it.
import { describe, expect, test } from 'vitest';
import { assess, readLayer } from '../../src/core.js';

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
const json = (name: string, features: readonly object[]) =>
  readLayer(bytes(JSON.stringify({ type: 'FeatureCollection', features })), { name });
const at = (lon: number, lat: number, id: string) => ({
  type: 'Feature',
  properties: { id, dbh_cm: 50 },
  geometry: { type: 'Point', coordinates: [lon, lat] },
});
const SOUND = [at(-122.6, 45.5, 'A'), at(-122.6001, 45.5, 'B'), at(-122.6, 45.5001, 'C')];
const ring = [-122.59999, -122.5999, -122.5999, -122.59999, -122.59999].map((lon, i) => [
  lon,
  [45.49995, 45.49995, 45.50005, 45.50005, 45.49995][i],
]);
const house = json('house.geojson', [
  {
    type: 'Feature',
    properties: { id: 'house', kind: 'building' },
    geometry: { type: 'Polygon', coordinates: [ring] },
  },
]);
const alone = assess({ trees: json('trees.geojson', SOUND), works: [{ layer: house }] });

describe('a stray position in degrees', () => {
  test.each([
    ['swapped', 45.5, -122.6],
    ['absurd', -122600, 45.5],
  ])('%s in a GeoJSON', (_what, lon, lat) => {
    const trees = json('trees.geojson', [...SOUND, at(lon, lat, 'stray')]);
    const found = assess({ trees, works: [{ layer: house }] });
    expect(found.trees.slice(0, 3)).toEqual(alone.trees);
    expect(found.trees[3]).toMatchObject({ key: 'stray', verdict: 'not-assessed', reasons: ['geometry-broken'] });
    expect(found.counts.trees).toEqual({ in: 4, assessed: 3, notAssessed: 1 });
    const told = found.findings.find(({ code }) => code === 'geometry-broken');
    expect(told).toMatchObject({ feature: 3, id: 'stray' });
    expect(told?.message).toContain(`${lon}, ${lat} is not a longitude, latitude`);
    expect(told?.message.includes('swapped')).toBe(lon === 45.5);
  });

  test.each([['45.5,-122.6'], ['-122600,45.5']])('%s in a table', (place) => {
    const rows = 'A,-122.6,45.5,50\nB,-122.6001,45.5,50\nC,-122.6,45.5001,50';
    const trees = readLayer(bytes(`id,lon,lat,dbh_cm\n${rows}\nstray,${place},50\n`), { name: 'trees.csv' });
    const found = assess({ trees, works: [{ layer: house }], options: { crs: 'EPSG:4326' } });
    expect(found.trees.map(({ verdict }) => verdict)).toEqual([...alone.trees.map((t) => t.verdict), 'not-assessed']);
  });

  test('works with one stray corner are rejected, the others count', () => {
    const bad = ring.map((pair, i) => (i === 1 ? [45.5, -122.6] : pair));
    const works = json('works.geojson', [
      {
        type: 'Feature',
        properties: { id: 'bad', kind: 'building' },
        geometry: { type: 'Polygon', coordinates: [bad] },
      },
      {
        type: 'Feature',
        properties: { id: 'good', kind: 'building' },
        geometry: { type: 'Polygon', coordinates: [ring] },
      },
    ]);
    const found = assess({ trees: json('trees.geojson', SOUND), works: [{ layer: works }] });
    expect(found.counts.works).toMatchObject({ in: 2, counted: 1, rejected: 1 });
    expect(found.trees.map(({ overlapM2 }) => overlapM2)).toEqual(alone.trees.map(({ overlapM2 }) => overlapM2));
  });

  test('a file most of whose positions are impossible is refused', () => {
    const trees = json('trees.geojson', [at(-122.6, 45.5, 'A'), at(500, 1, 'B'), at(600, 2, 'C')]);
    expect(() => assess({ trees, works: [{ layer: house }] })).toThrow(/nothing says the coordinate system/);
  });
});
