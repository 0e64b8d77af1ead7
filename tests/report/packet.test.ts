// The packet: the answer says what the figures say, only the appendix names fields and commands, tables equal the assessment,
// nothing is invented, sheets show all of the site, and every point of the checklist stands where docs/checklist.md says.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { XMLValidator } from 'fast-xml-parser';
import { describe, expect, test } from 'vitest';
import {
  assess,
  builtinMitigation,
  InputError,
  PARTS,
  type Packet,
  parsePacket,
  parsePacketText,
  toInventory,
  toPlan,
  toPlanSheets,
  toRemovals,
  toReport,
} from '../../src/core.js';
import { isGoing, isOver } from '../../src/model/index.js';
import { esc } from '../../src/report/text.js';
import { demoJob, feature, layer, localJob, square } from '../support/report-jobs.js';
import { runs } from '../support/runs.js';

const demo = demoJob();
const html = toReport(demo, { units: 'us' });
const sectionOf = (page: string, id: string): string =>
  new RegExp(`<section id="${id}".*?</section>`, 's').exec(page)?.[0] ?? '';
const plain = (text: string): string => text.replace(/<[^>]+>/g, '');
const headings = (page: string): string[] => [...page.matchAll(/<h[234]>(.*?)<\/h[234]>/g)].map((m) => plain(m[1]!));
const tree = (x: number, y: number, more: Record<string, unknown> = {}) =>
  feature('Point', [x, y], { id: `T${x}`, dbh_cm: 50, ...more });
const works = (x: number, y: number, side: number, more: Record<string, unknown> = {}) =>
  feature('Polygon', square(x, y, side), { id: 'house', kind: 'building', ...more });
