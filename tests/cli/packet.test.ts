// The packet at the command line: tables as CSV and as a workbook, sheets of the plan as files, parts of the report, and what is
// refused before anything is read.
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Excel from 'exceljs';
import { afterAll, describe, expect, it } from 'vitest';
import { run } from '../support/cli.js';

const dir = mkdtempSync(join(tmpdir(), 'packet-'));
afterAll(() => rmSync(dir, { recursive: true, force: true }));
const demo = (name: string): string => join(import.meta.dirname, '../../data/demo', name);
const to = (name: string): string => join(dir, name);
const JOB = [
  'assess',
  ...[
    '--trees',
    demo('survey.csv'),
    '--crs',
    'EPSG:2913',
    '--works',
    demo('works.geojson'),
    '--lots',
    demo('lots.geojson'),
  ],
  ...['--units', 'us', '--margins', 'none', '--mitigation', 'inch-for-inch', '--today', '2026-07-01', '--quiet'],
  ...['--out', to('a.geojson')],
];

describe('the packet at the command line', () => {
  it('inventory and removals as a workbook: typed cells, a heading that stays, filters; the same rows as the CSV', async () => {
    const { code, err } = await run(...JOB, '--inventory', to('i.xlsx'), '--removals', to('r.csv'));
    expect([code, err]).toEqual([0, '']);
    const book = new Excel.Workbook();
    await book.xlsx.readFile(to('i.xlsx'));
    expect(book.worksheets.map(({ name }) => name)).toEqual(['Inventory', 'Removal and replacement', 'About']);
    await run(...JOB, '--inventory', to('again.xlsx'));
    expect(readFileSync(to('again.xlsx')).equals(readFileSync(to('i.xlsx')))).toBe(true);
    const [inventory, removals] = book.worksheets as [Excel.Worksheet, Excel.Worksheet];
    const head = (inventory.getRow(1).values as string[]).slice(1);
    expect(inventory.rowCount).toBe(121);
    expect(typeof inventory.getRow(2).getCell(head.indexOf('Diameter used (in)') + 1).value).toBe('number');
    for (const sheet of [inventory, removals]) {
      expect(sheet.views[0]).toMatchObject({ state: 'frozen', ySplit: 1 });
      expect(sheet.autoFilter).toBeTruthy();
    }
    const csv = readFileSync(to('r.csv'), 'utf8').trimEnd().split('\r\n');
    expect(removals.rowCount).toBe(csv.length);
    expect((removals.getRow(1).values as string[]).slice(1).join(',')).toBe(csv[0]);
  });

  it('a scale that does not fit writes numbered sheets; parts of the report can be had alone', async () => {
    const { code } = await run(
      ...JOB,
      ...['--plan', to('p.svg'), '--sheet', 'letter', '--scale', '1in=60ft', '--drawings', 'existing,protection'],
      ...['--report', to('r.html'), '--parts', 'answer,signoff', '--packet', demo('packet.json')],
    );
    expect(code).toBe(0);
    const sheets = readdirSync(dir).filter((name) => /^p(-\d+)?\.svg$/.test(name));
    expect(sheets.length).toBeGreaterThan(2);
    expect(sheets.length % 2).toBe(0);
    expect(existsSync(to(`p-${sheets.length}.svg`))).toBe(true);
    expect(readFileSync(to('p-2.svg'), 'utf8')).toContain(`Sheet 2 of ${sheets.length}`);
    const page = readFileSync(to('r.html'), 'utf8');
    expect(page).toContain('<section id="signoff"');
    expect(page).not.toContain('<section id="plan"');
    expect(page).toContain('Certified arborist 00000 (invented)');
  });

  it.each([
    ['--inventory', to('i.pdf'), 'neither .csv nor .xlsx'],
    ['--parts', 'anser', 'answer'],
    ['--drawings', 'before', 'choose from all, existing, proposed, protection'],
  ])('%s %s is refused before anything is read', async (option, value, said) => {
    const more = option === '--inventory' ? [] : ['--report', to('x.html'), '--plan', to('x.svg')];
    const { code, err } = await run(...JOB, option, value, ...more);
    expect(code).toBe(2);
    expect(err).toContain(said);
    expect(existsSync(to('x.html'))).toBe(false);
  });

  it('a packet with a slip is refused by name', async () => {
    const { code, err } = await run(...JOB, '--report', to('y.html'), '--packet', '{"projekt": "x"}');
    expect(code).toBe(1);
    expect(err).toContain('projekt: expected no such key');
  });
});
