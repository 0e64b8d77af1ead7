// Field names, units and mappings: in: layers whose fields are named in many ways; out: diameters in metres, errors.
import { describe, expect, it } from 'vitest';
import { checkLots, checkTrees, checkWorks } from '../../src/check/index.js';
import { nearestName } from '../../src/check/suggest.js';
import { readLength, readStems, UNITLESS, UNREADABLE } from '../../src/check/values.js';
import { InputError, WORKS_KINDS } from '../../src/model/index.js';
import { editDistance } from '../../src/text/nearest-word.js';
import { named, polygonLayer, treeLayer } from '../support/check-layers.js';

const SQUARE = [
  [0, 0],
  [4, 0],
  [4, 4],
  [0, 4],
  [0, 0],
] as const;

function errorOf(run: () => unknown): InputError {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('nothing was thrown');
}

describe('a mapping of one of several layers', () => {
  it('leaves the names of the other layers as they are', () => {
    const site = polygonLayer([[SQUARE]], [{ TYPE: 'paving', D: 2 }]);
    const drawn = polygonLayer([[SQUARE]], [{ kind: 'excavation', depth_m: 1 }]);
    const fields = { 'works.kind': 'TYPE', 'works.depth': 'D:ft' };
    const { table } = checkWorks([{ layer: site }, { layer: drawn }], { fields });
    expect([...table.kind].map((code) => WORKS_KINDS[code])).toEqual(['paving', 'excavation']);
    expect([...table.depthM]).toEqual([0.6096, 1]);
  });

  it('but “-” leaves the field out of all of them', () => {
    const drawn = polygonLayer([[SQUARE]], [{ kind: 'excavation', depth_m: 1 }]);
    const { table } = checkWorks([{ layer: drawn }], { fields: { 'works.depth': '-' } });
    expect([...table.depthM]).toEqual([Number.NaN]);
  });
});

describe('names and units', () => {
  it.each([
    ['dbh_in', 24, 0.6096],
    ['DBH_CM', 61, 0.61],
    ['Dbh_mm', 610, 0.61],
    ['DBH (in)', '24', 0.6096],
    ['dbh_inches', 24, 0.6096],
    ['dbh_ft', 2, 0.6096],
    ['dbh_us_ft', 2, 2400 / 3937],
    ['girth_cm', 100, 1 / Math.PI],
  ])('%s = %s is %f m', (name, value, metres) => {
    const { table } = checkTrees(treeLayer([{ [name]: value }]));
    expect(table.dbhM[0]).toBeCloseTo(metres, 12);
  });

  it('takes the unit of a bare diameter field from the option, and from nowhere else', () => {
    const layer = treeLayer([{ DBH: 8 }, { DBH: 40 }]);
    expect(checkTrees(layer, { dbhUnit: 'in' }).table.dbhM[0]).toBeCloseTo(0.2032, 12);
    const error = errorOf(() => checkTrees(layer));
    expect(error.code).toBe('unit-missing');
    expect(error.message).toContain('DBH');
    expect(error.message).toContain('8 to 40');
    expect(error.message).toContain('in or cm');
    expect(error.cure).toContain('--dbh-unit');
  });

  it('does not ask for a unit where every value has its own or is blank', () => {
    const { table } = checkTrees(treeLayer([{ dbh: '24"' }, { dbh: '24 in' }, { dbh: '61cm' }, { dbh: '' }]));
    [0.6096, 0.6096, 0.61].forEach((metres, row) => {
      expect(table.dbhM[row]).toBeCloseTo(metres, 12);
    });
    expect(table.rejected.get(3)).toEqual(['dbh-missing']);
  });

  it('does not apply the diameter unit to other lengths', () => {
    const error = errorOf(() => checkTrees(treeLayer([{ dbh_in: 9, height: 40 }]), { dbhUnit: 'in' }));
    expect(error.code).toBe('unit-missing');
    expect(error.cure).toContain('--field height=height:ft');
  });

  it('asks for the unit of works and leaves a field out on request', () => {
    const layer = polygonLayer([[SQUARE]], [{ kind: 'fill', depth: 2 }]);
    expect(errorOf(() => checkWorks([{ layer }])).cure).toContain('--field works.depth=depth:ft');
    const feet = checkWorks([{ layer }], { fields: { 'works.depth': 'depth:ft' } });
    expect(feet.table.depthM[0]).toBeCloseTo(0.6096, 12);
    expect(feet.findings.map((f) => f.code)).toEqual(['field-mapped']);
    const none = checkWorks([{ layer }], { fields: { 'works.depth': '-' } });
    expect(none.table.depthM[0]).toBeNaN();
  });

  it('leaves out a bare field beside one with a unit, aloud', () => {
    const { table, findings } = checkTrees(treeLayer([{ dbh: 99, dbh_in: 10 }]));
    expect(table.dbhM[0]).toBeCloseTo(0.254, 12);
    expect(findings.map((f) => f.code)).toEqual(['field-mapped']);
  });
});

