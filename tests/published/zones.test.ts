// Zone sizes against printed figures. "Printed" = the source states the figure; "formula" = the source states the
// formula and the figure is worked out by hand; "from memory" = not held against the source.
import { describe, expect, it } from 'vitest';
import type { RadiusFormula, Rule } from '../../src/model/rule.js';
import { combineStems, evaluateRadius, type TreeFacts } from '../../src/rules/evaluate.js';
import { builtinRule, parseRule } from '../../src/rules/index.js';
import { zones } from '../../src/rules/zone/zone.js';
import { treeTable } from '../support/tree-table.js';

const IN = 0.0254;
const FT = 0.3048;
const radius = (formula: RadiusFormula, tree: TreeFacts): number => evaluateRadius(formula, tree) as number;
const perInch = (feet: number): RadiusFormula => ({ radius: { perDiameter: `${feet} ft per in` } });
const file = (zone: unknown): Rule =>
  parseRule(
    { id: 'a-town', title: 'A town', source: 'test', stems: { zone: 'sum' }, zone, limits: [{ share: '20%' }] },
    'a-town.json',
  );

describe('feet of radius per inch of diameter', () => {
  // Formula: radius ft, area sq ft to three decimals, at 1, 1.25 and 1.5 ft per inch.
  it.each([
    [6, 6, 113.097, 7.5, 176.715, 9, 254.469],
    [8, 8, 201.062, 10, 314.159, 12, 452.389],
    [10, 10, 314.159, 12.5, 490.874, 15, 706.858],
    [12, 12, 452.389, 15, 706.858, 18, 1017.876],
    [20, 20, 1256.637, 25, 1963.495, 30, 2827.433],
    [24, 24, 1809.557, 30, 2827.433, 36, 4071.504],
    [30, 30, 2827.433, 37.5, 4417.865, 45, 6361.725],
    [36, 36, 4071.504, 45, 6361.725, 54, 9160.884],
    [48, 48, 7238.229, 60, 11309.734, 72, 16286.016],
  ])('%i in', (inches, ...expected) => {
    const trees = treeTable([{ dbh: inches * IN }]);
    [1, 1.25, 1.5].forEach((feet, i) => {
      const { table } = zones(trees, file(perInch(feet)));
      expect(table.radiusM[0]!).toBeCloseTo(expected[i * 2]! * FT, 9);
      expect(table.areaM2[0]! / FT ** 2).toBeCloseTo(expected[i * 2 + 1]!, 3);
    });
  });

  it.each([
    ['Austin TX: a 20 in tree has a circle 40 ft across', 1, 20, 20],
    ['NC State Extension fig. 3: 12 in -> at least 15 ft', 1.25, 12, 15],
    ['NC Urban Forest Council: 20 in at 1.5 -> 30 ft', 1.5, 20, 30],
    ['NC Urban Forest Council, older page prints 30 ft for 1.25 ft per inch; 1.25 gives 25', 1.25, 20, 25],
    ['Edina MN: 10 in -> 15 ft', 1.5, 10, 15],
    ['Ventura County CA: 12 in -> 18 ft', 1.5, 12, 18],
  ])('%s', (_source, feet, inches, expected) => {
    expect(radius(perInch(feet), { dbhM: inches * IN })).toBeCloseTo(expected * FT, 12);
  });

  it('is the built-in default with a ratio of 12, and a no-cut ring of 3', () => {
    const { table } = zones(treeTable([{ dbh: 24 * IN }]), builtinRule('foot-per-inch'));
    expect(table.radiusM[0]).toBeCloseTo(24 * FT, 12);
    expect(table.ringNames).toEqual(['no-cut']);
    expect(table.ringRadiusM[0]?.[0]).toBeCloseTo(6 * FT, 12); // Smiley 2008: 3 x diameter
  });
});

