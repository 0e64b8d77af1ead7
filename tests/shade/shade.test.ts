// Sun and shade of facades. In: poles, spheres, walls and trees whose shade is known in closed form; out: the same from the
// library. Terms: see src/model/facade.ts.
import fc from 'fast-check';
import { getPosition } from 'suncalc';
import { describe, expect, it } from 'vitest';
import type { Facade, SunFigures } from '../../src/model/facade.js';
import { Corridor } from '../../src/shade/corridor.js';
import { wallsOf } from '../../src/shade/facades.js';
import { monthDay, share } from '../../src/shade/foliage.js';
import { shade } from '../../src/shade/index.js';
import { type CrownSolid, crownMeets, trunkMeets } from '../../src/shade/solid.js';
import { seasons, sunSteps } from '../../src/shade/sun.js';
import { Walls } from '../../src/shade/walls.js';
import { box, type LocalFeature, localJob, tree } from '../support/local-job.js';
import { runs } from '../support/runs.js';

const RAD = Math.PI / 180;
const sunAt = (azimuth: number, altitude: number) => ({
  east: Math.cos(altitude * RAD) * Math.sin(azimuth * RAD),
  north: Math.cos(altitude * RAD) * Math.cos(azimuth * RAD),
  up: Math.sin(altitude * RAD),
});
const SETTINGS = { year: 2025, stepMin: 10, lowSunDeg: 45 };

describe('the sun', () => {
  it('stands where NREL/TP-560-34302 (Reda and Andreas, rev. 2008), appendix, prints it', () => {
    const { azimuth, altitude } = getPosition(new Date('2003-10-17T19:30:30Z'), 39.742476, -105.1786);
    expect(Math.abs(azimuth - 194.340241)).toBeLessThan(0.002);
    expect(Math.abs(altitude - 39.888378)).toBeLessThan(0.005);
  });

  it('culminates where the Astronomical Almanac’s low-precision sun and Saemundsson’s refraction put it (both from memory)', () => {
    const steps = sunSteps(-122.7, 45.5, { ...SETTINGS, stepMin: 1 });
    [17, 16, 16, 15, 15, 11, 17, 16, 15, 15, 14, 10].forEach((day, month) => {
      const d = Date.UTC(2025, month, day, 20, 11) / 86_400_000 - 10_957.5; // days from 2000-01-01 12:00, at local noon
      const g = (357.529 + 0.98560028 * d) * RAD;
      const lambda = 280.459 + 0.98564736 * d + 1.915 * Math.sin(g) + 0.02 * Math.sin(2 * g);
      const obliquity = 23.439 - 0.00000036 * d;
      const declination = Math.asin(Math.sin(obliquity * RAD) * Math.sin(lambda * RAD)) / RAD;
      const plain = 90 - 45.5 + declination;
      const refraction = 1.02 / Math.tan((plain + 10.3 / (plain + 5.11)) * RAD) / 60;
      const highest = Math.max(...steps.filter((step) => step.month === month).map(({ up }) => Math.asin(up) / RAD));
      expect(Math.abs(highest - plain - refraction), `month ${month + 1}`).toBeLessThan(0.02);
    });
  });

  it('is up as long as cos w = -tan(lat) tan(declination) says, and half an hour of refraction at most', () => {
    for (const lat of [0, 35, 51.5]) {
      const steps = sunSteps(10, lat, { ...SETTINGS, stepMin: 1 });
      [-20.9, -13.0, -2.4, 9.4, 18.8, 23.1].forEach((d, month) => {
        const hours = steps.filter((step) => step.month === month).reduce((sum, step) => sum + step.hours, 0);
        const days = [31, 28, 31, 30, 31, 30][month]!;
        const plain = (2 / 15) * (Math.acos(-Math.tan(lat * RAD) * Math.tan(d * RAD)) / RAD);
        expect(hours / days - plain, `lat ${lat}, month ${month + 1}`).toBeGreaterThan(-0.05);
        expect(hours / days - plain, `lat ${lat}, month ${month + 1}`).toBeLessThan(0.3);
      });
    }
  });

  it('is up for 12 hours at the equinox wherever one stands, but for refraction', () => {
    // The mean days of March and September are up to six days off: 3 degrees of declination, 0.35 h at 40 degrees.
    for (const [lat, off] of [
      [-40, 0.5],
      [0, 0.17],
      [40, 0.5],
    ] as const) {
      const steps = sunSteps(0, lat, { ...SETTINGS, stepMin: 1 });
      for (const [month, days] of [
        [2, 31],
        [8, 30],
      ] as const) {
        const hours = steps.filter((step) => step.month === month).reduce((sum, step) => sum + step.hours, 0) / days;
        expect(Math.abs(hours - 12)).toBeLessThan(off);
      }
    }
  });

  it('moves alike through morning and afternoon, and has its summer in December south of the equator', () => {
    const steps = sunSteps(20, 45, SETTINGS);
    const of = (low: 'east' | 'west') => steps.filter((step) => step.low === low).reduce((sum, s) => sum + s.hours, 0);
    expect(of('east') / of('west')).toBeCloseTo(1, 1);
    expect(seasons(45)).toEqual({ summer: [5, 6, 7], winter: [11, 0, 1] });
    expect(seasons(-33)).toEqual({ summer: [11, 0, 1], winter: [5, 6, 7] });
  });
});

