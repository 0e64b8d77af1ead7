// Crowns against buildings: closed forms, GEOS as a second engine, heights, arcs, the quarter, and what costs nothing.
import { beforeAll, describe, expect, it } from 'vitest';
import { assess } from '../../src/assess/index.js';
import { BearingArcs } from '../../src/crown/arcs.js';
import { areaOfQuarters, reachAt } from '../../src/crown/shape.js';
import { readLayer } from '../../src/read/index.js';
import { crownJob, crownOf } from '../support/crowns.js';
import { type GeosEngine, geosEngine } from '../support/geos.js';
import { bytesOf } from '../support/layers.js';
import { mulberry32 } from '../support/random.js';
import { rect, star } from '../support/shapes.js';

const FAR = 100;
/** The half plane east of x = d, as far as matters. */
const eastOf = (d: number): number[] => rect(d, -FAR, FAR, FAR);
const round = (r: number): Record<string, number> => ({ crown_radius_m: r });
const four = (n: number, e: number, s: number, w: number): Record<string, number> => ({
  crown_n_m: n,
  crown_e_m: e,
  crown_s_m: s,
  crown_w_m: w,
});

describe('area of a crown', () => {
  it('is pi/4 (ne + es + sw + wn)', () => {
    expect(crownOf(round(3), []).areaM2).toBeCloseTo(Math.PI * 9, 12);
    // two half ellipses of 6 x 4 and one circle's half: by hand pi/4 (24 + 24 + 16 + 16)
    expect(crownOf(four(6, 4, 6, 4), []).areaM2).toBeCloseTo(Math.PI * 24, 12);
    expect(crownOf(four(5, 3, 2, 4), []).areaM2).toBeCloseTo((Math.PI / 4) * (15 + 6 + 8 + 20), 12);
    expect(areaOfQuarters([4, 0, 4, 3])).toBeCloseTo((Math.PI / 4) * 24, 12); // nothing to the east
  });

  it('reaches along a bearing as far as its ellipse does', () => {
    expect([0, 90, 180, 270].map((b) => reachAt([5, 3, 2, 4], b))).toEqual(
      [5, 3, 2, 4].map((r) => expect.closeTo(r, 12)),
    );
    // halfway by angle on an ellipse a, b: 1 / sqrt(cos2/b2 + sin2/a2)
    expect(reachAt([5, 3, 2, 4], 45)).toBeCloseTo(1 / Math.sqrt(0.5 / 25 + 0.5 / 9), 12);
    expect(reachAt([5, 0, 2, 4], 90)).toBe(0);
    expect(reachAt([5, 0, 2, 4], 0)).toBe(5);
    expect(reachAt([5, 0, 2, 4], 45)).toBe(0);
  });
});

describe('what stands today', () => {
  const east = eastOf(4);
  const crown = (standing: Parameters<typeof crownJob>[3], options = {}) =>
    crownJob({ ...round(8), crown_base_m: 3 }, [], options, standing).trees[0]?.crown;

  it('is a structure in the air where it gives a height or says it is a building', () => {
    const built = crownOf({ ...round(8), crown_base_m: 3 }, [{ ring: east, height_m: 5 }]);
    const today = crown([{ ring: east, height_m: 5 }]);
    expect(today).toEqual({ ...built, works: 'E1' });
    expect(crown([{ ring: east, kind: 'building' }])?.overlapM2).toBe(built.overlapM2);
    expect(crown([{ ring: east }])?.overlapM2).toBe(0); // hard ground
    expect(crown([{ ring: east, height_m: 2 }])?.overlapM2).toBe(0); // below the crown
  });

  it('counts once where the proposed building covers it', () => {
    const job = crownJob({ ...round(8) }, [{ ring: east }], {}, [{ ring: east, height_m: 5 }]);
    expect(job.trees[0]?.crown?.overlapM2).toBeCloseTo(crownOf(round(8), [{ ring: east }]).overlapM2, 9);
  });

  it('is not dug for again, and needs no depth', () => {
    const plain = crownJob(round(8), [], {}, [{ ring: east }]);
    const dug = crownJob(round(8), [], { overdigM: { paving: 2 } }, [{ ring: east }]);
    expect(dug.trees[0]?.existingM2).toBe(plain.trees[0]?.existingM2);
    expect(plain.findings.map(({ code }) => code)).not.toContain('depth-unknown');
  });
});

