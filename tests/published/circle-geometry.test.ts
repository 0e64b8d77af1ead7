// Plane geometry of a circle: closed forms any handbook of mensuration gives (segment: r^2 acos(d/r) - d sqrt(r^2 - d^2));
// the figures were computed from them to 10 places and checked with a second engine to 1e-7.
import { describe, expect, it } from 'vitest';
import { Meter } from '../../src/geometry/kernel/meter.js';
import { PieceBuilder } from '../../src/geometry/kernel/pieces.js';
import { circleRing, quartersRing, segmentsFor } from '../../src/geometry/rings/outline.js';
import { signedArea } from '../../src/geometry/rings/ring.js';

/** Overlap of the unit disc about the origin, through the closed form (no cut) and through the sweep (cut). */
function overlap(...polygons: number[][]): number {
  const areas = [false, true].map((cuts) => {
    const b = new PieceBuilder();
    for (const p of polygons) b.add([p], { owner: 0, classBit: 8, cuts });
    return new Meter(b.finish()).disc(0, 0, 1);
  });
  expect(areas[0]).toBeCloseTo(areas[1]!, 12);
  return areas[1]!;
}

const FAR = 50;
const rect = (x0: number, y0: number, x1: number, y1: number): number[] => [x0, y0, x1, y0, x1, y1, x0, y1];
const percent = (area: number): number => (area / Math.PI) * 100;

describe('circle and half plane: percent beyond a chord at d / r', () => {
  it.each([
    [0, 50],
    [0.1, 43.6444285785],
    [0.2, 37.3530039052],
    [0.25, 34.2518821237],
    [0.3, 31.1918832391],
    [1 / 3, 29.1791405791],
    [0.4, 25.2315787734],
    [0.5, 19.5501109478],
    [0.6, 14.2378489933],
    [0.7, 9.4060202187],
    [Math.SQRT1_2, 9.0845056908], // 1/4 - 1/(2 pi)
    [0.75, 7.2146806407],
    [0.8, 5.2044019331],
    [Math.sqrt(3) / 2, 2.8834442811], // 1/6 - sqrt(3)/(4 pi)
    [0.9, 1.8693036734],
    [1, 0],
  ])('d / r = %f', (d, expected) => {
    expect(percent(overlap(rect(d, -FAR, FAR, FAR)))).toBeCloseTo(expected, 9);
    expect(percent(overlap(rect(-FAR, -FAR, -d, FAR)))).toBeCloseTo(expected, 9);
    expect(percent(overlap(rect(-FAR, d, FAR, FAR)))).toBeCloseTo(expected, 9);
  });

  it.each([
    [5, 0.8053836365],
    [10, 0.6870488261],
    [15, 0.5851374229],
    [20, 0.4918618328],
    [25, 0.4039727533],
    [30, 0.3196915098],
    [100 / 3, 0.2649320846],
    [40, 0.1577361938],
  ])('a loss of %f %% at d / r = %f', (loss, d) => {
    expect(percent(overlap(rect(d, -FAR, FAR, FAR)))).toBeCloseTo(loss, 7);
  });
});

describe('strips (trenches) between chords', () => {
  it.each([
    [0, 0.2, 12.6469960948],
    [0.3, 0.5, 11.6417722913],
    [-0.1, 0.1, 12.711142843],
    [0.5, 0.7, 10.1440907291],
  ])('%f to %f', (a, b, expected) => {
    expect(percent(overlap(rect(a, -FAR, b, FAR)))).toBeCloseTo(expected, 9);
  });
});

describe('centred squares and corners', () => {
  it.each([
    [0.5, 1],
    [Math.SQRT1_2, 2],
    [0.8, 2.487588218417],
    [Math.sqrt(3) / 2, Math.PI / 3 + Math.sqrt(3)],
    [0.9, 2.906689026079],
    [1, Math.PI],
  ])('half side %f', (h, area) => {
    expect(overlap(rect(-h, -h, h, h))).toBeCloseTo(area, 11);
  });

  it('a corner at the trunk takes exactly a quarter', () => {
    expect(percent(overlap(rect(0, 0, FAR, FAR)))).toBeCloseTo(25, 12);
    expect(percent(overlap(rect(-FAR, 0, 0, FAR)))).toBeCloseTo(25, 12);
  });

  it.each([
    [0.5, 0.5, 0.078786685907],
    [0.3, 0.4, 0.220899505345],
    [0, 0.5, 0.307092424652],
    [0.6, 0.2, 0.144989058894],
  ])('quadrant x >= %f, y >= %f', (a, b, area) => {
    expect(overlap(rect(a, b, FAR, FAR))).toBeCloseTo(area, 11);
  });
});

describe('two circles (a lens): the second as a polygon of many corners, scaled to its true area', () => {
  // The polygon's chord error at 1e-9 m leaves about 1e-9 m2.
  it.each([
    [0.5, 2.15210922503],
    [1, 1.228369698609],
    [Math.SQRT2, 0.570796326795],
    [1.5, 0.453311753978],
    [1.9, 0.041846048735],
    [2, 0],
  ])('unit circles %f apart', (d, area) => {
    const ring = circleRing(1, 1e-9).map((v, i) => (i % 2 === 0 ? v + d : v));
    expect(overlap(ring)).toBeCloseTo(area, 7);
  });
});