describe('mappings', () => {
  const layer = treeLayer([{ DIAM: 10, TAG_NO: 'A' }]);

  it('reads a mapped field, by its own unit, the mapping or the option', () => {
    for (const options of [
      { fields: { dbh: 'DIAM' }, dbhUnit: 'in' as const },
      { fields: { dbh: 'DIAM:in' } },
      { fields: { dbh_in: 'DIAM' } },
      { fields: { 'trees.dbh': 'diam:in' } },
    ]) {
      expect(checkTrees(layer, options).table.dbhM[0]).toBeCloseTo(0.254, 12);
    }
    expect(named(checkTrees(layer, { fields: { dbh: 'DIAM:in', tag: 'TAG_NO' } }).table.key)).toEqual(['A']);
    expect(checkTrees(treeLayer([{ DIAM_IN: 10 }]), { fields: { dbh: 'DIAM_IN' } }).table.dbhM[0]).toBeCloseTo(0.254);
  });

  it('names the fields that are there and the nearest one', () => {
    const error = errorOf(() => checkTrees(layer, { fields: { dbh: 'DIAN' } }));
    expect(error).toMatchObject({ code: 'field-missing', layer: 'trees.csv', usage: false });
    expect(error.message).toContain('DIAM, TAG_NO');
    expect(error.cure).toContain('--field dbh=DIAM');
  });

  it('calls an unknown contract field wrong usage', () => {
    expect(errorOf(() => checkTrees(layer, { fields: { dhb: 'DIAM' } }))).toMatchObject({
      code: 'field-unknown',
      usage: true,
      cure: 'did you mean "dbh"?',
    });
    expect(errorOf(() => checkTrees(layer, { fields: { 'roads.kind': 'K' } })).usage).toBe(true);
  });

  it('leaves other roles’ mappings alone, and maps lots', () => {
    const lots = polygonLayer([[SQUARE]], [{ PARCEL: 'P7' }], 'lots.geojson');
    expect(named(checkLots(lots, { fields: { 'lots.id': 'PARCEL', dbh: 'NOT_HERE' } }).table.key)).toEqual(['P7']);
  });

  it('wants a mapped works field in one of the files only', () => {
    const a = polygonLayer([[SQUARE]], [{ D: 3 }], 'a.geojson');
    const b = polygonLayer([[SQUARE]], [{}], 'b.geojson');
    const { table } = checkWorks([{ layer: a }, { layer: b }], { fields: { 'works.depth': 'D:m' } });
    expect([...table.depthM]).toEqual([3, Number.NaN]);
  });
});

describe('no diameter field', () => {
  it('lists the fields, the likely ones and the option to give', () => {
    const error = errorOf(() => checkTrees(treeLayer([{ TAG: 1, TRUNK: 12 }])));
    expect(error.code).toBe('dbh-field-missing');
    expect(error.message).toContain('TAG, TRUNK; likely: TRUNK');
    expect(error.cure).toBe('add --field dbh=TRUNK --dbh-unit in (or cm, mm)');
    expect(errorOf(() => checkTrees(treeLayer([{ CIRCUM_CM: 90 }]))).cure).toBe('add --field girth=CIRCUM_CM');
  });

  it('does without where the rows give their zone', () => {
    const { table } = checkTrees(treeLayer([{ zone_radius_ft: 10 }, { zone_radius_ft: null }]));
    expect(table.zoneRadiusM[0]).toBeCloseTo(3.048, 12);
    expect(table.rejected.get(0)).toBeUndefined();
    expect(table.rejected.get(1)).toEqual(['dbh-missing']);
  });

  it('says nothing of an empty layer', () => {
    expect(checkTrees(treeLayer([])).table.count).toBe(0);
    expect(checkWorks([]).table.geometry.partStart).toEqual(Uint32Array.of(0));
  });
});

describe('numbers', () => {
  it.each([
    [24, 24],
    ['24', 24],
    [' 24.5 ', 24.5],
    ['24,5', 24.5],
    ['0,125', 0.125],
    ['1e1', 10],
    ['24 cm', 0.24],
    ['24,5 cm', 0.245],
    ["15'", 4.572],
    ['', Number.NaN],
    [null, Number.NaN],
    [Number.NaN, Number.NaN],
    ['1,234', UNREADABLE],
    ['1.234,5', UNREADABLE],
    ['0x10', UNREADABLE],
    ['Infinity', UNREADABLE],
    ['about 24', UNREADABLE],
    [true, UNREADABLE],
    [{}, UNREADABLE],
    [Number.POSITIVE_INFINITY, UNREADABLE],
  ])('%j in a metre field is %d', (value, metres) => {
    expect(readLength(value, 1)).toBe(metres);
  });

  it('tells a bare number from zero and from one with a unit', () => {
    expect(readLength(7, Number.NaN)).toBe(UNITLESS);
    expect(readLength('7', Number.NaN)).toBe(UNITLESS);
    expect(readLength(0, Number.NaN)).toBe(0);
    expect(readLength('7 m', Number.NaN)).toBe(7);
  });

  it.each([
    ['12;9;7', [12, 9, 7]],
    ['12/9/7', [12, 9, 7]],
    ['12,9,7', [12, 9, 7]],
    ['12+9+7', [12, 9, 7]],
    ['12 9 7', [12, 9, 7]],
    ['12,5;9', [12.5, 9]],
    ['[12, 9, 7]', [12, 9, 7]],
    [
      [12, '9', 7],
      [12, 9, 7],
    ],
    ['12; 0; 7;', [12, 7]],
    [12, [12]],
    ['', []],
    [null, []],
    ['12;x', null],
    ['12;-3', null],
    [{ a: 1 }, null],
  ])('stems %j are %j', (value, stems) => {
    expect(readStems(value, 1)).toEqual(stems);
  });

  it('stems with their own unit', () => {
    expect(readStems('12";9"', Number.NaN)).toEqual([12 * 0.0254, 9 * 0.0254]);
    expect(readStems('12;9', Number.NaN)).toEqual([UNITLESS]);
  });
});

describe('nearest name', () => {
  it('is the one of least edit distance (kitten, sitting: 3, the textbook case)', () => {
    expect(editDistance('kitten', 'sitting')).toBe(3);
    expect(nearestName('speceis', ['SPECIES', 'SPEED'])).toBe('SPECIES');
    expect(nearestName('dbh', ['easting'])).toBeUndefined();
  });
});