describe('a crown in the sun', () => {
  const pole: CrownSolid = {
    x: 0,
    y: 0,
    baseM: 0,
    topM: 12,
    radii: [0.05, 0.05, 0.05, 0.05],
    trunkRadiusM: 0,
    shape: 'cylinder',
  };

  it('a pole throws a shadow of height / tan(altitude), away from the sun', () => {
    for (const [azimuth, altitude] of [
      [180, 30],
      [225, 45],
      [90, 60],
      [300, 10],
    ] as const) {
      const sun = sunAt(azimuth, altitude);
      const length = 12 / Math.tan(altitude * RAD);
      const at = (far: number) => [-Math.sin(azimuth * RAD) * far, -Math.cos(azimuth * RAD) * far] as const;
      expect(crownMeets(pole, ...at(length - 0.06), 0, sun)).toBe(true);
      expect(crownMeets(pole, ...at(length + 0.06), 0, sun)).toBe(false);
      expect(crownMeets(pole, ...at(-1), 0, sun)).toBe(false); // on the sun's side
    }
  });

  it('an ellipsoid hides pi abc |d / axes| across the sun: the outline of an ellipsoid in closed form', () => {
    fc.assert(
      fc.property(
        fc.tuple(fc.double({ min: 1, max: 6, noNaN: true }), fc.double({ min: 1, max: 6, noNaN: true })),
        fc.double({ min: 1, max: 5, noNaN: true }),
        fc.double({ min: 0, max: 360, noNaN: true }),
        fc.double({ min: 3, max: 80, noNaN: true }),
        ([a, b], c, azimuth, altitude) => {
          const crown: CrownSolid = { ...pole, shape: 'ellipsoid', radii: [b, a, b, a], baseM: 10 - c, topM: 10 + c };
          const sun = sunAt(azimuth, altitude);
          // A plane across the sun's direction, 100 m on: one axis level, the other at right angles to both.
          const u = [Math.cos(azimuth * RAD), -Math.sin(azimuth * RAD), 0] as const;
          const v = [u[1] * sun.up, -u[0] * sun.up, u[0] * sun.north - u[1] * sun.east] as const;
          const half = 1.02 * Math.max(a, b, c);
          const n = 240;
          let hits = 0;
          for (let i = 0; i < n; i++) {
            for (let k = 0; k < n; k++) {
              const s = ((i + 0.5) / n) * 2 * half - half;
              const t = ((k + 0.5) / n) * 2 * half - half;
              const x = -100 * sun.east + s * u[0] + t * v[0];
              const y = -100 * sun.north + s * u[1] + t * v[1];
              const z = 10 - 100 * sun.up + s * u[2] + t * v[2];
              if (crownMeets(crown, x, y, z, sun)) hits++;
            }
          }
          const area = hits * ((2 * half) / n) ** 2;
          const exact = Math.PI * a * b * c * Math.hypot(sun.east / a, sun.north / b, sun.up / c);
          expect(area / exact).toBeGreaterThan(0.985);
          expect(area / exact).toBeLessThan(1.015);
        },
      ),
      { numRuns: runs(12) },
    );
  });

  it('four unequal radii are quarters of four ellipsoids: each side is hit as far as its own radius', () => {
    const crown: CrownSolid = { ...pole, shape: 'ellipsoid', radii: [2, 3, 4, 5], baseM: 0, topM: 10 };
    const overhead = { east: 0, north: 0, up: 1 };
    for (const [x, y, reach] of [
      [0, 1, 2],
      [1, 0, 3],
      [0, -1, 4],
      [-1, 0, 5],
    ] as const) {
      expect(crownMeets(crown, x * (reach - 0.01), y * (reach - 0.01), 0, overhead)).toBe(true);
      expect(crownMeets(crown, x * (reach + 0.01), y * (reach + 0.01), 0, overhead)).toBe(false);
    }
  });

  it('a trunk hides the sun below the crown, and nothing above', () => {
    const tall: CrownSolid = { ...pole, trunkRadiusM: 0.3, baseM: 4, topM: 9, radii: [3, 3, 3, 3] };
    expect(trunkMeets(tall, 0, -10, 1, sunAt(0, 10))).toBe(true); // 1 + 10 tan 10 = 2.8 m
    expect(trunkMeets(tall, 0, -10, 1, sunAt(0, 20))).toBe(false); // 4.6 m
    expect(trunkMeets(tall, 0.31, -10, 1, sunAt(0, 10))).toBe(false);
  });

  it('walls hide what lies under atan(height over distance)', () => {
    const walls = new Walls([{ xy: [-50, 10, 50, 10, 50, 12, -50, 12], heightM: 6 }]);
    const altitude = Math.atan2(6 - 1, 12) / RAD; // the far edge is the higher one to look over
    const hidden = (z: number, sun: ReturnType<typeof sunAt>): boolean => {
      const among: number[] = [];
      walls.within(new Corridor([-1, 0], [1, 0], sun), among);
      return walls.hide(among, 0, 0, z, sun);
    };
    expect(hidden(1, sunAt(0, altitude - 0.1))).toBe(true);
    expect(hidden(1, sunAt(0, Math.atan2(5, 10) / RAD + 0.1))).toBe(false);
    expect(hidden(1, sunAt(180, 5))).toBe(false);
    expect(hidden(6.5, sunAt(0, 0.1))).toBe(false);
  });
});

