// The plan of a split, without files: every tree in one tile, work shared out evenly, halos that lose nothing, byte ranges that
// hold each feature, records in their order.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  boxesOf,
  fromRuns,
  interleaved,
  joinedRanges,
  LineScanner,
  partition,
  RangeScanner,
  rowsNear,
  runsOf,
} from '../../src/tiles/index.js';
import { runs } from '../support/runs.js';

const encode = (text: string): Uint8Array => new TextEncoder().encode(text);

describe('tiles', () => {
  const place = fc.tuple(
    fc.integer({ min: -9, max: 9 }),
    fc.integer({ min: -9, max: 9 }),
    fc.integer({ min: 1, max: 40 }),
  );

  test('hold every tree once, none is empty, and boxes and costs are those of their trees', () => {
    fc.assert(
      fc.property(
        fc.array(place, { minLength: 1, maxLength: 60 }),
        fc.integer({ min: 1, max: 20 }),
        (places, asked) => {
          // places on a coarse lattice: many stand on one line, some on each other
          const lonLat = Float64Array.from(
            places.flatMap(([x, y]) => (x === 9 ? [Number.NaN, Number.NaN] : [x / 100, y / 100])),
          );
          const costs = Float64Array.from(places, ([, , cost]) => cost);
          const { count, tileOf, boxes, costs: sums } = partition(lonLat, costs, asked);
          const placed = places.filter(([x]) => x !== 9).length;
          expect(count).toBe(Math.max(1, Math.min(asked, placed)));
          expect(tileOf.every((tile) => tile < count)).toBe(true);
          if (placed > 0) expect(new Set(tileOf).size).toBe(count);
          expect(sums.reduce((a, b) => a + b)).toBe(costs.reduce((a, b) => a + b));
          places.forEach(([x], tree) => {
            if (x === 9) return;
            const box = boxes.subarray(tileOf[tree]! * 4, tileOf[tree]! * 4 + 4);
            for (const side of [0, 1]) {
              const at = lonLat[tree * 2 + side]!;
              expect(box[side]! <= at && at <= box[side + 2]!).toBe(true);
            }
          });
        },
      ),
      runs(100),
    );
  });

  test('are equal in cost, not in trees or area: half the trees cost ten times as much', () => {
    const n = 20_000;
    const lonLat = new Float64Array(n * 2);
    let state = 1;
    const next = (): number => {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      return state / 2 ** 32;
    };
    for (let i = 0; i < n * 2; i++) lonLat[i] = 45 + next() ** 3;
    const costs = Float64Array.from({ length: n }, (_, i) => (lonLat[i * 2]! < 45.1 ? 10 : 1));
    const { costs: sums } = partition(lonLat, costs, 37);
    const mean = sums.reduce((a, b) => a + b) / 37;
    expect(Math.max(...sums) / mean).toBeLessThan(1.15);
    expect(Math.min(...sums) / mean).toBeGreaterThan(0.85);
  });

  test('find the works within their reach, across 180 degrees too; works without a corner never', () => {
    const point = (lon: number, lat: number): number[] => [lon, lat, lon + 0.0001, lat + 0.0001];
    const xy = Float64Array.from([...point(179.9999, 10), ...point(-179.995, 10), ...point(10, 10)]);
    const geometry = {
      kind: new Uint8Array(4),
      partStart: Uint32Array.of(0, 1, 2, 2, 3),
      ringStart: Uint32Array.of(0, 1, 2, 3),
      vertexStart: Uint32Array.of(0, 2, 4, 6),
      xy,
      z: null,
      m: null,
    };
    const near = rowsNear(boxesOf(geometry, xy));
    expect([...near([179.999, 10, 179.9995, 10], 1000)]).toEqual([0, 1]);
    expect([...near([179.999, 10, 179.9995, 10], 200)]).toEqual([0]);
    expect([...near([10.005, 10, 10.006, 10], 1000)]).toEqual([3]);
    expect([...near([Number.NaN, 0, 0, 0], 1000)]).toEqual([]);
  });
});

describe('bytes', () => {
  const value = fc.oneof(fc.string(), fc.integer(), fc.constantFrom('"features":[{', '\\"}]', '{"a":[', '\u00e9\n'));
  const feature = fc.record({
    type: fc.constant('Feature'),
    properties: fc.dictionary(fc.string(), value),
    geometry: fc.constant(null),
  });

  test('of each feature of a collection, whatever stands in texts, spaced or not, in chunks of any size', () => {
    fc.assert(
      fc.property(
        fc.array(feature),
        fc.boolean(),
        fc.integer({ min: 1, max: 40 }),
        fc.string(),
        (features, spaced, size, name) => {
          const bytes = encode(JSON.stringify({ name, features, more: { features: [1] } }, null, spaced ? 2 : 0));
          const scanner = new RangeScanner();
          for (let at = 0; at < bytes.length; at += size) scanner.push(bytes.subarray(at, at + size));
          const ranges = scanner.take(features.length);
          expect(ranges).not.toBeNull();
          const texts = Array.from(ranges?.start ?? [], (from, i) =>
            new TextDecoder().decode(bytes.subarray(from, ranges?.end[i])),
          );
          expect(texts.map((text) => JSON.parse(text))).toEqual(JSON.parse(JSON.stringify(features)));
        },
      ),
      runs(100),
    );
  });

  test('of lines; what is not as many features is left to be read whole', () => {
    const scanner = new LineScanner();
    for (const part of ['a,b\r\n1,', '2\r\n\n  \n 3,4 ', '\n5,6']) scanner.push(encode(part));
    const ranges = scanner.take(3, 1);
    expect([ranges?.start, ranges?.end]).toEqual([Float64Array.of(5, 14, 20), Float64Array.of(8, 19, 23)]);
    expect(new LineScanner().take(1, 0)).toBeNull();
    const twice = new RangeScanner();
    twice.push(encode('{"features":[{}],"features":[{}]}'));
    expect(twice.take(2)).toBeNull();
  });

  test('of rows that follow each other are one range', () => {
    const [start, end] = [Float64Array.of(0, 10, 20, 30), Float64Array.of(8, 18, 28, 38)];
    expect(joinedRanges(Uint32Array.of(0, 1, 3), start, end)).toEqual([0, 18, 30, 8]);
    expect(runsOf([0, 1, 3])).toEqual([0, 2, 3, 1]);
    expect(fromRuns([0, 2, 3, 1])).toEqual(Uint32Array.of(0, 1, 3));
  });
});

test('records of tiles come by row, those of a row in their order, each once', () => {
  fc.assert(
    fc.property(
      fc.array(fc.tuple(fc.integer({ min: 0, max: 5 }), fc.integer({ min: 0, max: 3 })), { maxLength: 40 }),
      (rows) => {
        const tiles = Array.from({ length: 6 }, (): { row: number; text: string }[] => []);
        const expected: string[] = [];
        rows.forEach(([tile, records], row) => {
          for (let r = 0; r < records; r++) {
            tiles[tile]?.push({ row, text: `${row}/${r}` });
            expected.push(`${row}/${r}`);
          }
        });
        const sources = tiles.map((records) => {
          let at = 0;
          return {
            get row() {
              return records[at]?.row ?? -1;
            },
            next: () => encode(records[at++]?.text ?? ''),
          };
        });
        expect([...interleaved(sources)].map((bytes) => new TextDecoder().decode(bytes))).toEqual(expected);
      },
    ),
    runs(100),
  );
});
