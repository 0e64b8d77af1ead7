// Our way into proj4's projections: the same as its own way in, to the last bit, for every system; and the list that a web
// page loads has what the systems need.
import { readFileSync } from 'node:fs';
import proj4 from 'proj4';
import { describe, expect, it } from 'vitest';
import { rows } from '../../src/crs/crs-table.js';
import { findCrs } from '../../src/crs/index.js';
import { projection } from '../../src/crs/projection.js';
import { canonical, METHODS } from '../../src/crs/wkt/wkt-methods.js';

const all = [...rows().keys()].map((code) => findCrs(`EPSG:${code}`));
/** Different systems repeat the same few projections: every one is met, and of each some hundreds at most. */
const sample = all.filter((_, i) => i % 4 === 0 || !/tmerc|lcc/.test(all[i]?.proj ?? ''));

describe('projections', () => {
  it('give the same bits as proj4.Proj, over the table', () => {
    let compared = 0;
    for (const { proj } of sample) {
      const ours = projection(proj);
      const theirs = new proj4.Proj(proj) as unknown as typeof ours & { long0?: number; lat0?: number };
      expect([ours.a, ours.es, ours.from_greenwich ?? 0], proj).toEqual([
        theirs.a,
        theirs.es,
        theirs.from_greenwich ?? 0,
      ]);
      expect((ours.datum_params ?? []).map(Number), proj).toEqual((theirs.datum_params ?? []).map(Number));
      for (const [east, north] of [
        [0.011, 0.007],
        [-0.02, 0.013],
      ] as const) {
        const at = { x: (theirs.long0 ?? 0) + east, y: (theirs.lat0 ?? 0.7) + north };
        const [a, b] = [ours, theirs].map((p) => ({ ...p.forward({ ...at }) }));
        expect(a, proj).toEqual(b);
        if (a?.x === undefined || a.y === undefined) continue;
        const xy = { x: a.x, y: a.y };
        expect({ ...ours.inverse({ ...xy }) }, proj).toEqual({ ...theirs.inverse({ ...xy }) });
        compared++;
      }
    }
    expect(compared).toBeGreaterThan(sample.length);
  });

  it('are all in what a web page loads', () => {
    const source = readFileSync(new URL('../../src/web/projections.ts', import.meta.url), 'utf8');
    const loaded = new Set([...source.matchAll(/^import (\w+) from 'proj4\/lib/gm)].map(([, name]) => name));
    const parameters: Readonly<Record<string, number>> = {
      latitudeofcenter: 40,
      longitudeofcenter: 9,
      standardparallel1: 38,
      standardparallel2: 42,
      azimuth: 30,
    };
    const ofTexts = [...METHODS].flatMap(([name, make]) => {
      const made = make((...names) => names.map((n) => parameters[n]).find((value) => value !== undefined));
      return made === undefined ? [] : [[name, canonical(made.projection, made.parameters).projection] as const];
    });
    expect(ofTexts.length).toBeGreaterThan(15);
    const used = new Set([
      ...all.map(({ proj }) => /\+proj=(\w+)/.exec(proj)?.[1]),
      ...ofTexts.map(([, name]) => name),
    ]);
    expect([...used].filter((name) => name === undefined || !loaded.has(name))).toEqual([]);
    expect([...loaded].filter((name) => !used.has(name))).toEqual([]);
  });
});