describe('a crown and a wall', () => {
  // Circular segment: share = (acos(k) - k sqrt(1 - k2)) / pi for a wall at k = d/R; the figures are the usual table's.
  const SEGMENTS: readonly [k: number, percent: number][] = [
    [0, 50],
    [0.25, 34.2519],
    [0.5, 19.5501],
    [0.75, 7.2147],
    [0.9, 1.8693],
  ];
  it.each(SEGMENTS)('at %f of the radius takes %f percent and an arc of 2 acos(k)', (k, percent) => {
    const crown = crownOf(round(8), [{ ring: eastOf(8 * k) }]);
    const exact = (Math.acos(k) - k * Math.sqrt(1 - k * k)) / Math.PI;
    expect(crown.overlapPct).toBeCloseTo(exact * 100, 9);
    expect(crown.overlapPct).toBeCloseTo(percent, 3);
    const half = k === 0 ? 180 : (Math.acos(k) * 180) / Math.PI; // a wall on the trunk: all round
    expect(crown.arcDegrees).toBeCloseTo(2 * half, 7);
    if (k === 0) return;
    expect(crown.arcFrom).toBeCloseTo(90 - half, 7);
    expect(crown.arcTo).toBeCloseTo(90 + half, 7);
    expect(crown.works).toBe('B1');
  });

  it('clearance moves the wall', () => {
    const moved = crownOf(round(8), [{ ring: eastOf(4) }]);
    expect(crownOf(round(8), [{ ring: eastOf(6) }], { clearanceM: 2 }).overlapM2).toBeCloseTo(moved.overlapM2, 9);
    expect(crownOf(round(8), [{ ring: eastOf(9) }]).overlapM2).toBe(0);
    expect(crownOf(round(8), [{ ring: eastOf(9) }], { clearanceM: 2 }).overlapM2).toBeGreaterThan(0);
  });

  it('north is cut on the north ellipse: half of its quarters', () => {
    // Wall at y = 3 on a half ellipse 6 tall, 4 wide: the segment of the unit circle at 1/2, scaled by 24.
    const segment = Math.acos(0.5) - 0.5 * Math.sqrt(0.75);
    const crown = crownOf(four(6, 4, 2, 4), [{ ring: rect(-FAR, 3, FAR, FAR) }]);
    expect(crown.overlapM2).toBeCloseTo(24 * segment, 9);
    // the ends of the wall in the crown: x = 4 sqrt(3)/2, y = 3
    const half = (Math.atan2(4 * Math.sqrt(0.75), 3) * 180) / Math.PI;
    expect(crown.arcFrom).toBeCloseTo(360 - half, 7);
    expect(crown.arcTo).toBeCloseTo(half, 7);
  });

  it('a shed under the crown takes its own area and the bearings of its corners', () => {
    const crown = crownOf(round(8), [{ ring: rect(2, 1, 4, 3) }]);
    expect(crown.overlapM2).toBeCloseTo(4, 9);
    expect(crown.arcFrom).toBeCloseTo((Math.atan2(2, 3) * 180) / Math.PI, 7);
    expect(crown.arcTo).toBeCloseTo((Math.atan2(4, 1) * 180) / Math.PI, 7);
  });

  it('two houses: areas once where they overlap, the wider arc first, the nearer one named', () => {
    const crown = crownOf(round(8), [{ ring: rect(-1, 6, 1, 20) }, { ring: eastOf(4) }, { ring: rect(5, -2, 9, 2) }]);
    const wall = crownOf(round(8), [{ ring: eastOf(4) }]);
    const north = crownOf(round(8), [{ ring: rect(-1, 6, 1, 20) }]);
    expect(crown.overlapM2).toBeCloseTo(wall.overlapM2 + north.overlapM2, 9);
    expect(crown.works).toBe('B2');
    expect([crown.arcFrom, crown.arcTo]).toEqual([wall.arcFrom, wall.arcTo].map((v) => expect.closeTo(v!, 7)));
    expect(crown.arcs).toHaveLength(2);
    expect(crown.arcDegrees).toBeCloseTo(wall.arcDegrees + north.arcDegrees, 7);
  });
});

