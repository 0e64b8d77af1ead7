// What must hold of names and properties kept as bytes: in: any properties; out: the values, keys and findings that the
// same features give as objects.

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkTrees } from '../../src/check/index.js';
import { NameTable } from '../../src/check/names.js';
import type { Layer, Properties } from '../../src/model/index.js';
import { LayerBuilder } from '../../src/model/index.js';
import { readLayer } from '../../src/read/index.js';
import { named } from '../support/check-layers.js';
import { runs } from '../support/runs.js';

const encoder = new TextEncoder();

function asBytes(all: readonly Properties[]): Layer {
  const features = all.map((properties) => ({
    type: 'Feature',
    properties,
    geometry: { type: 'Point', coordinates: [1, 2] },
  }));
  return readLayer(encoder.encode(JSON.stringify({ type: 'FeatureCollection', features })), { name: 't.geojson' });
}

function asObjects(all: readonly Properties[]): Layer {
  const into = new LayerBuilder('t.geojson', 'geojson');
  for (const properties of all) {
    into.begin('point');
    into.part();
    into.ring();
    into.vertex(1, 2);
    into.end(properties);
  }
  return into.finish({ crs: { from: 'rfc7946', text: 'OGC:CRS84' }, sha256: null });
}

const id = fc.oneof(
  fc.constantFrom('A', 'A#2', 'A#3', ' A', 'A ', '', ' ', '1', '01', 'é', 'a"b', 'a\\b', 't.geojson:1', '\u007f'),
  fc.integer({ min: -3, max: 12 }),
  fc.constantFrom(1.5, 1e21, -0, 123456789012345680, null, true),
);

describe('names', () => {
  it('are the same from bytes and from objects, doubled ones and their findings too', () => {
    fc.assert(
      fc.property(fc.array(fc.record({ id, dbh_m: fc.constant(0.3) }), { minLength: 1, maxLength: 30 }), (all) => {
        const [a, b] = [checkTrees(asBytes(all)), checkTrees(asObjects(all))];
        expect(named(a.table.key)).toEqual(named(b.table.key));
        expect(new Set(named(a.table.key)).size).toBe(all.length);
        const told = (of: typeof a): string[] => of.findings.map((f) => `${f.code} ${f.id} ${f.message}`);
        expect(told(a)).toEqual(told(b));
      }),
      { numRuns: runs(120) },
    );
  });

  it('are found again among thousands, and no others', () => {
    const table = new NameTable();
    for (let i = 0; i < 5000; i++) expect(table.addText(`tree ${i * 7}`)).toBe(-1);
    for (let i = 0; i < 5000; i++) {
      expect(table.addText(`tree ${i * 7}`)).toBe(i);
      expect(table.rowOfText(`tree ${i * 7 + 1}`)).toBe(-1);
    }
    expect([table.length, table.at(4999), table.at(5000), table.at(-1)]).toEqual([
      5000,
      'tree 34993',
      undefined,
      undefined,
    ]);
  });
});

describe('values', () => {
  it('are what JSON.parse makes of the object, whatever is in it', () => {
    const key = fc.oneof(fc.constantFrom('a', 'b', 'a"', 'ü', 'a\\', ''), fc.string({ maxLength: 4 }));
    const number = fc.oneof(
      fc.constantFrom(9007199254740987, 2 ** 53 + 2, 0.1, -0, 1e23, 5e-324, 123456789.123456),
      fc.double({ noNaN: true, noDefaultInfinity: true }),
      fc.integer(),
      fc.maxSafeInteger(),
    );
    const value = fc.oneof(number, fc.string({ unit: 'grapheme' }), fc.jsonValue());
    fc.assert(
      fc.property(fc.array(fc.dictionary(key, value), { minLength: 1, maxLength: 5 }), (all) => {
        const layer = asBytes(all);
        all.forEach((properties, f) => {
          const parsed = JSON.parse(JSON.stringify(properties)) as Properties;
          for (const name of ['a', 'b', ...Object.keys(properties)]) {
            const expected = Object.hasOwn(parsed, name) ? parsed[name] : undefined;
            expect(layer.value(f, name)).toEqual(expected);
          }
        });
      }),
      { numRuns: runs(200) },
    );
  });
});
