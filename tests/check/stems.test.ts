// What people write for a diameter: several stems, estimates, ranges, stems in columns; crown spread; labels. In: rows as
// literals; out: metres, findings.

import { describe, expect, it } from 'vitest';
import { checkLots, checkTrees, likelyFields } from '../../src/check/index.js';
import type { Properties } from '../../src/model/index.js';
import { polygonLayer, treeLayer } from '../support/check-layers.js';

const IN = 0.0254;

const read = (rows: readonly Properties[], options = {}) => checkTrees(treeLayer(rows), options);
const inches = (stems: readonly number[] | undefined) => stems?.map((m) => Math.round((m / IN) * 1000) / 1000);
const codesOf = (findings: readonly { readonly code: string }[]) => findings.map(({ code }) => code);

describe('a field for one diameter', () => {
  it.each(['18/14/12', '18,14,12', '18+14+12', '18 / 14 / 12', '18;14;12', '18/14/12"', '18/14/12 in', '18 & 14 & 12'])(
    '%s holds three stems of one tree, which is told',
    (dbh_in) => {
      const { table, findings } = read([{ dbh_in }]);
      expect(inches(table.stemsM.get(0))).toEqual([18, 14, 12]);
      expect(table.rejected.size).toBe(0);
      expect(codesOf(findings)).toEqual(['dbh-stems']);
      expect(findings[0]?.message).toContain('holds several figures for 1 of 1 trees');
    },
  );

  it('12+10 is two stems; so are girths', () => {
    expect(inches(read([{ dbh_in: '12+10' }]).table.stemsM.get(0))).toEqual([12, 10]);
    const girths = read([{ girth_cm: '100/60' }]).table.stemsM.get(0);
    expect(girths?.map((m) => m * Math.PI)).toEqual([expect.closeTo(1, 12), expect.closeTo(0.6, 12)]);
  });

  it('a decimal comma stays one, except where inches have two digits behind it', () => {
    expect(read([{ dbh_cm: '24,55' }]).table.dbhM[0]).toBeCloseTo(0.2455, 12);
    expect(read([{ dbh_in: '24,5' }]).table.dbhM[0]).toBeCloseTo(24.5 * IN, 12);
    expect(inches(read([{ dbh_in: '18,14' }]).table.stemsM.get(0))).toEqual([18, 14]);
  });

  it.each(['~30', 'c.30', 'c. 30', 'ca. 30', '#30', '30#', '30 est.', '≈30'])('%s is an estimate', (dbh_cm) => {
    const { table, findings } = read([{ dbh_cm }]);
    expect(table.dbhM[0]).toBeCloseTo(0.3, 12);
    expect(table.estimated?.[0]).toBe(1);
    expect(table.notes.get(0)).toEqual(['dbh-estimated']);
    expect(codesOf(findings)).toEqual(['dbh-estimated']);
  });

  it('#240 in millimetres is an estimate, and the field of that name says so too', () => {
    const { table } = read([
      { dbh_mm: '#240', estimated: 'no' },
      { dbh_mm: 240, estimated: 'yes' },
      { dbh_mm: 240, estimated: 'no' },
    ]);
    expect([...table.dbhM]).toEqual([0.24, 0.24, 0.24].map((m) => expect.closeTo(m, 12)));
    expect([...(table.estimated ?? [])]).toEqual([1, 1, 0]);
  });

  it.each(['24-30', '24 – 30', '24" to 30"', '24 bis 30'])('%s is refused by name with both ends', (dbh_in) => {
    const { table, findings } = read([{ dbh_in }]);
    expect(table.dbhM[0]).toBeNaN();
    expect(codesOf(findings)).toEqual(['dbh-range', 'dbh-missing']);
    expect(findings[0]?.message).toMatch(/is a range from 24"? to 30"?; treated as missing/);
    expect(table.rejected.get(0)).toEqual(['dbh-missing']);
  });

  it('stems beside them count as before, and a conflict is told', () => {
    const { table } = read([{ dbh_in: '18/14', stems_in: '10;10' }]);
    expect(inches(table.stemsM.get(0))).toEqual([10, 10]);
  });
});

