// Clothoids: in: length and curvatures, and spirals of LandXML; out: ends and points against the series of the textbooks
// and Fresnel's integrals as tabulated; refusals with their place.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { clothoid } from '../../src/geometry/curves/clothoid.js';
import { readLayerAsync } from '../../src/read/index.js';
import { bytesOf, kindOf, partsOf } from '../support/layers.js';

const drawn = (length: number, from: number, to: number, sagitta = 0.001): [number, number][] => {
  const out: [number, number][] = [[0, 0]];
  clothoid(length, from, to, sagitta, (x, y) => out.push([x, y]));
  return out;
};

describe('clothoids', () => {
  it('end where Fresnel says: C(1) = 0.7798934004, S(1) = 0.4382591474 (Abramowitz and Stegun, table 7.7)', () => {
    // heading pi s^2 / 2, so curvature pi at s = 1
    const [x, y] = drawn(1, 0, Math.PI, 1e-6).at(-1)!;
    expect(x).toBeCloseTo(0.7798934004, 9);
    expect(y).toBeCloseTo(0.4382591474, 9);
  });

  it('end where the series of transition curves says, for any radius', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 5, max: 200, noNaN: true }),
        fc.double({ min: 1, max: 10, noNaN: true }),
        (length, times) => {
          const radius = length * times;
          const t = length / (2 * radius); // angle of the spiral
          const x = length * (1 - t ** 2 / 10 + t ** 4 / 216 - t ** 6 / 9360);
          const y = length * (t / 3 - t ** 3 / 42 + t ** 5 / 1320 - t ** 7 / 75600);
          const [u, v] = drawn(length, 0, 1 / radius).at(-1)!;
          expect(Math.hypot(u - x, v - y)).toBeLessThan(1e-6 * length);
        },
      ),
    );
  });

  it('of one curvature are arcs, of none straight, and left and right mirror each other', () => {
    for (const [x, y] of drawn(30, 1 / 20, 1 / 20)) expect(Math.hypot(x, y - 20)).toBeCloseTo(20, 9);
    expect(drawn(30, 0, 0)).toEqual([
      [0, 0],
      [30, 0],
    ]);
    expect(drawn(30, 0, -1 / 50)).toEqual(drawn(30, 0, 1 / 50).map(([x, y]) => [x, 0 - y]));
  });

  it('keep their chords within the sagitta', () => {
    const coarse = drawn(120, 1 / 400, -1 / 60, 0.01);
    for (const [x, y] of drawn(120, 1 / 400, -1 / 60, 1e-5)) {
      let best = Number.POSITIVE_INFINITY;
      for (let i = 0; i + 1 < coarse.length; i++) {
        const [[ax, ay], [bx, by]] = [coarse[i]!, coarse[i + 1]!];
        const t = Math.min(
          Math.max(((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2), 0),
          1,
        );
        best = Math.min(best, Math.hypot(x - ax - t * (bx - ax), y - ay - t * (by - ay)));
      }
      expect(best).toBeLessThan(0.0101);
    }
  });
});

describe('spirals of LandXML', () => {
  // leaves the start (E 500, N 100) due north, length 60, bends right to a radius of 150
  const t = 60 / 300;
  const along = 60 * (1 - t ** 2 / 10 + t ** 4 / 216);
  const across = 60 * (t / 3 - t ** 3 / 42 + t ** 5 / 1320);
  const end = `${100 + along} ${500 + across}`;
  const pi = `${100 + along - across / Math.tan(t)} 500`;
  const file = (spiral: string): Uint8Array =>
    bytesOf(
      `<LandXML><Units><Metric linearUnit="meter"/></Units><PlanFeatures><PlanFeature name="edge"><CoordGeom>${spiral}</CoordGeom></PlanFeature></PlanFeatures></LandXML>`,
    );
  const attributes = 'length="60" radiusStart="INF" radiusEnd="150" rot="cw" spiType="clothoid"';
  const spiral = (text: string, to = end): string =>
    `<Spiral ${text}><Start>100 500</Start><PI>${pi}</PI><End>${to}</End></Spiral>`;
  const read = (text: string) => readLayerAsync(file(text), { name: 'road.xml' });

  it('are drawn as chords, from start to end, on the right side', async () => {
    const layer = await read(spiral(attributes));
    expect([kindOf(layer, 0), layer.findings.map((f) => f.code)]).toEqual(['line', ['arc-chorded']]);
    const line = partsOf(layer, 0)[0]?.[0] ?? [];
    expect(line[0]?.slice(0, 2)).toEqual([500, 100]);
    expect(line.at(-1)?.slice(0, 2)).toEqual([500 + across, 100 + along]);
    expect(line.length).toBeGreaterThan(10);
    for (const [x = 0] of line) expect(x).toBeGreaterThan(499.999); // it never bends left
    // half way: an eighth of the offset, by the leading term
    const middle = line.reduce((best, p) => (Math.abs((p[1] ?? 0) - 130) < Math.abs((best[1] ?? 0) - 130) ? p : best));
    expect(((middle[0] ?? 0) - 500) / ((((middle[1] ?? 0) - 100) / 60) ** 3 * across)).toBeCloseTo(1, 1);
  });

  it.each([
    ['another kind', attributes.replace('clothoid', 'bloss'), end, 'spiType', 'type bloss is not read'],
    ['no kind', attributes.replace('spiType="clothoid"', ''), end, 'spiType', 'type unstated'],
    ['no side', attributes.replace('rot="cw"', ''), end, 'rot', 'which way'],
    ['the other side', attributes.replace('cw', 'ccw'), end, 'PI', 'does not leave its start'],
    ['no radius', attributes.replace('"150"', '"-5"'), end, 'radiusEnd', 'not a radius'],
    ['no length', attributes.replace('"60"', '"long"'), end, 'length', 'is not possible for a spiral'],
    ['another end', attributes, '170 520', 'Spiral', 'the file puts its end'],
  ])('%s leaves a broken feature', async (_, text, to, path, words) => {
    const layer = await read(spiral(text, to));
    expect(kindOf(layer, 0)).toBe('broken');
    expect(layer.findings[0]?.path).toContain(path);
    expect(layer.findings[0]?.message).toContain(words);
  });
});
