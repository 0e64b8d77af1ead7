// The lattice frames: what they keep true (areas, distances, there and back) and that they are a function of place alone.

import fc from 'fast-check';
import geodesic from 'geographiclib-geodesic';
import { describe, expect, it } from 'vitest';
import { CELL, cellOf, frameAt, frameKey, frameOf } from '../../src/crs/index.js';

const { Geodesic, PolygonArea } = geodesic as unknown as {
  Geodesic: {
    WGS84: {
      Inverse(lat1: number, lon1: number, lat2: number, lon2: number): { s12: number };
      Direct(lat: number, lon: number, azimuth: number, s: number): { lat2: number; lon2: number };
    };
  };
  PolygonArea: {
    PolygonArea: new (
      g: unknown,
      line?: boolean,
    ) => {
      AddPoint(lat: number, lon: number): void;
      Compute(reverse: boolean, sign: boolean): { area: number };
    };
  };
};
const geod = Geodesic.WGS84;

function toFrame(frame: ReturnType<typeof frameAt>, ring: readonly (readonly [number, number])[]): Float64Array {
  const xy = Float64Array.from(ring.flat());
  frame.toFrame(xy, xy);
  return xy;
}

function shoelace(xy: Float64Array): number {
  let twice = 0;
  const n = xy.length;
  for (let i = 0; i < n; i += 2) twice += xy[i]! * xy[(i + 3) % n]! - xy[(i + 2) % n]! * xy[i + 1]!;
  return twice / 2;
}

/** A disc of given radius on the ellipsoid, as lon/lat corners. */
function disc(lon: number, lat: number, radius: number, corners = 64): [number, number][] {
  return Array.from({ length: corners }, (_, k) => {
    const p = geod.Direct(lat, lon, -(360 * k) / corners, radius);
    return [p.lon2, p.lat2];
  });
}

const place = fc.record({
  lon: fc.double({ min: -179.999, max: 179.999, noNaN: true }),
  lat: fc.double({ min: -80, max: 80, noNaN: true }),
});

describe('the lattice', () => {
  it('a cell holds its west and south edge; 180 is -180; the poles belong to the last rows', () => {
    expect(cellOf(frameKey(-122.75, 45.25))).toEqual({ west: -122.75, south: 45.25, east: -122.5, north: 45.5 });
    expect(frameKey(180, 10)).toBe(frameKey(-180, 10));
    expect(frameKey(190, 10)).toBe(frameKey(-170, 10));
    expect(cellOf(frameKey(0, 90))).toEqual({ west: 0, south: 89.75, east: 0.25, north: 90 });
    expect(cellOf(frameKey(0, -90)).south).toBe(-90);
    expect(frameKey(Number.NaN, 0)).toBeNaN();
    expect(() => frameAt(Number.NaN, 0)).toThrow(RangeError);
  });

  it('every place lies in its own cell, and a frame is the same object for the same cell', () => {
    fc.assert(
      fc.property(place, ({ lon, lat }) => {
        const key = frameKey(lon, lat);
        const { west, south, east, north } = cellOf(key);
        expect(lon >= west && lon < east && lat >= south && lat < north).toBe(true);
        expect(frameAt(lon, lat)).toBe(frameOf(key));
        expect(frameAt(lon, lat).key).toBe(key);
      }),
    );
  });
});