describe('a corridor', () => {
  it('never turns away what hides the sun from some point of the wall', () => {
    const metres = (most: number) => fc.double({ min: -most, max: most, noNaN: true });
    fc.assert(
      fc.property(
        fc.tuple(metres(10), metres(10), metres(10), metres(10)),
        fc.tuple(
          metres(60),
          metres(60),
          fc.double({ min: 0.5, max: 8, noNaN: true }),
          fc.double({ min: 3, max: 40, noNaN: true }),
        ),
        fc.tuple(fc.double({ min: 0, max: 360, noNaN: true }), fc.double({ min: 1, max: 89, noNaN: true })),
        fc.tuple(fc.double({ min: 0, max: 1, noNaN: true }), fc.double({ min: 0, max: 8, noNaN: true })),
        ([ax, ay, bx, by], [x, y, radius, top], [azimuth, altitude], [t, z]) => {
          const sun = sunAt(azimuth, altitude);
          const corridor = new Corridor([ax, ay], [bx, by], sun);
          const at = [ax + (bx - ax) * t, ay + (by - ay) * t] as const;
          const crown: CrownSolid = {
            ...{ x, y, baseM: top / 4, topM: top, trunkRadiusM: radius / 8, shape: 'cylinder' },
            radii: [radius, radius, radius, radius],
          };
          const [across, along] = [corridor.across(x, y), corridor.along(x, y)];
          const holds = corridor.holds(across - radius, across + radius, along - radius, along + radius, top);
          if (!holds) expect(crownMeets(crown, ...at, z, sun) || trunkMeets(crown, ...at, z, sun)).toBe(false);
          const walls = new Walls([{ xy: [x, y, x + radius, y, x, y + radius], heightM: top }]);
          const among: number[] = [];
          walls.within(corridor, among);
          expect(walls.hide(among, ...at, z, sun)).toBe(walls.hide([0, 5, 10], ...at, z, sun));
        },
      ),
      { numRuns: runs(2000) },
    );
  });
});