describe('heights', () => {
  const house = (height_m?: number) => [{ ring: eastOf(4), ...(height_m === undefined ? {} : { height_m }) }];
  const tree = { ...round(8), crown_base_m: 6, height_m: 20 };

  it('a building below the crown base is not a conflict, and the reason says so', () => {
    const job = crownJob(tree, house(5.5));
    expect(job.trees[0]?.crown).toMatchObject({ overlapM2: 0, overlapPct: 0, arcs: [], liftM: null, works: null });
    expect(job.trees[0]?.reasons).toContain('crown-cleared');
    expect(crownJob(tree, house(6)).trees[0]?.crown?.overlapM2).toBe(0); // it may touch
  });

  it('with the clearance it may be one; the lift is what is wanting', () => {
    const crown = crownOf(tree, house(5.5), { clearanceM: 2 });
    expect(crown.overlapM2).toBeGreaterThan(0);
    expect(crown.liftM).toBeCloseTo(1.5, 12);
    expect(crownOf(tree, house(9)).liftM).toBeCloseTo(3, 12);
  });

  it.each([
    ['building', tree, undefined],
    ['crown base', round(8), 5],
  ])('an unknown height of the %s counts in full', (_, given, height) => {
    const job = crownJob(given, house(height));
    expect(job.trees[0]?.crown?.overlapPct).toBeCloseTo(19.5501, 3);
    expect(job.trees[0]?.crown?.liftM).toBeNull();
    expect(job.trees[0]?.reasons).toContain('crown-height-unknown');
  });

  it('only what stands too high counts among several', () => {
    const crown = crownOf(tree, [
      { ring: eastOf(4), height_m: 3 },
      { ring: rect(-FAR, -FAR, -6, FAR), height_m: 8 },
    ]);
    expect(crown.works).toBe('B2');
    expect(crown.arcFrom).toBeGreaterThan(180);
    expect(crown.liftM).toBeCloseTo(2, 12);
  });
});

describe('what is told', () => {
  it('more than a quarter is a reason and a finding, and no verdict turns on it', () => {
    const over = crownJob({ ...round(8), dbh_m: 0.02 }, [{ ring: eastOf(3), height_m: 9 }]);
    expect(over.trees[0]?.crown?.overlapPct).toBeGreaterThan(25);
    expect(over.trees[0]?.reasons).toContain('crown-over-quarter');
    expect(over.trees[0]?.verdict).toBe('untouched');
    expect(over.findings.map((f) => f.code)).toContain('crown-over-quarter');
    const under = crownJob(round(8), [{ ring: eastOf(4), height_m: 9 }]);
    expect(under.findings.map((f) => f.code)).not.toContain('crown-over-quarter');
    const removed = crownJob({ ...round(8), disposition: 'remove' }, [{ ring: eastOf(3), height_m: 9 }]);
    expect(removed.findings.map((f) => f.code)).not.toContain('crown-over-quarter');
  });

  it('the clearance, also when it is none', () => {
    const told = crownJob(round(8), [{ ring: eastOf(4) }]).findings.find((f) => f.code === 'crown-clearance');
    expect(told?.message).toContain('clearance of 0 m');
  });

  it('paving is not a structure; a tree without a crown has nothing; three radii are not a crown', () => {
    const paving = crownJob(round(8), [{ ring: eastOf(4), kind: 'paving' }]);
    expect(paving.trees[0]?.crown?.overlapM2).toBe(0);
    expect(paving.findings.map((f) => f.code)).not.toContain('crown-clearance');
    const none = crownJob({}, [{ ring: eastOf(4) }]);
    expect(none.trees[0]?.crown).toBeNull();
    expect(none.job.crowns).toBeNull();
    const three = crownJob({ crown_n_m: 3, crown_e_m: 3, crown_s_m: 3 }, [{ ring: eastOf(1) }]);
    expect(three.trees[0]?.crown).toBeNull();
    expect(three.trees[0]?.reasons).toContain('crown-incomplete');
    expect(three.findings.map((f) => f.code)).toContain('crown-incomplete');
  });

  it('a tree without a diameter still has its crown', () => {
    expect(crownOf({ ...round(8), dbh_m: '' }, [{ ring: eastOf(4) }]).overlapPct).toBeCloseTo(19.5501, 3);
  });
});