describe('severed ground', () => {
  it('a trench as a chord strip severs the segment behind it', () => {
    // strip 0.3..0.5 takes 11.6417722913 %, the segment beyond 0.5 is 19.5501109478 %
    const b = new PieceBuilder();
    b.add([rect(0.3, -FAR, 0.5, FAR)], { owner: 0, classBit: 16, cuts: true });
    const m = new Meter(b.finish());
    expect(percent(m.disc(0, 0, 1))).toBeCloseTo(11.6417722913, 9);
    expect(percent(m.severed)).toBeCloseTo(19.5501109478, 9);
  });

  it('a short trench severs the sector behind it: half of theta r^2 less the triangle and the strip', () => {
    const b = new PieceBuilder();
    b.add([rect(0.5, -0.1, 0.52, 0.1)], { owner: 0, classBit: 16, cuts: true });
    const m = new Meter(b.finish());
    const taken = m.disc(0, 0, 1);
    expect(taken).toBeCloseTo(0.2 * 0.02, 12);
    // shadow: the sector seen through the near edge (half-width 0.1 at 0.5), less the triangle to it, less the trench
    const half = Math.atan2(0.1, 0.5);
    expect(m.severed).toBeCloseTo(half - 0.5 * 0.2 * 0.5 - taken, 12);
  });

  it('works that do not cut sever nothing', () => {
    const b = new PieceBuilder();
    b.add([rect(0.3, -FAR, 0.5, FAR)], { owner: 0, classBit: 32, cuts: false });
    b.add([rect(0.2, -0.1, 0.4, 0.1)], { owner: 1, classBit: 16, cuts: false });
    const m = new Meter(b.finish());
    m.disc(0, 0, 1);
    expect(m.severed).toBe(0);
  });

  it('ground in front of the nearest cut is kept, works behind it are not counted twice', () => {
    const b = new PieceBuilder();
    b.add([rect(0.3, -FAR, 0.5, FAR)], { owner: 0, classBit: 16, cuts: true });
    b.add([rect(0.6, -FAR, 0.7, FAR)], { owner: 1, classBit: 16, cuts: false });
    b.add([rect(0, -0.1, 0.1, 0.1)], { owner: 2, classBit: 16, cuts: false });
    const m = new Meter(b.finish());
    const behind = (14.2378489933 - 9.4060202187 + 11.6417722913) / 100; // strip 0.6..0.7 and strip 0.3..0.5
    expect(m.disc(0, 0, 1)).toBeCloseTo(behind * Math.PI + 0.02, 9);
    const beyond = (19.5501109478 - 14.2378489933 + 9.4060202187) / 100;
    expect(m.severed).toBeCloseTo(beyond * Math.PI, 9);
  });
});

describe('quarter ellipses (crown-shaped zones)', () => {
  it('an ellipse wholly covered has its closed-form area', () => {
    const b = new PieceBuilder();
    b.add([rect(-FAR, -FAR, FAR, FAR)], { owner: 0, classBit: 8, cuts: true });
    const m = new Meter(b.finish());
    expect(m.quarters(1, 2, [3, 4, 5, 6], 0.3)).toBeCloseTo((Math.PI / 4) * (12 + 20 + 30 + 18), 9);
  });

  it('half planes through the trunk take two quarters each', () => {
    const b = new PieceBuilder();
    b.add([rect(0, -FAR, FAR, FAR)], { owner: 0, classBit: 8, cuts: false }); // the east half
    const m = new Meter(b.finish());
    expect(m.quarters(0, 0, [3, 4, 5, 6], 0)).toBeCloseTo((Math.PI / 4) * (12 + 20), 10);
  });

  it('equal radii are a circle, however turned', () => {
    const b = new PieceBuilder();
    b.add([[0.4, -2, 3, -1, 2, 3, -0.2, 0.9]], { owner: 0, classBit: 8, cuts: true });
    b.add([[-1, -1, 0.5, -0.4, 0.1, 0.2]], { owner: 1, classBit: 16, cuts: false });
    const m = new Meter(b.finish());
    const circle = m.disc(0, 0, 1.3);
    const severed = m.severed;
    expect(m.quarters(0, 0, [1.3, 1.3, 1.3, 1.3], 0.7)).toBeCloseTo(circle, 10);
    expect(m.severed).toBeCloseTo(severed, 10);
  });

  it('an ellipse and a half plane at d: the segment formula scaled by the axes', () => {
    const b = new PieceBuilder();
    b.add([rect(2, -FAR, FAR, FAR)], { owner: 0, classBit: 8, cuts: true }); // d / a = 0.5 for east radius 4
    const m = new Meter(b.finish());
    expect((m.quarters(0, 0, [3, 4, 3, 4], 0) / (Math.PI * 12)) * 100).toBeCloseTo(19.5501109478, 9);
  });
});

describe('drawn outlines', () => {
  it('have the true area and the stated chord error', () => {
    for (const r of [0.5, 2, 10, 33, 100]) {
      const ring = circleRing(r);
      expect(signedArea(ring)).toBeCloseTo(Math.PI * r * r, 8);
      const n = segmentsFor(r);
      expect(r * (1 - Math.cos(Math.PI / n))).toBeLessThanOrEqual(0.0100001);
    }
    expect(signedArea(quartersRing([3, 4, 5, 6], 0.2))).toBeCloseTo((Math.PI / 4) * (12 + 20 + 30 + 18), 8);
  });
});