describe('what is read', () => {
  it('shares and dates', () => {
    expect([share('0.2'), share('20%'), share('20'), share('x')]).toEqual([0.2, 0.2, null, null]);
    expect([monthDay('04-15'), monthDay('2026-11-01'), monthDay('02-30'), monthDay('15/4')]).toEqual([
      415,
      1101,
      null,
      null,
    ]);
  });

  it('walls face outwards; points within a wall do not break it', () => {
    const walls = wallsOf([0, 0, 5, 0, 10, 0, 10, 8, 0, 8]);
    expect(walls.map(({ bearing, lengthM }) => [bearing, lengthM])).toEqual([
      [180, 10],
      [90, 8],
      [0, 10],
      [270, 8],
    ]);
  });
});

// A house 10 m x 8 m, 6 m high, on the central meridian of UTM zone 10 at about 45.5 degrees north.
const E = 500_000;
const N = 5_038_000;
const HOUSE = box(E, N, E + 10, N + 8, { id: 'H', kind: 'building', height_m: 6 });
const grown = (x: number, y: number, more: Readonly<Record<string, unknown>> = {}): LocalFeature =>
  tree(E + x, N + y, { dbh_cm: 40, height_m: 12, crown_base_m: 2, crown_radius_m: 4, ...more });

function shaded(trees: readonly LocalFeature[], options = {}, works: readonly LocalFeature[] = [HOUSE]) {
  return shade(localJob(trees, works, { options: { crs: 'EPSG:32610', margins: false } }), options);
}
const facing = (facades: readonly Facade[], bearing: number): Facade =>
  facades.find((one) => Math.abs(one.bearing - bearing) < 1)!;

describe('facades', () => {
  it('of a house: four walls, north without winter sun, nothing kept off where no tree stands near', () => {
    const { facades } = shaded([grown(900, 900)]);
    expect(facades.map(({ key }) => key)).toEqual(['H:1', 'H:2', 'H:3', 'H:4']);
    expect(facades.map(({ lengthM }) => Math.round(lengthM * 1000) / 1000)).toEqual(
      facades.map((_, i) => (i % 2 === 0 ? 10.004 : 8.003)), // true metres: the grid's scale is 0.9996 there
    );
    expect(facing(facades, 0).standing.all.winter.sunH).toBe(0);
    expect(facing(facades, 180).standing.all.winter.sunH).toBeGreaterThan(700);
    for (const { standing } of facades) expect(standing.all.year.shadeH).toBe(0);
    // East and west see half the day each.
    const [east, west] = [facing(facades, 90), facing(facades, 270)];
    expect(east.standing.all.year.sunH / west.standing.all.year.sunH).toBeCloseTo(1, 1);
  });

  it('a tree to the west keeps off the low sun of the afternoon, one to the east as much of the morning', () => {
    const west = facing(shaded([grown(-7, 4)]).facades, 270).standing;
    const east = facing(shaded([grown(17, 4)]).facades, 90).standing;
    expect(west.lowWest.summer.shadeH).toBeGreaterThan(50);
    expect(west.lowEast.year.shadeH).toBe(0);
    expect(west.lowWest.summer.shadeH / east.lowEast.summer.shadeH).toBeCloseTo(1, 1);
  });

  it('an opaque wall of crown keeps off all; a clear one nothing', () => {
    const wide = { crown_radius_m: 400, crown_base_m: 0, height_m: 900, evergreen: 'yes' };
    const dark = shaded([grown(-401, 4, wide)], { transmissionLeafOn: 0, solid: 'cylinder' });
    const { sunH, shadeH } = facing(dark.facades, 270).standing.all.year;
    expect(shadeH / sunH).toBeGreaterThan(0.95);
    const clear = shaded([grown(-7, 4, { evergreen: 'yes', transmission_leaf_on: '100%', dbh_cm: 1 })]);
    expect(facing(clear.facades, 270).standing.all.year.shadeH).toBeLessThan(1);
  });

  it('bare in winter lets through what its bare share says, an evergreen as in summer', () => {
    const options = { transmissionLeafOn: 0.1, transmissionLeafOff: 0.8 };
    const south = { crown_base_m: 0.5, dbh_cm: 1 };
    const bare = facing(shaded([grown(5, -8, { ...south, evergreen: 'no' })], options).facades, 180).standing.all;
    const green = facing(shaded([grown(5, -8, { ...south, evergreen: 'yes' })], options).facades, 180).standing.all;
    expect(bare.summer.shadeH).toBeCloseTo(green.summer.shadeH, 9);
    // All but the thin trunk: (1 - 0.8) / (1 - 0.1).
    expect(bare.winter.shadeH / green.winter.shadeH).toBeCloseTo(0.2 / 0.9, 2);
  });

  it('trees that go are of today; a conifer is taken as evergreen, another as bare, and it is said', () => {
    const trees = [
      grown(-7, 4, { disposition: 'remove', species: 'Picea abies' }),
      grown(-9, 2, { species: 'Acer rubrum' }),
    ];
    const { facades, trees: per, findings } = shaded(trees);
    const wall = facing(facades, 270);
    expect(wall.today.all.year.shadeH).toBeGreaterThan(wall.standing.all.year.shadeH);
    expect(per.map(({ row, standing }) => [row, standing])).toEqual(
      expect.arrayContaining([
        [0, false],
        [1, true],
      ]),
    );
    expect(findings.find(({ code }) => code === 'shade-assumed')?.message).toMatch(
      /bare in winter: 1; evergreen by genus: 1/,
    );
  });

  it('a tree without a height shades nothing and is counted; a house without one is a storey', () => {
    const house = box(E, N, E + 10, N + 8, { id: 'H', kind: 'building' });
    const { facades, findings } = shaded([tree(E - 5, N, { dbh_cm: 40 })], {}, [house]);
    expect(facades[0]?.heightM).toBe(3);
    expect(findings.map(({ code }) => code)).toEqual(['shade-unreckoned', 'facade-height-assumed']);
    expect(shaded([grown(0, -9)], {}, [box(E, N, E + 5, N + 5, { kind: 'paving' })]).findings[0]?.code).toBe(
      'shade-no-building',
    );
  });

  it('settings that cannot be meant are refused', () => {
    expect(() => shaded([], { stepMin: 0 })).toThrow(expect.objectContaining({ code: 'shade-invalid', usage: true }));
    expect(() => shade(localJob([], [HOUSE]))).toThrow(expect.objectContaining({ code: 'shade-local' }));
  });

  it('finer steps move a season’s hours by less than a fiftieth', () => {
    const coarse = facing(shaded([grown(-7, 4)]).facades, 270).standing.all.summer;
    const fine = facing(shaded([grown(-7, 4)], { stepMin: 1 }).facades, 270).standing.all.summer;
    expect(coarse.sunH / fine.sunH).toBeCloseTo(1, 1);
    expect(Math.abs(coarse.shadeH / fine.shadeH - 1)).toBeLessThan(0.02);
  });
});