describe('beside a second engine', () => {
  let geos: GeosEngine;
  beforeAll(async () => {
    geos = await geosEngine();
  });

  /** The crown as a polygon of straight pieces; between two corners it is too small by about (step^2)/6 of its area. */
  function polygon([n, e, s, w]: readonly [number, number, number, number], sides: number): number[] {
    const out: number[] = [];
    for (let i = 0; i < sides; i++) {
      const a = (2 * Math.PI * i) / sides;
      const [c, d] = [Math.cos(a), Math.sin(a)];
      out.push(c * (c >= 0 ? e : w), d * (d >= 0 ? n : s));
    }
    return out;
  }

  it('GEOS finds the same overlap on random crowns and houses', () => {
    const random = mulberry32(77);
    for (let k = 0; k < 40; k++) {
      const radii = [0, 1, 2, 3].map(() => 1 + random() * 5) as unknown as readonly [number, number, number, number];
      const rings = Array.from({ length: 1 + Math.floor(random() * 3) }, () => star(random, 6).map((v) => v * 1.5));
      const [n, e, s, w] = radii;
      const ours = crownOf(
        four(n, e, s, w),
        rings.map((ring) => ({ ring })),
      ).overlapM2;
      const theirs = geos.within(
        rings.map((r) => [r]),
        polygon(radii, 4096),
      );
      expect(Math.abs(ours - theirs)).toBeLessThan(1e-4);
    }
  });

  it('rays count the same bearings', () => {
    const random = mulberry32(78);
    for (let k = 0; k < 20; k++) {
      const radii = [0, 1, 2, 3].map(() => 1 + random() * 5) as unknown as readonly [number, number, number, number];
      const ring = star(random, 8).map((v) => v * 1.5);
      const [n, e, s, w] = radii;
      const { arcs, overlapM2 } = crownOf(four(n, e, s, w), [{ ring }]);
      if (overlapM2 === 0) continue;
      for (let b = 0.05; b < 360; b += 1.7) {
        const within = arcs.some(([from, to]) => (from <= to ? b >= from && b <= to : b >= from || b <= to));
        const near = arcs.some((arc) => arc.some((edge) => Math.abs(((b - edge + 540) % 360) - 180) < 0.5));
        if (!near) expect([b, within]).toEqual([b, meets(ring, reachAt(radii, b), b)]);
      }
    }
  });

  /** Whether points along the ray as far as the crown lie in the ring: slow, by another way. */
  function meets(ring: readonly number[], reach: number, bearing: number): boolean {
    const [sin, cos] = [Math.sin((bearing * Math.PI) / 180), Math.cos((bearing * Math.PI) / 180)];
    for (let k = 0; k <= 2000; k++) if (holds(ring, (sin * reach * k) / 2000, (cos * reach * k) / 2000)) return true;
    return false;
  }

  function holds(ring: readonly number[], x: number, y: number): boolean {
    let inside = false;
    for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
      const [ax, ay, bx, by] = [ring[i], ring[i + 1], ring[j], ring[j + 1]] as [number, number, number, number];
      if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
    }
    return inside;
  }
});

