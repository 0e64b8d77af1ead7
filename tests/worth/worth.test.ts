// What an arborist looks at, from a survey to its results. In: rows as literals; out: categories, lists, findings, properties.

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { assess, readLayerAsync, toGeoJSON } from '../../src/core.js';
import { GRADES, type Worth } from '../../src/model/index.js';
import { statedCategory } from '../../src/worth/index.js';
import { feature, layer, square } from '../support/report-jobs.js';

const SOUND = {
  dbh_cm: 40,
  age: 'mature',
  remaining_years: '40+',
  sounding: 'sound',
  decay: 'none',
  root_disease: 'none',
  root_flare: 'visible',
  included_bark: 'none',
};

const job = (rows: readonly Record<string, unknown>[]) =>
  assess({
    trees: layer(
      'trees.geojson',
      rows.map((row, i) => feature('Point', [i * 100, 0], { id: `T${i}`, ...row })),
    ),
    works: [{ layer: layer('works.geojson', [feature('Polygon', square(3, 3, 2), { kind: 'building' })]) }],
    options: { crs: 'local:m', crsFor: { trees: 'local:m', works: 'local:m' } },
  });
const worthOf = (row: Record<string, unknown>): Worth => job([row]).tree(0).worth!;

describe('the category', () => {
  it('stands on years and on an answer for trunk, roots and forks', () => {
    expect(worthOf(SOUND)).toMatchObject({
      category: 'A',
      reckoned: 'A',
      stated: null,
      reasons: ['years-at-least-40'],
    });
    for (const field of ['included_bark'])
      expect(worthOf({ ...SOUND, [field]: '' })).toMatchObject({ category: null, reasons: ['forks-not-seen'] });
    expect(worthOf({ ...SOUND, sounding: '', decay: 'not examined' }).reasons).toEqual(['trunk-not-seen']);
    expect(worthOf({ ...SOUND, root_disease: '', root_flare: 'buried' }).reasons).toEqual(['roots-not-seen']);
    expect(worthOf({ ...SOUND, included_bark: '', codominant: 'present' }).reasons).toEqual(['forks-not-seen']);
    expect(worthOf({ ...SOUND, included_bark: '', codominant: 'none' }).category).toBe('A');
  });

  it.each([
    ['decay', 'severe'],
    ['decay', 'yes'],
    ['fungi', 'Ganoderma at base'],
    ['sounding', 'hollow'],
    ['root_flare', 'girdling roots'],
    ['cavities', 'one at 3 m, deep'],
    ['past_damage', 'severe'],
  ])('is open where %s is "%s", until somebody says whether it can be put right', (field, word) => {
    expect(worthOf({ ...SOUND, [field]: word })).toMatchObject({ category: null, reasons: ['defects-open'] });
    expect(worthOf({ ...SOUND, [field]: word, irremediable: 'no' }).category).toBe('A');
    expect(worthOf({ ...SOUND, [field]: word, irremediable: 'yes' }).category).toBe('U');
  });

  it.each(['slight', 'moderate', 'none'])('a defect that is %s leaves it as it is', (word) => {
    expect(worthOf({ ...SOUND, decay: word, dead_wood: 'severe', pests: 'severe' }).category).toBe('A');
  });

  it('is U for the dead and the dying', () => {
    expect(worthOf({ ...SOUND, condition: 'dead' }).reasons).toEqual(['dead']);
    expect(worthOf({ ...SOUND, vigour: 'dead' }).reasons).toEqual(['dead']);
    expect(worthOf({ ...SOUND, vigour: 'in overall decline' }).reasons).toEqual(['overall-decline']);
    expect(worthOf({ ...SOUND, vigour: 'declining' }).category).toBe('A');
  });

  it('of the survey stands; one that years and defects do not give is a finding', () => {
    const { findings, tree } = job([
      { ...SOUND, category: 'B2' },
      { ...SOUND, category: 'A1' },
      { ...SOUND, category: 'landmark' },
      { ...SOUND, category: 'C', remaining_years: '' },
    ]);
    expect([0, 1, 2, 3].map((row) => tree(row).worth?.category)).toEqual(['B', 'A', 'A', 'C']);
    expect([0, 1, 2, 3].map((row) => tree(row).worth?.reckoned)).toEqual(['A', 'A', 'A', null]);
    expect(findings.filter(({ code }) => code === 'retention-differs')).toMatchObject([
      { feature: 0, id: 'T0', message: expect.stringContaining('category B; years and defects as entered give A') },
    ]);
  });

  it.each([
    ['b', 'B'],
    ['C1,2', 'C'],
    ['Category U', 'U'],
    ['A 1/2', 'A'],
    ['D', null],
    ['Bad', null],
    ['', null],
  ])('%s is %s', (text, letter) => {
    expect(statedCategory(text)).toBe(letter);
  });

  it('years that cannot be read are one finding', () => {
    const { findings } = job([
      { ...SOUND, remaining_years: 'long' },
      { ...SOUND, remaining_years: 'ages' },
    ]);
    expect(findings.filter(({ code }) => code === 'years-unreadable')).toMatchObject([
      { feature: 0, message: expect.stringContaining('2 trees, the first "long"') },
    ]);
  });
});

