// Cutting long polygons: the parts tile the polygon, are compact, and change no figure.
import { describe, expect, it } from 'vitest';
import { Meter } from '../../src/geometry/kernel/meter.js';
import { PieceBuilder } from '../../src/geometry/kernel/pieces.js';
import { compactParts, type Rings } from '../../src/geometry/kernel/subdivide.js';
import { mulberry32 } from '../support/random.js';
import { rect, reversed, signedArea } from '../support/shapes.js';

const area = (polygon: Rings): number => polygon.reduce((sum, ring) => sum + signedArea(ring), 0);

/** A winding road: a strip along a wavy line, many corners, with now and then a hole (an island). */
function road(random: () => number): Rings {
  const n = 40 + Math.floor(random() * 80);
  const left: number[] = [];
  const right: number[] = [];
  const bend = 20 + random() * 60;
  for (let i = 0; i <= n; i++) {
    const x = i * 6;
    const y = bend * Math.sin(i / (5 + random()));
    left.push(x, y + 6);
    right.push(x, y - 6);
  }
  const shell = [...right];
  for (let i = left.length - 2; i >= 0; i -= 2) shell.push(left[i]!, left[i + 1]!);
  return [shell];
}

describe('compactParts', () => {
  it('leaves a compact polygon as it is', () => {
    const house = [rect(0, 0, 20, 12)];
    expect(compactParts(house)).toEqual([house]);
  });

  it('tiles a comb, a ring road with its island, and winding roads', () => {
    const random = mulberry32(11);
    const teeth = Array.from({ length: 60 }, (_, i) => [i * 4, i % 2 === 0 ? 0 : 90]).flat();
    const comb = [reversed([...teeth, 236, -5, 0, -5])];
    const island = [rect(0, 0, 300, 200), reversed(rect(10, 10, 290, 190))];
    const holes = [
      rect(0, 0, 400, 400),
      ...Array.from({ length: 30 }, (_, i) => reversed(rect(12 * i + 1, 13 * i + 1, 12 * i + 8, 13 * i + 9))),
    ];
    for (const polygon of [comb, island, holes, road(random), road(random), road(random)]) {
      const parts = compactParts(polygon);
      expect(parts.length).toBeGreaterThan(3);
      expect(parts.reduce((sum, part) => sum + area(part), 0)).toBeCloseTo(area(polygon), 6);
      for (const part of parts) {
        part.forEach((ring, i) => {
          expect(signedArea(ring) > 0).toBe(i === 0);
        });
      }
    }
  });

  it('changes no overlap, severed area or distance by more than rounding', () => {
    const random = mulberry32(3);
    for (let round = 0; round < 40; round++) {
      const roads = [road(random), road(random).map((r) => r.map((v, i) => (i % 2 === 0 ? v : v + 40)))];
      const meters = [false, true].map((cut) => {
        const b = new PieceBuilder();
        roads.forEach((polygon, owner) => {
          for (const part of cut ? compactParts(polygon) : [polygon])
            b.add(part, { owner, classBit: 8 << owner, cuts: owner === 0 });
        });
        return new Meter(b.finish());
      });
      for (let tree = 0; tree < 40; tree++) {
        const x = random() * 500;
        const y = random() * 200 - 80;
        const r = 2 + random() * 30;
        const [whole, parts] = meters.map((m) => {
          const overlap = m.discAndNearest(x, y, r);
          return [overlap, m.severed, m.distance, m.coveredBy(8), m.coveredBy(16), m.nearOwner];
        }) as [number[], number[]];
        whole.forEach((v, i) => {
          expect(parts[i]).toBeCloseTo(v, 7);
        });
      }
    }
  });
});
