// The protection sheet: the fence is drawn to its scale, sums are those of the fences laid out, texts of files are inert, and
// every file that passes the check makes a well-formed sheet.

import fc from 'fast-check';
import { XMLParser, XMLValidator } from 'fast-xml-parser';
import { describe, expect, test } from 'vitest';
import {
  builtinProtection,
  type Packet,
  type Protection,
  parseProtection,
  toReport,
  toStakes,
} from '../../src/core.js';
import type { Assessment } from '../../src/model/index.js';
import { figuresIn } from '../../src/report/figures.js';
import { countsAlong } from '../../src/report/page/fence-table.js';
import { protectionHtml } from '../../src/report/page/protection-sheet.js';
import { asWritten, drawFenceDetail } from '../../src/report/sheets/fence-detail.js';
import { box, localJob, tree } from '../support/local-job.js';
import { demoJob } from '../support/report-jobs.js';
import { runs } from '../support/runs.js';

const FT = 0.3048;
const demo = demoJob();
const small = localJob(
  [tree(0, 0, { id: 'T1', dbh_in: 12 }), tree(40, 0, { id: 'T2', dbh_in: 20 })],
  [
    box(3, -20, 20, 20, { id: 'house', kind: 'building' }),
    box(38, -30, 38.5, 30, { id: 'main', kind: 'trench' }),
    box(0, -2.2, 3, -1.8, { id: 'T1 lead', kind: 'trench' }),
  ],
);

const wellFormed = (html: string): unknown =>
  XMLValidator.validate(`<x>${html}</x>`, { allowBooleanAttributes: true, unpairedTags: ['br'] });
const plain = (html: string): string => html.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ');
const sectionOf = (page: string): string =>
  /<section[^>]*><h2>Protection sheet.*?<\/section>/s.exec(page.replace(/>\n</g, '><'))?.[0] ?? '';
/** The part of the sheet under a heading. */
const partOf = (sheet: string, title: string): string =>
  new RegExp(`<h3>${title}</h3>(.*?)(?=<h3>|$)`, 's').exec(sheet)?.[1] ?? '';
const regionOf = (sheet: string, label: string): string =>
  new RegExp(`role="region" aria-label="${label}">(.*?)</table>`, 's').exec(sheet)?.[1] ?? '';