describe('stems in several columns', () => {
  it.each([
    [{ dbh1_in: 12, dbh2_in: 9, dbh3_in: '' }, {}],
    [{ 'DBH 1': 12, 'DBH 2': 9 }, { dbhUnit: 'in' }],
    [{ DBH_2: 9, DBH_1: 12 }, { dbhUnit: 'in' }],
    [
      { A: 12, B: 9, C: null },
      { dbhUnit: 'in', fields: { stems: 'A,B,C' } },
    ],
    [{ A: 12, B: 9, C: 0 }, { fields: { stems: 'A:in, B:in, C:in' } }],
  ])('%o are one tree', (row, options) => {
    const { table, findings } = read([row], options);
    expect(inches(table.stemsM.get(0))).toEqual([12, 9]);
    expect(codesOf(findings)).toEqual(['field-mapped']);
    expect(findings[0]?.message).toContain('were read as the stems of one tree');
  });

  it('one that cannot be read leaves none: the others alone would make the zone too small', () => {
    const { table, findings } = read([{ dbh1_in: 12, dbh2_in: 'large' }]);
    expect(table.stemsM.size).toBe(0);
    expect(codesOf(findings)).toEqual(['field-mapped', 'number-unreadable', 'dbh-missing']);
  });

  it('a list that names a column that does not exist is refused', () => {
    expect(() => read([{ A: 12, B: 9 }], { fields: { stems: 'A,B,C' } })).toThrow('has no field "A,B,C"');
  });

  it('a unit that is not said is asked for', () => {
    expect(() => read([{ dbh1: 12, dbh2: 9 }])).toThrow('field dbh1 does not say its unit');
  });

  it('check proposes all of them, never the first', () => {
    const likely = likelyFields(treeLayer([{ DIAM1: 12, DIAM2: 9, DIAM3: 7 }]), 'trees');
    expect(likely.map(({ field, source }) => [field, source])).toEqual([['stems', 'DIAM1,DIAM2,DIAM3']]);
    expect(() => read([{ DIAM1: 12, DIAM2: 9 }])).toThrow('its fields are: DIAM1, DIAM2');
  });
});

describe('crown spread', () => {
  it('is a diameter, and gives way to radii', () => {
    const { table, findings } = read([
      { dbh_in: 9, crown_spread_m: 10 },
      { dbh_in: 9, crown_spread_m: 10, crown_radius_m: 5.1 },
      { dbh_in: 9, crown_spread_m: 10, crown_n_m: 7 },
    ]);
    expect([...table.crownM]).toEqual([5, 5, 5, 5, 5.1, 5.1, 5.1, 5.1, 7, 5, 5, 5]);
    expect(findings).toEqual([]);
  });

  it('more than 5 % from the radii is a finding', () => {
    const { table, findings } = read([{ dbh_in: 9, crown_spread_m: 10, crown_radius_m: 6 }]);
    expect([...table.crownM]).toEqual([6, 6, 6, 6]);
    expect(codesOf(findings)).toEqual(['crown-conflict']);
  });

  it('is proposed for the names it usually has', () => {
    const likely = likelyFields(treeLayer([{ dbh_in: 9, SPREAD_FT: 30 }]), 'trees');
    expect(likely.map(({ field, source }) => [field, source])).toEqual([['crown_spread', 'SPREAD_FT']]);
  });
});

describe('labels', () => {
  it.each(['name', 'tag', 'Tree No.', 'Tree ID', 'TREE_NO', 'Point', 'No.'])('%s names the tree', (field) => {
    const { table } = read([
      { dbh_in: 9, [field]: 'T7' },
      { dbh_in: 9, [field]: 'T8' },
    ]);
    expect([table.key.at(0), table.key.at(1)]).toEqual(['T7', 'T8']);
  });

  it('a name that is the same for most is a kind, not a label', () => {
    const { table } = read([1, 2, 3].map(() => ({ dbh_in: 9, name: 'White oak' })));
    expect(table.key.at(0)).toBe('trees.csv:0');
  });

  it('the name of a placemark names a lot', () => {
    const ring = [
      [0, 0],
      [4, 0],
      [4, 4],
      [0, 0],
    ] as const;
    const { table } = checkLots(polygonLayer([[ring]], [{ name: 'Lot 12' }], 'lots.kml'));
    expect(table.key.at(0)).toBe('Lot 12');
  });
});