describe('town codes as rule files', () => {
  it('Durham NC UDO 8.3.2: at least 6 ft', () => {
    const rule = file({ radius: { max: [{ length: '6 ft' }, { perDiameter: '1 ft per in' }] } });
    expect(radius(rule.zone, { dbhM: 4 * IN })).toBeCloseTo(6 * FT, 12);
    expect(radius(rule.zone, { dbhM: 9 * IN })).toBeCloseTo(9 * FT, 12);
  });

  it('Springboro OH 280.01: at least 8 ft', () => {
    const rule = file({ radius: { perDiameter: '1 ft per in' }, atLeast: '8 ft' });
    expect(radius(rule.zone, { dbhM: 7 * IN })).toBeCloseTo(8 * FT, 12);
    expect(radius(rule.zone, { dbhM: 30 * IN })).toBeCloseTo(30 * FT, 12);
  });

  it('Ionia MI: the larger of dripline and 6 x diameter', () => {
    const rule = file({ radius: { max: [{ crownPlus: '0 ft' }, { perDiameter: 6 }] } });
    expect(radius(rule.zone, { dbhM: 30 * IN, crownM: 4 })).toBeCloseTo(15 * FT, 12);
    expect(radius(rule.zone, { dbhM: 30 * IN, crownM: 6 })).toBe(6);
  });

  describe('Ventura County CA 8178-7.4.3: the largest of 15 ft, 1.5 ft per inch, dripline + 5 ft, from the trunk’s face', () => {
    const arms = [{ length: '15 ft' }, { perDiameter: '1.5 ft per in' }, { crownPlus: '5 ft' }];
    const fromCentre = file({ radius: { max: arms } }).zone;
    const fromFace = file({ radius: { max: arms }, from: 'face' }).zone;
    it.each([
      ['printed: 11 in -> 16.5 ft', { dbhM: 11 * IN, crownM: 2 }, 16.5, 11],
      ['printed: 12 in -> 18 ft', { dbhM: 12 * IN, crownM: 2 }, 18, 12],
      ['small trunk, small crown -> 15 ft', { dbhM: 4 * IN, crownM: 1 }, 15, 4],
      ['wide crown -> 20 + 5 ft', { dbhM: 12 * IN, crownM: 20 * FT }, 25, 12],
    ])('%s', (_case, tree, feet, inches) => {
      expect(radius(fromCentre, tree)).toBeCloseTo(feet * FT, 12);
      expect(radius(fromFace, tree)).toBeCloseTo((feet + inches / 24) * FT, 12);
    });
    it('puts 11 in at 16.96 ft from the centre', () => {
      expect(radius(fromFace, { dbhM: 11 * IN, crownM: 2 }) / FT).toBeCloseTo(16.9583, 4);
    });
  });

  it('Univ. of Minnesota for narrow crowns: 0.4 x height', () => {
    expect(radius(file({ radius: { perHeight: 0.4 } }).zone, { heightM: 20 })).toBeCloseTo(8, 12);
  });

  it('sums and least terms, one in the other, from arithmetic', () => {
    const sum = { sum: [{ perHeight: 0.25 }, { length: '1 m' }, { perDiameter: 4 }] };
    expect(radius(file({ radius: sum }).zone, { heightM: 20, dbhM: 0.5 })).toBeCloseTo(5 + 1 + 2, 12);
    const least = file({ radius: { min: [sum, { crownPlus: '2 m' }] } }).zone;
    expect(radius(least, { heightM: 20, dbhM: 0.5, crownM: 4 })).toBe(6);
    expect(radius(least, { heightM: 20, dbhM: 0.5, crownM: 9 })).toBeCloseTo(8, 12);
  });

  it('Halifax NS: 0.5 m per 45 mm', () => {
    expect(radius(file({ radius: { perDiameter: '0.5 m per 45 mm' } }).zone, { dbhM: 0.45 })).toBeCloseTo(5, 10);
  });

  describe('Toronto Tree Protection Policy, Table 1: diameters in whole centimetres', () => {
    const rows = [
      { upTo: '9 cm', radius: '1.2 m' },
      { upTo: '29 cm', radius: '1.8 m' },
      { upTo: '40 cm', radius: '2.4 m' },
      { upTo: '50 cm', radius: '3 m' },
    ];
    const zone = file({ radius: { byDiameter: rows, rounding: 'nearest-cm' } }).zone;
    it.each([
      [9, 1.2],
      [9.4, 1.2],
      [9.6, 1.8],
      [10, 1.8],
      [29, 1.8],
      [30, 2.4],
      [40, 2.4],
      [41, 3],
      [50, 3],
    ])('%d cm -> %d m', (cm, metres) => {
      expect(radius(zone, { dbhM: cm * 0.01 })).toBe(metres);
      expect(radius(zone, { dbhM: cm / 100 })).toBe(metres);
    });
    it('gives no radius past the last row, and says why', () => {
      const { table, findings } = zones(
        treeTable([{ dbh: 0.51 }]),
        file({ radius: { byDiameter: rows, rounding: 'nearest-cm' } }),
      );
      expect(table.radiusM[0]).toBeNaN();
      expect(table.rejected.get(0)).toEqual(['diameter-outside-table']);
      expect(findings[0]?.cure).toContain('"upTo": null');
    });
    it('goes on as 6 cm per cm (rows from 51 cm up from memory)', () => {
      const table = { byDiameter: [...rows, { upTo: null, radius: '3 m' }], rounding: 'none' };
      const longer = file({ radius: { max: [table, { perDiameter: 6 }] } }).zone;
      expect(radius(longer, { dbhM: 1.2 })).toBeCloseTo(7.2, 12);
      expect(radius(longer, { dbhM: 0.4 })).toBeCloseTo(2.4, 12);
    });
    it('rounds as stated: up to the next centimetre, or not at all', () => {
      const by = (rounding: string): RadiusFormula => file({ radius: { byDiameter: rows, rounding } }).zone;
      expect(radius(by('up-cm'), { dbhM: 0.091 })).toBe(1.8);
      expect(radius(by('up-cm'), { dbhM: 0.29 })).toBe(1.8); // 0.29 x 100 is 28.999999999999996
      expect(radius(by('up-cm'), { dbhM: 0.07 * 3 + 0.08 })).toBe(1.8); // 0.29000000000000004
      expect(radius(by('none'), { dbhM: 0.2901 })).toBe(2.4);
    });
  });
});