interface Rect {
  readonly class: string;
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** What the drawing shows, read back from its text: the scale that it states, rectangles in millimetres. */
function readBack(svg: string) {
  const parser = new XMLParser({ ignoreAttributes: false, attributeNamePrefix: '', parseAttributeValue: true });
  const root = parser.parse(svg).svg;
  const rects = [...svg.matchAll(/<rect ([^>]*)>/g)].map(
    (m) =>
      Object.fromEntries(
        [...m[1]!.matchAll(/([\w-]+)="([^"]*)"/g)].map(([, k, v]) => [k, k === 'class' ? v : Number(v)]),
      ) as unknown as Rect,
  );
  const of = (name: string): Rect[] => rects.filter((rect) => rect.class === name);
  const stated = (words: string): number => {
    const label = new RegExp(`>${words}, ([^<]*)<`).exec(svg)?.[1] ?? '';
    return Number(/1:(\d+)/.exec(label)?.[1]);
  };
  const [, , wide, tall] = String(root.viewBox).split(' ').map(Number);
  return { root, of, ratio: stated('Fence from outside'), signRatio: stated('Sign A'), wide: wide!, tall: tall! };
}

function drawingOf(notes: Protection, units: 'us' | 'metric', spacingM: number) {
  const figures = figuresIn(units);
  const { svg } = drawFenceDetail(notes.fence, {
    units,
    figures,
    spacingM,
    spacingWords: figures.length(spacingM),
    signLines: notes.fence.signWords.lines,
  });
  return { svg, ...readBack(svg) };
}

describe('the drawing of the fence', () => {
  test.each([
    ['us', builtinProtection(), 10 * FT, 48],
    ['metric', builtinProtection(), 10 * FT, 50],
    [
      'metric',
      parseProtection({ fence: { height: '1.2 m', postDepth: '0 m', gate: { width: '3 m', text: 'x' } } }, 'f'),
      2.5,
      50,
    ],
    ['us', parseProtection({ fence: { height: '4 ft', gate: { width: '4 ft', text: 'x' } } }, 'f'), 8 * FT, 32],
  ] as const)('%s: millimetres times the stated scale are metres', (units, notes, spacingM, expected) => {
    const { root, of, ratio, signRatio, wide, tall } = drawingOf(notes, units, spacingM);
    expect(ratio).toBe(expected);
    expect([root.width, root.height]).toEqual([`${wide}mm`, `${tall}mm`]); // a user unit is a millimetre
    expect(wide).toBeLessThanOrEqual(210 - 20); // A4 between margins of 10 mm; letter is wider
    const inMetres = (mm: number): number => (mm * ratio) / 1000;
    const tolerance = 0.011 * ratio * 1e-3; // two roundings to 0.01 mm
    const near = (mm: number, metres: number): void => expect(Math.abs(inMetres(mm) - metres)).toBeLessThan(tolerance);
    const posts = of('pf-post');
    const middles = posts.map(({ x, width }) => x + width / 2);
    expect(posts).toHaveLength(3);
    near(middles[1]! - middles[0]!, spacingM);
    const metres = (text: string): number => Number.parseFloat(text) * (text.endsWith('ft') ? FT : 1);
    near(middles[2]! - middles[1]!, metres(notes.fence.gate.width));
    for (const { height } of posts) near(height, metres(notes.fence.height.value));
    const depthM = metres(notes.fence.postDepth.value);
    expect(of('pf-buried')).toHaveLength(depthM > 0 ? 3 : 0);
    for (const { y, height } of of('pf-buried')) {
      near(height, depthM);
      near(y - (posts[0]!.y + posts[0]!.height), 0);
    }
    near(of('pf-sign')[0]!.width, 24 * 0.0254);
    near(of('pf-sign')[0]!.height, 18 * 0.0254);
    expect((of('pf-board')[0]!.width * signRatio) / 1000).toBeCloseTo(24 * 0.0254, 2);
    expect((of('pf-board')[0]!.height * signRatio) / 1000).toBeCloseTo(18 * 0.0254, 2);
  });

  test('the words of the sign are on its board, in letters that can be read', () => {
    const { svg } = drawingOf(builtinProtection(), 'us', 10 * FT);
    const board = /<g class="pf-sign-detail".*?<\/g>/s.exec(svg)?.[0] ?? '';
    const letters = [...board.matchAll(/font-size="([\d.]+)"[^>]*>([^<]*)</g)];
    expect(letters.map((m) => m[2])).toEqual(builtinProtection().fence.signWords.lines);
    for (const [, size] of letters) expect(Number(size)).toBeGreaterThan(1.9); // mm: a letter of 5.4 point
  });

  test('lengths are written in the units of the report, those of the file beside them', () => {
    expect(asWritten('6 ft', 'us', figuresIn('us'))).toBe('6 ft');
    expect(asWritten('6 ft', 'metric', figuresIn('metric'))).toBe('1.83 m (6 ft)');
    expect(asWritten('1.8 m', 'metric', figuresIn('metric'))).toBe('1.8 m');
    expect(asWritten('180 cm', 'us', figuresIn('us'))).toBe('5.9 ft (180 cm)');
    expect(asWritten('6\'6"', 'metric', figuresIn('metric'))).toBe('1.98 m (6\'6")');
    const { svg } = drawingOf(builtinProtection(), 'metric', 10 * FT);
    for (const words of ['1.83 m (6 ft)', 'at most 3.05 m', 'gate 3.66 m (12 ft)']) expect(svg).toContain(words);
  });
});

describe('the sheet', () => {
  const html = toReport(demo, { units: 'us', stamp: 'invented data' });
  const sheet = sectionOf(html);

  test('is a section of the report with its parts in order', () => {
    const heads = [...sheet.matchAll(/<h3>(.*?)<\/h3>/g)].map((m) => m[1]);
    expect(heads).toEqual([
      'Fences of this job',
      'Not inside the fence',
      'Ground outside the fence',
      'Root cutting',
      'Bores',
      'Sequence',
      'Inspection log',
      'Contacts',
      'Cautions',
    ]);
    expect(wellFormed(sheet)).toBe(true);
    expect(html).not.toContain('Protection fences</h2>'); // said once
    expect(html).toMatch(/@media print\{\n\.protect\{break-before:page;break-after:page\}/);
  });

  test('lengths, posts, gates and ground add up to those of the fences laid out', () => {
    const { fences, gates, groundProtection } = demo.fences;
    const rows = [...regionOf(sheet, 'Fences').matchAll(/<tr><th scope="row">\d+<\/th>(.*?)<\/tr>/g)].map((m) =>
      [...m[1]!.matchAll(/<td class="n">([^<]*)</g)].map((c) => Number(c[1])),
    );
    const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);
    const column = (i: number): number => sum(rows.map((row) => row[i]!));
    expect(rows).toHaveLength(fences.length);
    const feet = sum(fences.map(({ lengthM }) => lengthM)) / FT;
    expect(Math.abs(column(0) - feet)).toBeLessThan(0.05 * fences.length);
    expect(column(4)).toBe(sum(fences.map(({ posts }) => posts)));
    expect(plain(sheet)).toContain(
      `${fences.length} fences, ${feet.toFixed(1)} ft in all, ${column(4)} posts, ${column(5)} signs, ${gates.length} gates`,
    );
    // lines of the stakes, corner to corner, are as long: EPSG:2913 is in feet, its scale at this place within 1 in 5,000
    const corners = new Map<string, [number, number][]>();
    for (const line of toStakes(demo).split('\r\n')) {
      const [, name = '', kind, east, north] = line.split(',');
      if (kind === 'corner') corners.set(name, [...(corners.get(name) ?? []), [Number(east), Number(north)]]);
    }
    const single = fences.map(({ shape }, i) => ({ i, rings: shape.flat().length })).filter(({ rings }) => rings === 1);
    expect(single.length).toBeGreaterThan(10);
    for (const { i } of single) {
      const ring = corners.get(`F${i + 1}`)!;
      const around = sum(
        ring.map(([e, n], k) => Math.hypot(e - ring[(k + 1) % ring.length]![0], n - ring[(k + 1) % ring.length]![1])),
      );
      expect(Math.abs(around - rows[i]![0]!)).toBeLessThan(0.06 + around / 5000);
    }
    const ground = partOf(sheet, 'Ground outside the fence');
    const areas = [...ground.matchAll(/<li>Area \d+: ([\d.]+) ft²/g)].map((m) => Number(m[1]));
    expect(areas).toHaveLength(groundProtection.length);
    const squareFeet = sum(groundProtection.map(({ areaM2 }) => areaM2)) / FT ** 2;
    expect(Math.abs(sum(areas) - squareFeet)).toBeLessThan(0.05 * areas.length);
    expect(ground).toContain(`${squareFeet.toFixed(1)} ft² in all`);
    expect(partOf(sheet, 'Fences of this job').match(/<li>Gate /g)).toHaveLength(gates.length);
  });

  test('posts and signs are counted anew for other spacings: round one zone by hand', () => {
    // a ring of chords: each edge is far shorter than the spacing, so a post at every corner; signs by the length round it
    const one = localJob(
      [tree(0, 0, { id: 'T', dbh_in: 36 })],
      [box(500, 500, 501, 501, { id: 'W', kind: 'building' })],
    );
    const [fence] = one.fences.fences;
    const edges = fence!.shape.flat()[0]!.length - 1;
    const { posts, signs } = countsAlong(one, fence!, { postM: 5, signM: 20 });
    expect(posts).toBe(edges);
    expect(signs).toBe(Math.ceil(fence!.lengthM / 20));
    const each = fence!.lengthM / edges; // all edges of a circle's chords are as long
    expect(countsAlong(one, fence!, { postM: each / 2 + 1e-4, signM: 1e3 })).toEqual({ posts: 2 * edges, signs: 1 });
    for (const fenceOf of demo.fences.fences) {
      const planned = demo.fences.postSpacingM;
      const anew = countsAlong(demo, fenceOf, { postM: planned + 2e-9, signM: 30 });
      expect(Math.abs(anew.posts - fenceOf.posts)).toBe(0);
    }
  });

  test('what a file says is on the sheet; the spacing of the job’s own fences wins', () => {
    const protection = parseProtection(
      { fence: { height: '5 ft', postSpacing: '8 ft' }, ground: [], forbidden: [] },
      'f',
    );
    const own = protectionHtml(small, { units: 'us', protection });
    expect(plain(own)).toContain('Height 5 ft no source given');
    expect(plain(own)).toContain('posts at most 8.0 ft');
    expect(own).not.toContain('Not inside the fence');
    const asked = localJob([tree(0, 0, { id: 'T', dbh_in: 12 })], [box(3, -5, 9, 5, { id: 'W', kind: 'building' })], {
      options: { fences: { postSpacingM: 6 * FT } },
    });
    const theirs = protectionHtml(asked, { units: 'us', protection });
    expect(plain(theirs)).toContain('Post spacing, at most 6.0 ft asked for in this job; else 8 ft');
    expect(plain(theirs)).toContain(`${asked.fences.fences[0]!.posts} posts`);
    expect(theirs).toContain('at most 6.0 ft');
  });

  test('a trench in a kept tree’s zone says from where on it is bored, by the trunk’s size', () => {
    const words = plain(partOf(protectionHtml(small, { units: 'us' }), 'Bores'));
    // 12 in: the row to 14 in, 10 ft; 20 in: above 19 in, 15 ft
    expect(words).toContain(
      '2 kept trees; nearer to the trunk’s face than this the pipe is bored: T1 10 ft; T2 15 ft.',
    );
    expect(words).toMatch(/from memory/);
  });

  test('dates and signatures are blank; contacts are the packet’s, or lines to fill in', () => {
    const log = partOf(sheet, 'Inspection log');
    const lines = builtinProtection().inspections.reduce((sum, { lines = 1 }) => sum + lines, 0);
    expect(log.match(/<td class="pf-blank"><\/td>/g)).toHaveLength(3 * lines);
    const none = partOf(sheet, 'Contacts');
    expect(none.match(/<td class="pf-blank"><\/td>/g)).toHaveLength(3 * 4);
    expect(sheet).toContain('Call: ____');
    const packet: Packet = {
      project: 'Alder Bench',
      permit: 'P-1',
      contacts: [{ role: 'City inspector' }, { role: 'Project arborist', name: 'Nobody', phone: '555-0100' }],
    };
    const named = protectionHtml(demo, { packet });
    expect(plain(partOf(named, 'Contacts'))).toMatch(/City inspector .*Project arborist Nobody 555-0100/);
    expect(partOf(named, 'Contacts').match(/pf-blank/g)).toHaveLength(4);
    expect(named).toContain('Project arborist: 555-0100</text>');
    expect(plain(named)).toContain('Alder Bench · permit P-1');
  });

  test('says what the trade has to hear: services before posts, trained people, local code', () => {
    const said = plain(partOf(sheet, 'Cautions'));
    for (const words of [
      /buried services located .* before fence posts are set/,
      /climbing are licensed/,
      /local code decide/,
      /qualified arborist/,
    ])
      expect(said).toMatch(words);
    expect(said).toContain('invented data');
  });

  test('is left out where no fence is laid out', () => {
    const felled = localJob(
      [tree(0, 0, { id: 'T', dbh_in: 12, disposition: 'remove' })],
      [box(3, -5, 9, 5, { id: 'W', kind: 'building' })],
    );
    expect(protectionHtml(felled, {})).toBe('');
    expect(toReport(felled)).not.toContain('Protection sheet');
    const none: Assessment = {
      ...small,
      options: small.options,
      counts: { ...small.counts, trees: { ...small.counts.trees, in: 1e6 } },
    };
    expect(protectionHtml(none, {})).toBe(''); // too many trees, and fences were not asked for
  });
});

describe('texts of files', () => {
  const nasty = '<img src=x onerror="alert(1)">\u202e\u0000\'"&';

  test('are inert wherever they land', () => {
    const detail = { value: nasty, source: nasty };
    const protection = parseProtection(
      {
        source: nasty,
        fence: {
          material: detail,
          posts: nasty,
          signWords: [nasty],
          gate: { width: '3 m', text: nasty },
          notes: [nasty],
        },
        ground: [{ when: nasty, what: nasty }],
        roots: { cutting: [nasty], boring: [nasty], boreDepth: { value: '2 ft', source: nasty } },
        sequence: [{ step: nasty, what: nasty, who: nasty }],
        inspections: [{ what: nasty, when: nasty, who: nasty }],
        forbidden: [nasty],
      },
      'f',
    );
    const contact = { role: nasty, name: nasty, phone: nasty, email: nasty };
    const packet: Packet = {
      project: nasty,
      address: nasty,
      permit: nasty,
      date: nasty,
      preparer: { name: nasty },
      contacts: [contact],
    };
    const html = protectionHtml(small, { protection, packet });
    expect(wellFormed(html)).toBe(true);
    expect(html).not.toContain('<img');
    expect(html).not.toMatch(/<[^>]*\sonerror=(?!&quot;)/);
    expect(html.match(/&lt;img src=x/g)!.length).toBeGreaterThan(15);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: none may be there
    expect(html).not.toMatch(/[\u0000-\u0008\u000b-\u001f]/);
  });

  const words = fc.string({ minLength: 1, maxLength: 80 }).filter((text) => text.trim() !== '');
  const length = (least: number, most: number) =>
    fc.oneof(
      fc.double({ min: least, max: most, noNaN: true }).map((m) => `${m.toFixed(2)} m`),
      fc.double({ min: least / FT, max: most / FT, noNaN: true }).map((ft) => `${ft.toFixed(1)} ft`),
    );
  const source = { source: fc.option(words, { nil: undefined }) };
  const detail = (value: fc.Arbitrary<string>) => fc.oneof(value, fc.record({ value, ...source }));
  const some = <T>(one: fc.Arbitrary<T>) => fc.option(one, { nil: undefined });
  const note = fc.oneof(words, fc.record({ text: words, ...source }));
  const file = fc.record({
    source: some(words),
    fence: some(
      fc.record({
        height: some(detail(length(0.31, 9.9))),
        material: some(detail(words)),
        postSpacing: some(detail(length(0.31, 29))),
        postDepth: some(detail(length(0, 4.9))),
        signSpacing: some(detail(length(0.31, 900))),
        signWords: some(
          fc.array(
            words.filter((text) => [...text].length <= 60),
            { minLength: 1, maxLength: 10 },
          ),
        ),
        signSize: some(fc.record({ width: length(0.06, 2.9), height: length(0.06, 2.9), ...source })),
        gate: some(fc.record({ width: length(0.31, 29), text: words, ...source })),
        notes: some(fc.array(note, { maxLength: 4 })),
      }),
    ),
    ground: some(fc.array(fc.record({ when: words, what: words, ...source }), { maxLength: 4 })),
    roots: some(
      fc.record({ cutting: some(fc.array(note, { maxLength: 3 })), boring: some(fc.array(note, { maxLength: 3 })) }),
    ),
    sequence: some(fc.array(fc.record({ step: words, what: words, who: words, ...source }), { maxLength: 4 })),
    inspections: some(
      fc.array(fc.record({ what: words, when: words, who: words, lines: some(fc.integer({ min: 1, max: 50 })) }), {
        maxLength: 4,
      }),
    ),
    forbidden: some(fc.array(note, { maxLength: 4 })),
  });

  test('every file that passes the check makes a well-formed sheet with a drawing that fits', () => {
    fc.assert(
      fc.property(file, fc.constantFrom('us', 'metric'), (json, units) => {
        const protection = parseProtection(JSON.parse(JSON.stringify(json)), 'f');
        const html = protectionHtml(small, { units, protection });
        expect(wellFormed(html)).toBe(true);
        const svg = /<svg.*?<\/svg>/s.exec(html)?.[0] ?? '';
        expect(svg).not.toMatch(/="[^"]*(NaN|undefined|Infinity)/);
        const { wide, tall, of } = readBack(svg);
        expect(wide).toBe(186);
        expect(tall).toBeLessThan(180);
        for (const rect of [...of('pf-post'), ...of('pf-buried'), ...of('pf-sign')]) {
          expect(rect.x).toBeGreaterThanOrEqual(0);
          expect(rect.x + rect.width).toBeLessThanOrEqual(wide);
          expect(rect.y).toBeGreaterThanOrEqual(0);
        }
      }),
      { numRuns: runs(60) },
    );
  });
});