describe('what is to be seen first', () => {
  it('is the most pressing, then what holds the tree up; what it would strike leads', () => {
    const row = {
      ...SOUND,
      dead_wood: 'severe',
      decay: 'moderate',
      root_disease: 'severe',
      lean_deg: 8,
      cavities: 'slight',
    };
    const codes = ['root_disease:severe', 'dead_wood:severe', 'lean_deg:noted', 'decay:moderate', 'cavities:slight'];
    expect(worthOf(row).seeFirst).toEqual(codes);
    expect(worthOf({ ...row, strikes: 'the school' }).seeFirst).toEqual(['strikes:noted', ...codes]);
    expect(worthOf({ ...row, strikes: 'nothing' }).seeFirst).toEqual(codes);
  });

  it('is nothing where nothing is wrong, though something could be struck', () => {
    expect(worthOf({ ...SOUND, lean_deg: 0, strikes: 'house', live_buds: 'many' }).seeFirst).toEqual([]);
    expect(worthOf({ ...SOUND, live_buds: 'none' }).seeFirst).toEqual(['live_buds:none']);
  });

  it('has an answer for each entry, whatever the survey says', () => {
    const word = fc.constantFrom(...GRADES, '', 'own words', 'yes', 'N');
    fc.assert(
      fc.property(word, word, word, (decay, included_bark, pests) => {
        const worth = job([{ ...SOUND, decay, included_bark, pests }]).tree(0).worth!;
        for (const code of worth.seeFirst) expect(worth.missing).not.toContain(code.split(':')[0]);
      }),
      { numRuns: 30 },
    );
  });
});

describe('what is missing', () => {
  it('names what the ladder needs first, then the rest', () => {
    const { missing } = worthOf({ dbh_cm: 40, age: 'mature', vigour: 'good', sounding: 'sound' });
    expect(missing.slice(0, 6)).toEqual([
      'remaining_years',
      'irremediable',
      'root_disease',
      'root_flare',
      'included_bark',
      'codominant',
    ]);
    expect(missing).toContain('strikes');
    expect(missing).not.toContain('sounding');
    expect(worthOf({ ...SOUND, decay: 'not seen' }).missing).toContain('decay');
  });
});

describe('the output', () => {
  it('has the properties where the survey has any of the columns, and none elsewhere', () => {
    const properties = (rows: readonly Record<string, unknown>[]) =>
      toGeoJSON(job(rows), { roles: ['tree'] }).features.map((one) => one.properties as Record<string, unknown>);
    const [plain] = properties([{ dbh_cm: 40, category: 'A', remaining_years: '40+', condition: 'good' }]);
    expect(Object.keys(plain!).filter((key) => /retention|see_first|not_recorded/.test(key))).toEqual([]);
    const [sound, silent] = properties([{ ...SOUND, decay: 'slight' }, { dbh_cm: 40 }]);
    expect(sound).toMatchObject({
      decay: 'slight',
      rb_retention_category: 'A',
      rb_retention_reckoned: 'A',
      rb_retention_reasons: 'years-at-least-40',
      rb_see_first: 'decay:slight',
    });
    expect(silent).toMatchObject({ rb_retention_category: null, rb_see_first: null, rb_not_recorded: null });
  });

  it('field notes carry the columns through', async () => {
    const notes = [
      'point,easting_m,northing_m,base,along_m,offset_m,side,kind,dbh_cm,decay,lean_deg,remaining_years',
      'A,0,0,,,,,,,,,',
      'B,40,0,,,,,,,,,',
      'T1,,,A>B,10,5,left,tree,40,severe,5,20+',
    ].join('\n');
    const trees = await readLayerAsync(new TextEncoder().encode(notes), { name: 'notes.csv', role: 'trees' });
    const result = assess({ trees, options: { crs: 'local:m' } });
    expect(result.tree(0).worth?.seeFirst).toEqual(['decay:severe', 'lean_deg:noted']);
  });
});