const rowsOf = (csv: string): string[][] =>
  csv
    .trimEnd()
    .split('\r\n')
    .map((line) => [...line.matchAll(/("(?:[^"]|"")*"|[^,]*)(?:,|$)/g)].map((m) => m[1]!.replace(/^"|"$/g, '')));

describe('the answer', () => {
  const lines = [...sectionOf(html, 'answer').matchAll(/<li>(<b>.*?)<\/li>/g)].map((m) => plain(m[1]!));
  const kept = demo.trees.filter((t) => isOver(t.verdict) && !isGoing(t.disposition));

  test('names the trees to be kept that are over, the largest share first, with what takes most and the remedy', () => {
    const worst = [...kept].sort((a, b) => b.overlapPct! - a.overlapPct!);
    expect(lines.length).toBe(Math.min(worst.length, 8));
    for (const [i, line] of lines.entries()) {
      const one = worst[i]!;
      expect(line.startsWith(one.key)).toBe(true);
      expect(line).toContain(`${one.overlapPct!.toFixed(1)} % of its zone is taken, limit 20 %`);
      if (one.marginM !== null && one.marginM < 0)
        expect(line).toContain(`All works must retreat ${(-one.marginM / 0.3048).toFixed(1)} ft on every side`);
    }
    expect(sectionOf(html, 'answer')).toContain(`${kept.length} trees to be kept are over their limits`);
  });

  test('a trunk in the works, a limit on a ring, a tree that is not assessed', () => {
    const job = localJob(
      [tree(0, 0), tree(40, 0), tree(90, 0, { dbh_cm: undefined })],
      [works(-2, -2, 4), works(41.2, -5, 10)],
    );
    const answer = plain(sectionOf(toReport(job), 'answer'));
    expect(answer).toContain('T0: its trunk stands in house');
    expect(answer).toContain('The works must leave its trunk, or it can’t be kept.');
    expect(answer).toMatch(/Not assessed: T90 \(.*diameter.*\)/);
  });

  test('no works: zones only, and nothing reads as cleared', () => {
    const page = toReport(assess({ trees: layer('t.geojson', [tree(0, 0)]), options: { crs: 'local:m' } }));
    expect(sectionOf(page, 'answer')).toContain('No works were given');
    expect(plain(sectionOf(page, 'answer'))).not.toMatch(/within|Untouched/);
  });
});

describe('parts', () => {
  test('fields and commands are named in the appendix alone', () => {
    const before = html.slice(html.indexOf('<main>'), html.indexOf('<section id="appendix"'));
    const words = plain(before.replace(/<svg.*?<\/svg>/gs, ''));
    expect(before).not.toContain('<code>');
    expect(words).not.toMatch(/(?:^|\s)--[a-z]/);
    expect(words).not.toMatch(/\brb_|\b[a-z]+_(?:in|ft|cm|m|pct)\b/);
    expect(headings(html.slice(html.indexOf('<section id="appendix"')))).toEqual(
      expect.arrayContaining(['Rule', 'Findings', 'Provenance']),
    );
  });

  test.each(PARTS)('%s alone: well-formed, and no other part', (part) => {
    const page = toReport(demo, { parts: [part] });
    const xml = page
      .replace('<!DOCTYPE html>', '')
      .replace(/<script>.*?<\/script>/s, '')
      .replace(/<style>.*?<\/style>/s, '');
    expect(XMLValidator.validate(xml, { allowBooleanAttributes: true, unpairedTags: ['meta', 'br'] })).toBe(true);
    const ids = {
      answer: 'answer',
      plan: 'plan',
      cards: 'cards',
      inventory: 'trees',
      removals: 'removals',
      signoff: 'signoff',
      appendix: 'appendix',
    };
    for (const [name, id] of Object.entries(ids))
      expect([name, page.includes(`<section id="${id}"`)]).toEqual([name, name === part]);
  });

  test('every caution that applies stands in the report once', () => {
    const ids = [...html.matchAll(/id="caution-([\w-]+)"/g)].map((m) => m[1]);
    expect(new Set(ids).size).toBe(ids.length);
    const alone = [...toReport(demo, { parts: ['plan'] }).matchAll(/id="caution-([\w-]+)"/g)].map((m) => m[1]);
    expect(alone.sort()).toEqual([...ids].sort());
  });
});

describe('cards', () => {
  test('first those that a design can save, the protected and the larger before the others, then trunks in the works', () => {
    const trees = [
      tree(0, 0, { id: 'stem', dbh_cm: 60 }),
      tree(30, 0, { id: 'small', dbh_cm: 40 }),
      tree(60, 0, { id: 'large', dbh_cm: 80 }),
      tree(90, 0, { id: 'guarded', dbh_cm: 30, protected: 'yes' }),
      tree(120, 0, { id: 'felled', dbh_cm: 90, disposition: 'remove' }),
    ];
    const pieces = [works(-1, -1, 2), ...[30, 60, 90, 120].map((x) => works(x + 1.2, -6, 12, { id: `w${x}` }))];
    const page = toReport(localJob(trees, pieces));
    const order = [...page.matchAll(/<article class="card" id="t\d+">\n<h3><bdi>(\w+)/g)].map((m) => m[1]);
    expect(order).toEqual(['guarded', 'large', 'small', 'stem']);
  });
});

describe('inventory and removals', () => {
  test('a row per tree; stems, both names and remarks are the survey’s own', () => {
    const [head, ...rows] = rowsOf(toInventory(demo, { units: 'us' }));
    expect(rows).toHaveLength(demo.counts.trees.in);
    for (const title of [
      'Tree',
      'Tag',
      'Species',
      'Common name',
      'Stems (in)',
      'Diameter used (in)',
      'Height (ft)',
      'Age',
      'Condition',
      'Protected',
      'Disposition',
      'Zone radius (ft)',
      'Overlap (%)',
      'Verdict',
      'Lot',
      'Surveyed',
      'Surveyor',
      'Remarks',
    ])
      expect(head).toContain(title);
    const at = (title: string): number => head!.indexOf(title);
    const several = [...demo.job.trees.stemsM][0]!;
    const stems = several[1].map((m) => Number((m / 0.0254).toFixed(1))).join(' + ');
    expect(rows[several[0]]![at('Stems (in)')]).toBe(stems);
    expect(rows[1]![at('Remarks')]).toBe('neighbour, crown over lot 1');
  });

  test('what replaces each tree adds up to what the lots say', () => {
    const job = assess({
      trees: demo.job.trees.layer,
      works: [{ layer: demo.job.works.layers[0]! }],
      lots: demo.job.lots!.layer,
      options: { crs: 'EPSG:2913', mitigation: builtinMitigation('125-percent') },
    });
    const lost = job.removals.filter((one) => one.lost);
    expect(lost.length).toBeGreaterThan(5);
    const sum = lost.reduce((all, one) => all + (one.requiredDbhM ?? 0), 0);
    expect(sum).toBeCloseTo(job.totals.all.replacement!.requiredDbhM!, 9);
    for (const one of lost) if (!one.unknown) expect(one.requiredDbhM).toBeCloseTo(1.25 * one.dbhM!, 12);
    const [head, ...rows] = rowsOf(toRemovals(job, { units: 'us' }));
    const owed = head!.indexOf('Diameter to plant (in)');
    const site = rows.find((cells) => cells[0] === 'site')!;
    expect(Number(site[owed])).toBeCloseTo(sum / 0.0254, 1);
    const lots = rows.filter((cells) => cells[0] === 'lot' || cells[0] === 'no lot');
    expect(lots.reduce((all, cells) => all + Number(cells[owed]), 0)).toBeCloseTo(sum / 0.0254, 0);
    expect(rows.filter((cells) => cells[0] === 'tree')).toHaveLength(job.removals.length);
    const unmarked = demo.trees.filter((t) => t.verdict === 'stem-in-works' && !isGoing(t.disposition));
    expect(job.removals.filter((one) => !one.marked && one.why === 'stem-in-works')).toHaveLength(unmarked.length);
  });

  test('a tree in the works that nobody marked is told as such', () => {
    const page = toReport(localJob([tree(0, 0)], [works(-2, -2, 4)]));
    expect(plain(sectionOf(page, 'removals'))).toContain('1 tree in the works is not marked for removal');
  });
});

describe('sign-off', () => {
  const about: Packet = {
    project: 'Three Oaks <lot 4>',
    parcel: 'Lot 4, block 2',
    preparer: { name: 'A. Person', certificates: ['Certified arborist 00000'] },
    date: '2026-10-01',
    revisions: [{ mark: '1', date: '2026-10-01', text: 'First submission' }],
  };

  test('given fields are printed, the others are lines to fill in, no date is invented', () => {
    const page = toReport(localJob([tree(0, 0)], [works(2, -5, 10)]), { packet: about });
    const signed = sectionOf(page, 'signoff');
    for (const text of [
      'Three Oaks <lot 4>',
      'Lot 4, block 2',
      'A. Person',
      'Certified arborist 00000',
      '2026-10-01',
      'First submission',
    ])
      expect(signed).toContain(esc(text));
    expect(signed.match(/to be filled in/g)!.length).toBeGreaterThan(8);
    const bare = toReport(localJob([tree(0, 0)], [works(2, -5, 10)]));
    expect(plain(sectionOf(bare, 'signoff'))).not.toMatch(/\d{4}-\d{2}/);
    expect(headings(signed)).toEqual(expect.arrayContaining(['Sign-off', 'Revisions', 'Signatures']));
  });

  test.each<[string, unknown, RegExp]>([
    ['an unknown key', { projekt: 'x' }, /projekt: expected no such key/],
    ['a date that is none', { date: '1 October' }, /date: expected a date/],
    ['a day that the month does not have', { date: '2026-02-30' }, /date: expected a date/],
    ['a revision without words', { revisions: [{ mark: '1' }] }, /revisions\[0\]/],
    ['a list', [], /expected/],
  ])('%s is refused by name', (_, json, problem) => {
    expect(() => parsePacket(json, 'packet.json')).toThrow(problem);
    expect(() => parsePacketText('{', 'packet.json')).toThrow(InputError);
  });

  test('any text of a packet is inert', () => {
    const job = localJob([tree(0, 0)], [works(2, -5, 10)]);
    const text = fc.string({ minLength: 1 }).filter((one) => one.trim() !== '');
    fc.assert(
      fc.property(text, text, (project, name) => {
        const packet = parsePacket({ project, preparer: { name }, contacts: [{ role: name }] }, 'p.json');
        const page = toReport(job, { packet, parts: ['answer', 'signoff', 'protection'] });
        expect(page.match(/<script/g)).toHaveLength(1);
        expect(page).toContain(esc(project));
      }),
      { numRuns: runs(20) },
    );
  });
});

describe('sheets', () => {
  const shown = { units: 'us', sheet: 'letter', scale: '1in=40ft' } as const;
  const sheets = toPlanSheets(demo, { ...shown, drawings: ['existing', 'proposed', 'protection'] });
  const labels = (svg: string): string[] => [...svg.matchAll(/<text [^>]*>([^<]*)<\/text>/g)].map((m) => m[1]!);

  test('are numbered through, well-formed, and their match lines point at each other', () => {
    expect(sheets.map(({ number }) => number)).toEqual(sheets.map((_, i) => i + 1));
    expect(sheets.length % 3).toBe(0);
    expect(sheets.length).toBeGreaterThan(6);
    const next = new Map<number, number[]>();
    for (const { number, svg } of sheets) {
      expect(XMLValidator.validate(svg)).toBe(true);
      expect(svg).toContain(`Sheet ${number} of ${sheets.length}`);
      next.set(
        number,
        [...svg.matchAll(/Match line: sheet (\d+)/g)].map((m) => Number(m[1])),
      );
    }
    for (const [number, others] of next) for (const other of others) expect(next.get(other)).toContain(number);
  });

  test('every tree stands on a sheet of each drawing', () => {
    for (const drawing of ['existing', 'proposed', 'protection'] as const) {
      const own = sheets.filter((one) => one.drawing === drawing);
      const signs = own.reduce((sum, { svg }) => sum + (svg.match(/<use href/g)?.length ?? 0), 0);
      expect(signs).toBeGreaterThanOrEqual(demo.trees.filter((t) => t.lon !== null).length);
    }
  });

  test('existing conditions show no works and no verdict, the sheet of protection no overlap', () => {
    for (const { drawing, svg } of sheets) {
      if (drawing === 'existing') {
        expect(svg).not.toMatch(/class="rb-(?:works|overlap|severed|fence)/);
        expect(labels(svg).join(' ')).not.toMatch(/\d\.\d %/);
      }
      if (drawing === 'protection') expect(svg.slice(svg.indexOf('<defs>'))).not.toMatch(/<g class="rb-overlap/);
    }
  });

  test('one sheet without more words is the plan, byte by byte; too many are refused', () => {
    expect(toPlanSheets(demo, { units: 'us' }).map(({ svg }) => svg)).toEqual([toPlan(demo, { units: 'us' })]);
    expect(() => toPlanSheets(demo, { units: 'us', sheet: 'letter', scale: '1in=1ft' })).toThrow(/takes \d+ sheets/);
  });

  test('categories have the colours of the standard only where the survey gives them, and say that they are remembered', () => {
    const given = localJob([tree(0, 0, { category: 'B2' }), tree(30, 0, { category: 'U' })], [works(2, -5, 10)]);
    expect(toPlan(given)).toContain('Category B (colour of BS 5837 from memory)');
    expect(toPlan(localJob([tree(0, 0, { category: 'street' })], [works(2, -5, 10)]))).not.toContain('BS 5837');
  });
});

describe('the reviewer’s checklist', () => {
  const doc = readFileSync(join(import.meta.dirname, '../../docs/checklist.md'), 'utf8');
  const cells = [...doc.matchAll(/^\| (?!asked for|---)(.*?) \| (.*?) \|$/gm)].map((m) => [m[1]!, m[2]!] as const);

  test('names sections that the report has, by their headings', () => {
    expect(cells.length).toBeGreaterThan(20);
    const has = headings(html);
    const sheetTitles = toPlanSheets(demo, { drawings: ['existing', 'proposed', 'protection'] }).map(({ svg }) =>
      svg.toLowerCase(),
    );
    for (const [asked, where] of cells) {
      for (const [, title] of where.matchAll(/[Ss]ections? "([^"]+)"|and "([^"]+)"/g)) {
        if (title !== undefined) expect([asked, has.includes(title)]).toEqual([asked, true]);
      }
      for (const [, title] of where.matchAll(/sheet "([^"]+)"/g))
        expect([asked, sheetTitles.some((svg) => svg.includes(title!.toLowerCase()))]).toEqual([asked, true]);
    }
  });

  test('names columns that the inventory has', () => {
    const [head] = rowsOf(toInventory(demo, { units: 'us' }));
    for (const title of ['Remarks', 'Overlap (%)', 'Verdict', 'Disposition']) expect(head).toContain(title);
  });
});