describe('Matheny & Clark 1998, from memory: feet per inch by tolerance and age', () => {
  const { zone } = builtinRule('tolerance-age');
  it.each([
    ['good', 0.5, 0.75, 1],
    ['moderate', 0.75, 1, 1.25],
    ['poor', 1, 1.25, 1.5],
  ] as const)('%s', (tolerance, ...feet) => {
    (['young', 'mature', 'overmature'] as const).forEach((age, i) => {
      expect(radius(zone, { dbhM: 20 * IN, tolerance, age })).toBeCloseTo((feet[i] as number) * 20 * FT, 10);
    });
  });
});

describe('BS 5837:2012', () => {
  const rule = builtinRule('bs5837-2012');
  it.each([
    ['printed: 500 mm -> 6 m', 0.5, 6, 113],
    ['printed: 600 mm -> 7.2 m, 163 m2', 0.6, 7.2, 163],
    ['printed: 1000 mm -> 12 m, 452 m2', 1, 12, 452],
    ['printed: 1250 mm -> 15 m, 707 m2', 1.25, 15, 707],
    ['printed cap: 2000 mm -> 707 m2', 2, 15, 707],
  ])('%s', (_case, dbh, metres, area) => {
    const { table } = zones(treeTable([{ dbh }]), rule);
    expect(table.radiusM[0]).toBeCloseTo(metres, 12);
    expect(Math.round(table.areaM2[0]!)).toBe(area);
  });

  it('agrees with Table D.1 by its formula (only the rows for 600, 1000 and the cap were seen printed)', () => {
    const areas = [
      3, 5, 7, 10, 14, 18, 23, 28, 34, 41, 48, 55, 64, 72, 82, 92, 102, 113, 125, 137, 150, 163, 177, 191, 206, 222,
      238, 254, 272, 290, 308, 327, 346, 366, 387, 408, 430, 452, 475, 499, 523, 547, 573, 598, 625, 651, 679, 707,
    ];
    const { table } = zones(treeTable(areas.map((_, i) => ({ dbh: (75 + 25 * i) / 1000 }))), rule);
    expect(Array.from(table.areaM2, Math.round)).toEqual(areas);
  });

  it.each([
    ['2 to 5 stems, root of squares: 150, 200, 250 mm', [0.15, 0.2, 0.25], 0.353553, 4.2426, 56.549],
    ['more than 5, from memory: six of 100 mm', [0.1, 0.1, 0.1, 0.1, 0.1, 0.1], 0.244949, 2.9394, 27.143],
    ['more than 5 unequal, from memory', [0.05, 0.1, 0.15, 0.2, 0.25, 0.3], 0.428661, 5.1439, 83.126],
  ])('%s', (_case, stems, diameter, metres, area) => {
    const { table } = zones(treeTable([{ stems }]), rule);
    expect(table.dbhM[0]).toBeCloseTo(diameter, 6);
    expect(table.radiusM[0]).toBeCloseTo(metres, 4);
    expect(table.areaM2[0]).toBeCloseTo(area, 2);
    expect(table.notes.get(0)).toContain('stems-combined');
  });
});