describe('together and alone', () => {
  it('a tree’s crown has the same figures to the last bit whoever stands beside it', () => {
    const random = mulberry32(5);
    const trees = Array.from({ length: 30 }, (_, i) => {
      const [x, y, r] = [5000 + random() * 320, 5000 + random() * 320, 2 + random() * 9].map((v) => v.toFixed(3));
      return `${x},${y},T${i},0.3,${r},${(random() * 9).toFixed(1)}`;
    });
    const features = Array.from({ length: 120 }, (_, i) => {
      const [x, y] = [5000 + random() * 320, 5000 + random() * 320];
      const ring = star(random, 4).map((v, k) => v * 4 + (k % 2 === 0 ? x : y));
      const corners = Array.from({ length: ring.length / 2 }, (_, k) => [ring[k * 2], ring[k * 2 + 1]]);
      const properties = { id: `B${i}`, kind: 'building', height_m: i % 3 === 0 ? null : random() * 12 };
      return { type: 'Feature', properties, geometry: { type: 'Polygon', coordinates: [[...corners, corners[0]]] } };
    });
    const works = bytesOf(JSON.stringify({ type: 'FeatureCollection', features }));
    const run = (rows: readonly string[]) =>
      assess({
        trees: readLayer(bytesOf(`x,y,id,dbh_m,crown_radius_m,crown_base_m\n${rows.join('\n')}\n`), { name: 't.csv' }),
        works: [{ layer: readLayer(works, { name: 'w' }) }],
        options: { crs: 'local:m', clearanceM: 1 },
      }).trees.map((tree) => tree.crown);
    const together = run(trees);
    expect(together.filter((crown) => (crown?.overlapM2 ?? 0) > 0).length).toBeGreaterThan(8);
    expect(together).toEqual(trees.map((tree) => run([tree])[0]));
    expect(run([...trees].reverse())).toEqual([...together].reverse());
  });
});

describe('true north', () => {
  it('quarters and bearings count from it where the grid is turned', () => {
    // UTM zone 10 at its western edge: grid north is some 2 degrees west of true north.
    const house = {
      type: 'Polygon',
      coordinates: [
        [
          [-125.9999, 44.9],
          [-125.9, 44.9],
          [-125.9, 45.1],
          [-125.9999, 45.1],
          [-125.9999, 44.9],
        ],
      ],
    };
    const text = (geometry: unknown, properties: unknown): Uint8Array =>
      bytesOf(JSON.stringify({ type: 'FeatureCollection', features: [{ type: 'Feature', properties, geometry }] }));
    const assessment = assess({
      trees: readLayer(text({ type: 'Point', coordinates: [-126, 45] }, { dbh_m: 1, crown_radius_m: 10 }), {
        name: 't',
      }),
      works: [{ layer: readLayer(text(house, { kind: 'building' }), { name: 'w' }), kind: 'building' }],
    });
    // The wall runs true north, 7.88 m east of the trunk: its arc lies evenly about 90 degrees.
    const crown = assessment.trees[0]?.crown;
    expect(((crown?.arcFrom ?? 0) + (crown?.arcTo ?? 0)) / 2).toBeCloseTo(90, 2);
    expect((crown?.arcTo ?? 0) - (crown?.arcFrom ?? 0)).toBeCloseTo((2 * (Math.acos(0.788) * 180)) / Math.PI, 0);
  });
});

describe('arcs', () => {
  it('join across north and close to all round', () => {
    const arcs = new BearingArcs();
    arcs.add(350, 20);
    arcs.add(5, 10);
    arcs.add(100, 5);
    expect(arcs.merged()).toEqual([
      [100, 105],
      [350, 15],
    ]);
    arcs.add(0, 180);
    arcs.add(180, 180);
    expect(arcs.merged()).toEqual([[0, 360]]);
    expect(new BearingArcs().merged()).toEqual([]);
  });
});
