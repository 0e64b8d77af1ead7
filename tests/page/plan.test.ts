// What is drawn and changed on the page, without a browser: shapes in closed form, layers that go through unchanged.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findCrs, frameAt, transformFor } from '../../src/crs/index.js';
import { readLayer } from '../../src/index.js';
import {
  areaOf,
  bearingOf,
  byTies,
  carried,
  moved,
  rectangle,
  running,
  similarity,
  snapped,
} from '../../src/page/plan/geometry.js';
import { History } from '../../src/page/plan/history.js';
import { collectionText, movedPiece, piecesOf } from '../../src/page/plan/layer-edit.js';
import { Plane } from '../../src/page/plan/plane.js';

const near = (found: readonly number[], wanted: readonly number[], digits = 9): void => {
  expect(found.length).toBe(wanted.length);
  found.forEach((value, i) => {
    expect(value).toBeCloseTo(wanted[i]!, digits);
  });
};

describe('shapes', () => {
  it('a rectangle by width and depth, to either side of its front', () => {
    near(rectangle([0, 0], 90, 12, -8), [0, 0, 12, 0, 12, 8, 0, 8]);
    near(rectangle([1, 2], 0, 3, 4), [1, 2, 1, 5, 5, 5, 5, 2]);
  });

  it('running dimensions close, and what they miss is spread', () => {
    const square = [0, 1, 2, 3].map((i) => ({ lengthM: 10, turn: i === 0 ? 0 : 90 }));
    const exact = running([0, 0], 0, square);
    expect(exact.closingM).toBeCloseTo(0, 12);
    near(exact.ring, [0, 0, 0, 10, 10, 10, 10, 0]);
    // The last side is 0.4 m too long: it ends 0.4 m west of the first corner, and each corner takes its share of that.
    const off = running([0, 0], 0, [...square.slice(0, 3), { lengthM: 10.4, turn: 90 }]);
    expect(off.closingM).toBeCloseTo(0.4, 12);
    near(off.ring, [0, 0, (0.4 * 10) / 40.4, 10, 10 + (0.4 * 20) / 40.4, 10, 10 + (0.4 * 30) / 40.4, 0]);
  });

  it('two tapes fix a place on the side that is said: the 3-4-5 triangle', () => {
    const [a, b] = [
      { from: [0, 0] as const, distanceM: 30 },
      { from: [40, 0] as const, distanceM: 50 },
    ];
    near(byTies(a, b, 'left')!, [0, 30]);
    near(byTies(a, b, 'right')!, [0, -30]);
    expect(byTies(a, { from: [100, 0], distanceM: 50 }, 'left')).toBeNull();
  });

  it('two tapes to any place find it again', () => {
    const coordinate = fc.double({ min: -50, max: 50, noNaN: true });
    fc.assert(
      fc.property(coordinate, coordinate, (x, y) => {
        fc.pre(Math.abs(y) > 0.01);
        const tie = (fx: number) => ({ from: [fx, 0] as const, distanceM: Math.hypot(x - fx, y) });
        near(byTies(tie(-60), tie(60), y > 0 ? 'left' : 'right')!, [x, y], 6);
      }),
    );
  });

  it('moves and turns without a change of area, and back again', () => {
    const ring = fc.array(fc.double({ min: -100, max: 100, noNaN: true }), { minLength: 6, maxLength: 12 });
    const turn = fc.double({ min: -360, max: 360, noNaN: true });
    fc.assert(
      fc.property(ring, turn, (flat, turnDeg) => {
        const xy = flat.slice(0, flat.length - (flat.length % 2));
        const about = [3, 4] as const;
        const there = carried(xy, { east: 5, north: -7, turnDeg, about });
        expect(areaOf(there)).toBeCloseTo(areaOf(xy), 6);
        const home = carried(there, { east: -5, north: 7, turnDeg: 0, about });
        near(carried(home, { east: 0, north: 0, turnDeg: -turnDeg, about }), xy, 8);
      }),
    );
    expect(bearingOf([0, 0], [0, -1])).toBe(180);
    near(carried([1, 0], { east: 0, north: 0, turnDeg: 90, about: [0, 0] }), [0, -1]); // clockwise
  });

  it('a picture is laid by two places: any two are taken where they belong, and shapes are kept', () => {
    const place = fc.tuple(
      fc.double({ min: -50, max: 50, noNaN: true }),
      fc.double({ min: -50, max: 50, noNaN: true }),
    );
    fc.assert(
      fc.property(place, place, place, place, place, (p, q, u, v, other) => {
        fc.pre(Math.hypot(q[0] - p[0], q[1] - p[1]) > 0.1 && Math.hypot(v[0] - u[0], v[1] - u[1]) > 0.1);
        const map = similarity([p, q], [u, v])!;
        near(moved(map, p), u, 6);
        near(moved(map, q), v, 6);
        const scale = Math.hypot(v[0] - u[0], v[1] - u[1]) / Math.hypot(q[0] - p[0], q[1] - p[1]);
        const [a, b] = [moved(map, p), moved(map, other)];
        expect(Math.hypot(b[0] - a[0], b[1] - a[1])).toBeCloseTo(
          scale * Math.hypot(other[0] - p[0], other[1] - p[1]),
          4,
        );
      }),
    );
    expect(
      similarity(
        [
          [1, 1],
          [1, 1],
        ],
        [
          [0, 0],
          [1, 0],
        ],
      ),
    ).toBeNull();
  });

  it('snaps to a corner before a side, and to nothing out of reach', () => {
    const line = [0, 0, 10, 0, 10, 10];
    expect(snapped([9.8, 0.3], [line], 0.5)).toEqual([10, 0]);
    expect(snapped([5, 0.3], [line], 0.5)).toEqual([5, 0]);
    expect(snapped([5, 3], [line], 0.5)).toBeNull();
  });
});

