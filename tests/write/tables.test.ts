import { parse } from 'csv-parse/sync';
import { describe, expect, test } from 'vitest';
import type { TreeResult } from '../../src/model/index.js';
import { summaryTable, toSchedule } from '../../src/write/index.js';
import { bearing, cell, figure } from '../../src/write/numbers.js';
import { handMade } from '../support/assessment.js';

test('rounding: 6 decimals, north is 0, never a negative zero', () => {
  expect(figure(1 / 3)).toBe(0.333333);
  expect(Object.is(figure(-1e-9), 0)).toBe(true);
  expect(figure(Number.NaN)).toBeNull();
  expect(bearing(359.99999999)).toBe(0);
  expect(cell(-0.04, 1)).toBe('0.0');
  expect(cell(null, 1)).toBe('');
});

describe('schedule', () => {
  const rows = (csv: string): Record<string, string>[] => parse(csv, { columns: true });

  test('exact text in us units', () => {
    const lines = toSchedule(handMade().assessment, { units: 'us' }).split('\r\n');
    expect(lines).toHaveLength(6); // heading, four trees, and nothing after the last line end
    expect(lines[0]).toBe(
      'Tree,Species,Common name,Disposition,DBH (in),Zone radius (ft),Zone area (ft2),Overlap (ft2),Overlap (%),' +
        'Of it building (ft2),Of it trench (ft2),Severed (%),Affected (%),Ring no-cut (%),Nearest works (ft),' +
        'Nearest works from trunk face (ft),Bearing to works (deg from true north),Works nearest,' +
        'Works that take most alone,Taken by them alone (%),Works may approach by (negative: must retreat) (ft),Verdict,' +
        'Consequence,Reasons,Lot,Remarks',
    );
    expect(lines[1]).toBe(
      'T1,Quercus garryana,,keep,20.0,20.00,1256.64,431.89,34.4,107.64,376.74,1.7,36.1,12.5,1.00,0.17,0.0,W1,W1,25.5,-1.00,' +
        'over-limit,exceeds the limit,over-zone-limit; ring-no-cut,L-122.5,"lean, ""slight"""',
    );
    expect(lines[3]).toBe('T3,,,keep,,,,,,,,,,,,,,,,,,not-assessed,,dbh-missing,,');
  });

  test('metric: centimetres of diameter, one decimal of a percent', () => {
    const [first, second] = rows(toSchedule(handMade().assessment));
    expect(first).toMatchObject({
      'DBH (cm)': '50.8',
      'Zone radius (m)': '6.10',
      'Overlap (m2)': '40.12',
      'Overlap (%)': '34.4',
    });
    expect(second?.['Severed (%)']).toBe('0.0');
  });

  test('what a spreadsheet would run as a formula is made inert; a field mapped by option is found', () => {
    const { assessment } = handMade({ options: { fields: { common_name: 'tag' } } });
    expect(rows(toSchedule(assessment))[1]).toMatchObject({ Remarks: "'=1+1", 'Common name': 'T2' });
  });
});

describe('summary', () => {
  test('counts, worst first, cautions', () => {
    const { assessment } = handMade();
    const out = summaryTable(assessment, { units: 'us' });
    expect(out).toContain('Trees: 4 read, 2 assessed, 2 not assessed');
    expect(out).toMatch(/over-limit +1\n/);
    expect(out).toMatch(/T1 +Quercus garryana +keep +20\.0 +20\.00 +34\.4 +1\.7 +over-limit/);
    expect(out).toContain('Works inside the ring "no-cut": 1 of the trees');
    expect(out).toContain('a qualified arborist and the local code make it');
    expect(out).not.toContain('\u001b');
    expect(summaryTable(assessment, { colour: true })).toContain('\u001b[31mover-limit');
  });

  test('at most 15 are listed: stem in works before the larger percent, ties in input order', () => {
    const { assessment } = handMade();
    const base = assessment.trees[0]!;
    const trees = Array.from(
      { length: 20 },
      (_, row): TreeResult => ({
        ...base,
        row,
        key: `K${row}`,
        overlapPct: row === 7 ? 25 : 50,
        verdict: row === 7 ? 'stem-in-works' : 'over-limit',
      }),
    );
    const listed = [...summaryTable({ ...assessment, trees }).matchAll(/^ {2}(K\d+) /gm)].map((m) => m[1]);
    expect(listed).toEqual([
      'K7',
      'K0',
      'K1',
      'K2',
      'K3',
      'K4',
      'K5',
      'K6',
      ...[8, 9, 10, 11, 12, 13, 14].map((i) => `K${i}`),
    ]);
    expect(summaryTable({ ...assessment, trees })).toContain('and 5 more');
  });

  test('a tag cannot steer the terminal', () => {
    const { assessment } = handMade();
    const trees = [{ ...assessment.trees[0]!, key: 'a\u001b[2Jb' }];
    expect(summaryTable({ ...assessment, trees })).not.toContain('\u001b');
  });
});