describe('whatever stands about a house', () => {
  const where = fc.tuple(fc.integer({ min: -25, max: 35 }), fc.integer({ min: -25, max: 33 }));
  const some = fc.array(fc.tuple(where, fc.boolean(), fc.integer({ min: 4, max: 25 })), { minLength: 1, maxLength: 4 });

  it('shade is at most sun, of today at least of those that stay, of all at most the sum; alone at least only', () => {
    fc.assert(
      fc.property(some, (list) => {
        const { facades } = shaded(
          list.map(([[x, y], goes, height]) =>
            grown(x, y, { height_m: height, crown_base_m: height / 4, ...(goes ? { disposition: 'remove' } : {}) }),
          ),
          { stepMin: 30 },
        );
        const year = (figures: SunFigures): number => figures.all.year.shadeH;
        for (const { standing, today, trees } of facades) {
          const tiny = 1e-9;
          expect(year(standing)).toBeLessThanOrEqual(standing.all.year.sunH + tiny);
          expect(year(today)).toBeGreaterThanOrEqual(year(standing) - tiny);
          expect(year(today)).toBeLessThanOrEqual(trees.reduce((sum, one) => sum + year(one.alone), 0) + tiny);
          for (const one of trees) expect(year(one.only)).toBeLessThanOrEqual(year(one.alone) + tiny);
          const { lowEast, lowWest, all } = standing;
          expect(lowEast.year.sunH + lowWest.year.sunH).toBeLessThanOrEqual(all.year.sunH + tiny);
          expect(all.months.reduce((sum, { shadeH }) => sum + shadeH, 0)).toBeCloseTo(all.year.shadeH, 9);
        }
      }),
      { numRuns: runs(25) },
    );
  });
});