describe('undo and redo', () => {
  it('goes back to the beginning and forth again, and a new step ends what was undone', () => {
    const history = new History(0);
    for (let i = 1; i <= 500; i++) history.push(i, `step ${i}`);
    for (let i = 499; i >= 0; i--) {
      history.undo();
      expect(history.now).toBe(i);
    }
    expect([history.undo(), history.redo(), history.now]).toEqual([null, 'step 1', 1]);
    history.push(7, 'seven');
    expect([history.redoable, history.undoable]).toEqual([null, 'seven']);
  });
});

describe('a layer that is changed', () => {
  const text = JSON.stringify({
    type: 'FeatureCollection',
    crs: { type: 'name', properties: { name: 'urn:ogc:def:crs:EPSG::2913' } },
    features: [
      {
        type: 'Feature',
        id: 7,
        properties: { tag: 'T1', nested: { a: [1] } },
        geometry: { type: 'Point', coordinates: [7650000.25, 680000.5, 312.4] },
      },
      {
        type: 'Feature',
        properties: {},
        geometry: {
          type: 'MultiPolygon',
          coordinates: [
            [
              [
                [0, 0],
                [9, 0],
                [9, 9],
                [0, 0],
              ],
              [
                [2, 1],
                [5, 1],
                [5, 4],
                [2, 1],
              ],
            ],
            [
              [
                [20, 0],
                [30, 0],
                [30, 5],
                [20, 0],
              ],
            ],
          ],
        },
      },
      { type: 'Feature', properties: null, geometry: null },
      {
        type: 'Feature',
        properties: { width_ft: 10 },
        geometry: {
          type: 'LineString',
          coordinates: [
            [0, 0],
            [5, 5],
          ],
        },
      },
    ],
  });
  const transform = transformFor(findCrs('EPSG:2913'));
  const layerOf = (json: string) => readLayer(new TextEncoder().encode(json), { name: 'plan.geojson' });

  it('goes through untouched: properties, ids, heights, holes', () => {
    const layer = layerOf(text);
    const again = JSON.parse(collectionText(piecesOf(layer), transform));
    const wanted = JSON.parse(text);
    wanted.features[2].properties = {};
    expect(again).toEqual(wanted);
  });

  it('a piece moves by metres on the ground, and the others do not move', () => {
    const at = Float64Array.of(7650000, 680000);
    transform.toLonLat(at);
    const plane = new Plane(frameAt(at[0]!, at[1]!));
    const pieces = piecesOf(layerOf(text));
    const moved = movedPiece(pieces[0]!, { east: 3, north: 4, turnDeg: 0, about: [0, 0] }, plane, transform);
    const [x, y, height] = moved.geometry!.coordinates as number[];
    expect(Math.hypot(x! - 7650000.25, y! - 680000.5) * 0.3048).toBeCloseTo(5, 2); // the grid's scale and turn are small here
    expect(height).toBe(312.4);
    const back = movedPiece(moved, { east: -3, north: -4, turnDeg: 0, about: [0, 0] }, plane, transform);
    near((back.geometry!.coordinates as number[]).slice(0, 2), [7650000.25, 680000.5], 5);
  });
});