describe('true to size', () => {
  it.each([
    ['in the middle of a cell', -122.625, 45.375],
    ['near a corner of a cell', -122.7499, 45.2501],
    ['at the equator', 36.8199, -0.001],
    ['far north', 24.95, 70.01],
    ['in the south', 151.2, -33.9],
    ['across the antimeridian', 179.9999, -16.5],
  ])('a disc of 15 m and one of 500 m %s have the area GeographicLib gives, within 1e-5', (_where, lon, lat) => {
    for (const radius of [15, 500]) {
      const ring = disc(lon, lat, radius);
      const polygon = new PolygonArea.PolygonArea(geod, false);
      for (const [x, y] of ring) polygon.AddPoint(y, x);
      const truth = polygon.Compute(false, true).area;
      const area = shoelace(toFrame(frameAt(lon, lat), ring));
      expect(truth).toBeGreaterThan(0);
      expect(Math.abs(area / truth - 1)).toBeLessThan(1e-5);
    }
  });

  it('distances of 100 m agree with the geodesic within 3e-6, anywhere, in any direction', () => {
    fc.assert(
      fc.property(place, fc.double({ min: 0, max: 360, noNaN: true }), ({ lon, lat }, azimuth) => {
        const end = geod.Direct(lat, lon, azimuth, 100);
        const xy = toFrame(frameAt(lon, lat), [
          [lon, lat],
          [end.lon2, end.lat2],
        ]);
        const d = Math.hypot(xy[2]! - xy[0]!, xy[3]! - xy[1]!);
        expect(Math.abs(d / 100 - 1)).toBeLessThan(3e-6);
      }),
    );
  });

  it('over the seam: the two frames beside it give the same distance, mirrored, within 1e-7', () => {
    const seam = -122.5;
    for (const lat of [0.1, 30.1, 45.3, 60.2]) {
      const pair = [
        [seam - 0.0002, lat],
        [seam + 0.0002, lat + 0.0003],
      ] as const;
      const d = [frameAt(seam - 0.1, lat), frameAt(seam + 0.1, lat)].map((frame) => {
        const xy = toFrame(frame, pair);
        return Math.hypot(xy[2]! - xy[0]!, xy[3]! - xy[1]!);
      });
      expect(Math.abs(d[0]! / d[1]! - 1)).toBeLessThan(1e-7);
    }
  });

  it('south of a seam and north of it the difference is as small', () => {
    const pair = [
      [-122.55, 45.4998],
      [-122.5503, 45.5002],
    ] as const;
    const d = [frameAt(-122.55, 45.4), frameAt(-122.55, 45.6)].map((frame) => {
      const xy = toFrame(frame, pair);
      return Math.hypot(xy[2]! - xy[0]!, xy[3]! - xy[1]!);
    });
    expect(Math.abs(d[0]! / d[1]! - 1)).toBeLessThan(1e-9);
  });
});

describe('there and back', () => {
  it('within 0.1 mm over the cell and 50 km beyond', () => {
    const metres = fc.double({ min: -50_000, max: 50_000, noNaN: true });
    fc.assert(
      fc.property(place, metres, metres, ({ lon, lat }, dx, dy) => {
        const frame = frameAt(lon, lat);
        const xy = Float64Array.of(dx, dy);
        const out = new Float64Array(2);
        frame.toLonLat(xy, out);
        frame.toFrame(out, out);
        expect(Math.hypot(out[0]! - dx, out[1]! - dy)).toBeLessThan(1e-4);
      }),
    );
  });

  it('writes into another array or into its own, and passes NaN on', () => {
    const frame = frameAt(-122.7, 45.4);
    const ll = Float64Array.of(-122.7, 45.4, Number.NaN, Number.NaN);
    const out = new Float64Array(4);
    frame.toFrame(ll, out);
    expect(ll[0]).toBe(-122.7);
    frame.toFrame(ll, ll);
    expect([...ll]).toEqual([...out]);
    expect(out[2]).toBeNaN();
  });

  it('convergence: clockwise from true north to the y axis, zero on the middle meridian', () => {
    const frame = frameAt(-122.7, 45.4);
    expect(frame.convergence(0, 0)).toBeCloseTo(0, 9);
    const east = Float64Array.of(frame.lon0 + 0.1, 45.4);
    frame.toFrame(east, east);
    // sine of the latitude times the longitude from the meridian, to first order
    const expected = 0.1 * Math.sin((45.4 * Math.PI) / 180);
    expect(frame.convergence(east[0]!, east[1]!)).toBeCloseTo(expected, 5);
    expect(CELL).toBe(0.25);
  });
});