describe('AS 4970-2009', () => {
  const rule = builtinRule('as4970-2009');
  it.each([
    ['printed: 0.32 m -> 3.8 m to a decimal', { dbh: 0.32 }, 3.84],
    ['at least 2 m', { dbh: 0.1 }, 2],
    ['at most 15 m', { dbh: 1.4 }, 15],
    ['palm, from memory: crown + 1 m', { dbh: 0.4, crown: 2, form: 'palm' }, 3],
    ['tree fern, from memory: crown + 1 m', { crown: 1.5, form: 'Tree fern' }, 2.5],
  ])('%s', (_case, tree, metres) => {
    expect(zones(treeTable([tree]), rule).table.radiusM[0]).toBeCloseTo(metres, 12);
  });

  // Formula: (D x 50)^0.42 x 0.64; printed: 1.5 m for D under 0.15 m.
  it.each([
    [0.1, 1.5],
    [0.15, 1.5],
    [0.2, 1.6834],
    [0.25, 1.8488],
    [0.3, 1.9959],
    [0.35, 2.1294],
    [0.4, 2.2522],
    [0.45, 2.3664],
    [0.5, 2.4735],
    [0.6, 2.6704],
    [0.7, 2.849],
    [0.8, 3.0133],
    [0.9, 3.1661],
    [1, 3.3094],
    [1.2, 3.5728],
    [1.25, 3.6345],
    [1.5, 3.9238],
  ])('structural root zone of %d m at the base: %d m', (base, metres) => {
    const { table } = zones(treeTable([{ dbh: base * 0.8, base }]), rule);
    expect(table.ringRadiusM[0]?.[0]).toBeCloseTo(metres, 4);
    expect(table.notes.get(0)).toBeUndefined();
  });

  it('takes the diameter at breast height where none at the base is given, and says so', () => {
    const { table, findings } = zones(treeTable([{ dbh: 0.8 }, { dbh: 0.6 }]), rule);
    expect(table.ringRadiusM[0]?.[0]).toBeCloseTo(3.0133, 4);
    expect(table.notes.get(0)).toEqual(['base-dia-assumed']);
    expect(findings.map((f) => [f.code, f.message])).toEqual([
      ['base-dia-assumed', '2 trees have no diameter above the root buttress; the one at breast height was used'],
    ]);
  });

  it('gives palms no structural ring', () => {
    const { table } = zones(treeTable([{ dbh: 0.4, crown: 2, form: 'palm' }]), rule);
    expect(table.ringRadiusM[0]?.[0]).toBeNaN();
  });
});

describe('DIN 18920', () => {
  const rule = builtinRule('din18920');
  it('is crown + 1.5 m on each side', () => {
    const { table } = zones(treeTable([{ crown: [3, 4, 5, 2] }, { dbh: 0.3, crown: 3 }]), rule);
    expect(table.quarters.get(0)).toEqual([4.5, 5.5, 6.5, 3.5]);
    expect(table.radiusM[0]).toBe(6.5);
    expect(table.areaM2[0]).toBeCloseTo((Math.PI / 4) * (4.5 * 5.5 + 5.5 * 6.5 + 6.5 * 3.5 + 3.5 * 4.5), 9);
    expect(table.quarters.has(1)).toBe(false); // four equal radii are a circle
    expect(table.areaM2[1]).toBeCloseTo(Math.PI * 4.5 ** 2, 9);
  });
  it('is crown + 5 m for columnar trees, from memory', () => {
    const { table } = zones(treeTable([{ dbh: 0.3, crown: 1, form: 'columnar' }]), rule);
    expect(table.radiusM[0]).toBe(6);
    expect(table.notes.get(0)).toEqual(['zone-by-form']);
  });
});

describe('stems and girth', () => {
  it.each([
    ['largest-plus-half-others', 26], // printed: Austin TX, 18 + 16/2
    ['sum', 34], // formula: Menlo Park CA
    ['two-largest', 34], // formula: New Westminster BC
    ['largest-plus-average-others', 34], // formula: Dallas TX 51A
    ['root-of-squares', 24.083], // formula
    ['bs5837', 24.083],
    ['mean-root-n', 24.042],
  ] as const)('stems of 18 and 16 in, %s: %d in', (how, inches) => {
    expect(combineStems([18, 16], how)).toBeCloseTo(inches, 3);
    expect(combineStems([16, 18], how)).toBeCloseTo(inches, 3);
  });

  it('tells the ways apart with three stems', () => {
    const stems = [6, 12, 9];
    expect(combineStems(stems, 'two-largest')).toBe(21);
    expect(combineStems(stems, 'largest-plus-half-others')).toBe(19.5);
    expect(combineStems(stems, 'largest-plus-average-others')).toBe(19.5);
    expect(combineStems([12, 9, 6, 3], 'largest-plus-average-others')).toBe(18);
    expect(combineStems([12, 9, 6, 3], 'largest-plus-half-others')).toBe(21);
  });

  it('19 in of diameter is 59.6904 in of girth (printed: Austin TX)', () => {
    const girth = 59.6904;
    const { table } = zones(treeTable([{ dbh: (girth / Math.PI) * IN }]), builtinRule('foot-per-inch'));
    expect(table.radiusM[0]! / FT).toBeCloseTo(19, 4);
  });

  it('stands up to 0.3 x 12 = 3.5999999999999996', () => {
    const zone: RadiusFormula = { radius: { perDiameter: 12 }, atLeast: '3.6 m' };
    expect(radius(zone, { dbhM: 0.3 })).toBe(3.6);
    expect(radius({ radius: { perDiameter: '1 ft per in' } }, { dbhM: 1 })).toBe(12);
    expect(radius({ radius: { perDiameter: '1.25 ft per in' } }, { dbhM: 1 })).toBe(15);
    expect(radius({ radius: { perDiameter: '1.5 ft per in' } }, { dbhM: 1 })).toBe(18);
  });
});
