// The report: counts equal counts, every tree over its limit has a card, nothing runs but its own script, hostile text is
// inert, rules and cautions in words, the same bytes every time.
import { createHash } from 'node:crypto';
import { XMLValidator } from 'fast-xml-parser';
import { describe, expect, test } from 'vitest';
import { builtinRule, ruleIds, toInventory, toReport } from '../../src/core.js';
import { isGoing, isOver, VERDICTS } from '../../src/model/index.js';
import type { Rule } from '../../src/model/rule.js';
import { figuresIn } from '../../src/report/figures.js';
import { SCRIPT, SCRIPT_SHA256 } from '../../src/report/page/page.js';
import { piecesOf } from '../../src/report/page/pieces.js';
import { ruleWords } from '../../src/report/page/rule-words.js';
import { esc } from '../../src/report/text.js';
import { cautionsOf } from '../../src/write/cautions.js';
import { toGeoJSON } from '../../src/write/index.js';
import { cityJob, demoJob, feature, localJob, square } from '../support/report-jobs.js';

const demo = demoJob();
const html = toReport(demo, { units: 'us', stamp: 'invented data' });
const sectionOf = (page: string, id: string): string =>
  new RegExp(`<section id="${id}".*?</section>`, 's').exec(page)?.[0] ?? '';
const tree = (x: number, y: number, more: Record<string, unknown> = {}) =>
  feature('Point', [x, y], { id: `T${x}`, dbh_cm: 50, ...more });
const works = (x: number, y: number, side: number, more: Record<string, unknown> = {}) =>
  feature('Polygon', square(x, y, side), { id: 'house', kind: 'building', ...more });

/** HTML as XML: what has no end tag by the standard is let be, script and style are set aside. */
function wellFormed(page: string): true | unknown {
  const xml = page
    .replace('<!DOCTYPE html>', '')
    .replace(/<script>.*?<\/script>/s, '')
    .replace(/<style>.*?<\/style>/s, '');
  return XMLValidator.validate(xml, { allowBooleanAttributes: true, unpairedTags: ['meta', 'br'] });
}

describe('report of the demo', () => {
  test('is well-formed, and no id is given twice', () => {
    expect(wellFormed(html)).toBe(true);
    const ids = [...html.matchAll(/ id="([^"]+)"/g)].map((m) => m[1]);
    expect(ids.filter((id, i) => ids.indexOf(id) !== i)).toEqual([]);
    const refs = [...html.matchAll(/(?:href="|url\()#([^")]+)/g)].map((m) => m[1]);
    expect(refs.filter((id) => !ids.includes(id!))).toEqual([]);
  });

  test('counts equal the assessment’s', () => {
    const table = /<table class="tally">.*?<\/table>/s.exec(html)?.[0] ?? '';
    const lines = [...table.matchAll(/<tr><th scope="row">([^<]+)<\/th>(.*?)<\/tr>/g)].map((m) => ({
      title: m[1],
      cells: [...m[2]!.matchAll(/<td class="n">(\d+)/g)].map((c) => Number(c[1])),
    }));
    expect(lines.map(({ title }) => title)).toEqual(['To be kept', 'To be removed or moved']);
    for (const [i, verdict] of VERDICTS.entries()) {
      const kept = demo.trees.filter((t) => t.verdict === verdict && !isGoing(t.disposition)).length;
      expect([verdict, lines[0]!.cells[i]]).toEqual([verdict, kept]);
      expect(lines[0]!.cells[i]! + lines[1]!.cells[i]!).toBe(demo.counts.verdicts[verdict]);
    }
    expect(lines[0]!.cells.at(-1)! + lines[1]!.cells.at(-1)!).toBe(demo.counts.trees.in);
    const schedule = sectionOf(html, 'trees');
    expect(schedule.match(/<tr>/g)).toHaveLength(demo.counts.trees.in + 1);
    for (const verdict of VERDICTS) {
      expect(schedule.match(new RegExp(`v-${verdict}"`, 'g')) ?? []).toHaveLength(demo.counts.verdicts[verdict]);
    }
    const saved = demo.trees.filter((t) => isOver(t.verdict ?? undefined) && !isGoing(t.disposition));
    expect(html.match(/<article class="card"/g)).toHaveLength(saved.length);
    for (const { row } of demo.trees) {
      expect(html.includes(`id="t${row}"`)).toBe(saved.some((one) => one.row === row));
    }
  });

  test('the inventory is columns of the inventory file, worst first', () => {
    const text = (cell: string) =>
      cell
        .replace(/<[^>]+>/g, '')
        .replaceAll('&lt;', '<')
        .replaceAll('&amp;', '&');
    const section = sectionOf(html, 'trees');
    const titles = [...section.matchAll(/<th scope="col"[^>]*>(.*?)<\/th>/g)].map((m) => text(m[1]!));
    const rows = [...section.matchAll(/<tr>(<td>.*?)<\/tr>/gs)].map((m) =>
      [...m[1]!.matchAll(/<td[^>]*>(.*?)<\/td>/gs)].map((c) => text(c[1]!)),
    );
    const [head, ...lines] = toInventory(demo, { units: 'us' })
      .trimEnd()
      .split('\r\n')
      .map((line) =>
        [...line.matchAll(/("(?:[^"]|"")*"|[^,]*)(?:,|$)/g)].map((m) =>
          m[1]!.replace(/^"|"$/g, '').replaceAll('""', '"'),
        ),
      )
      .map((cells, _, [names]) => cells.filter((_cell, i) => titles.includes(names![i]!)));
    expect(titles).toEqual(head);
    const byTree = new Map(lines.map((cells) => [cells[0], cells]));
    const verdict = titles.indexOf('Verdict');
    for (const cells of rows) {
      const same = byTree.get(cells[0])!;
      for (const [i, cell] of cells.entries())
        if (i !== verdict && cell.length < 60)
          expect([cells[0], titles[i], cell]).toEqual([cells[0], titles[i], same[i] || (cell === '–' ? '–' : '')]);
    }
    const overlap = titles.indexOf('Overlap (%)');
    const disposition = titles.indexOf('Disposition');
    const over = rows
      .filter((cells) => cells[verdict] === 'Over the limit' && cells[disposition] === 'keep')
      .map((cells) => Number(cells[overlap]));
    expect(over.length).toBeGreaterThan(5);
    expect(over).toEqual([...over].sort((a, b) => b - a));
  });

  test('the lots table equals the lots', () => {
    const table = sectionOf(html, 'lots');
    expect(table.match(/<th scope="row">/g)?.length).toBeGreaterThanOrEqual(demo.lots.length + 1);
    const foot = /<tfoot>.*?<td class="n">(\d+)/.exec(table);
    expect(Number(foot?.[1])).toBe(demo.totals.all.trees);
  });

  test('provenance: names and hashes of every input, and no path', () => {
    const text = sectionOf(html, 'provenance');
    for (const { name, sha256 } of demo.inputs) {
      expect(text).toContain(name);
      if (sha256 !== null) expect(text).toContain(sha256);
    }
    expect(html).not.toContain(import.meta.dirname);
    expect(text).toContain('EPSG:2913');
  });

  test('stamped, and the same bytes every time', () => {
    expect(html).toContain('<p class="stamp">invented data</p>');
    expect(sectionOf(html, 'cautions')).toContain('invented data');
    expect(toReport(demoJob(), { units: 'us', stamp: 'invented data' })).toBe(html);
    expect(toReport(demo)).not.toContain('class="stamp"');
  });
});

describe('security', () => {
  test('the policy names the one script by its hash and lets nothing load', () => {
    expect(createHash('sha256').update(SCRIPT).digest('base64')).toBe(SCRIPT_SHA256);
    expect(html).toContain(`<script>${SCRIPT}</script>`);
    expect(html.match(/<script/g)).toHaveLength(1);
    const policy = /Content-Security-Policy" content="([^"]+)"/.exec(html)?.[1];
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain(`script-src 'sha256-${SCRIPT_SHA256}'`);
    expect([...html.matchAll(/ (?:src|href)="([^"#][^"]*)"/g)]).toEqual([]);
    expect(html).not.toMatch(/@import|url\((?!#)/);
    expect(html.replaceAll('http://www.w3.org/2000/svg', '')).not.toMatch(/https?:/);
  });

  test('text of anybody is inert wherever it lands', () => {
    const nasty = '<img src=x onerror="alert(1)">\u202e\u0000\'"&';
    const job = localJob(
      [
        tree(0, 0, { id: nasty, species: nasty, dbh_cm: 90 }),
        tree(1, 1, { id: 'y'.repeat(3000) }),
        tree(60, 0, { id: nasty, dbh_cm: 'x' }),
      ],
      [works(1, -5, 10, { id: nasty })],
      [feature('Polygon', square(-20, -20, 200), { id: nasty })],
    );
    const page = toReport(job, { title: nasty, stamp: nasty });
    expect(wellFormed(page)).toBe(true);
    expect(page).not.toContain('<img');
    expect(page.replace(/<script>.*?<\/script>/s, '')).not.toMatch(/<[^>]*\sonerror=(?!&quot;)/);
    expect(page).toContain('&lt;img src=x');
    expect(page).not.toContain('y'.repeat(500));
    // biome-ignore lint/suspicious/noControlCharactersInRegex: none may be there
    expect(page).not.toMatch(/[\u0000-\u0008\u000b-\u001f]/);
  });
});

describe('cards', () => {
  test('a piece alone takes what the assessment says; pieces that lie on each other take more than their union', () => {
    const alone = localJob([tree(0, 0)], [works(3, -5, 10)]);
    const [one] = alone.trees;
    const pieces = piecesOf(alone, one!);
    expect(pieces).toHaveLength(1);
    expect(pieces?.[0]?.areaM2).toBeCloseTo(one?.overlapM2!, 9);
    // a half plane cuts a segment off a circle: r^2 acos(d/r) - d sqrt(r^2 - d^2); the square reaches beyond the zone
    const [r, d] = [6, 3];
    const wide = localJob([tree(0, 0)], [works(3, -20, 40)]);
    const segment = r * r * Math.acos(d / r) - d * Math.sqrt(r * r - d * d);
    expect(piecesOf(wide, wide.tree(0))?.[0]?.areaM2).toBeCloseTo(segment, 9);
    const two = localJob(
      [tree(0, 0)],
      [works(3, -20, 40, { id: 'a' }), works(3, -20, 40, { id: 'b', kind: 'paving' })],
    );
    expect(piecesOf(two, two.tree(0))?.map((p) => [p.key, p.kind])).toEqual([
      ['a', 'building'],
      ['b', 'paving'],
    ]);
    expect(two.tree(0).overlapM2).toBeCloseTo(segment, 9);
    const trench = feature(
      'LineString',
      [
        [2, -50],
        [2, 50],
      ],
      { id: 't', kind: 'trench', width_m: 1 },
    );
    const line = localJob([tree(0, 0)], [trench]);
    expect(piecesOf(line, line.tree(0))?.[0]?.areaM2).toBeCloseTo(line.tree(0).overlapM2!, 3); // drawn on a millimetre grid
  });

  test('nearest distance and bearing stand on the card', () => {
    const page = toReport(localJob([tree(0, 0)], [works(1, -5, 10)]));
    expect(page).toContain('1.00 m, 90.0° (E)');
    expect(page).toContain('From the trunk’s face</th><td>0.75 m');
  });

  test('fewer cards than trees over their limit is said', () => {
    const page = toReport(demo, { cards: 3 });
    expect(page.match(/<article/g)).toHaveLength(3);
    expect(page).toMatch(
      /Cards for 3 of the 11 trees to be kept that are over their limit; the other 8 stand in the inventory/,
    );
  });
});

describe('size', () => {
  test('5,000 trees: a few megabytes, well-formed', { timeout: 60_000 }, () => {
    const page = toReport(cityJob(5000));
    expect(page.length).toBeLessThan(6.5e6);
    expect(page.match(/<article/g)).toHaveLength(40);
    expect(sectionOf(page, 'trees').match(/<tr>/g)).toHaveLength(801);
    expect(wellFormed(page)).toBe(true);
  });

  test('rows past the limit are counted, not shown', () => {
    const page = toReport(demo, { rows: 10 });
    expect(sectionOf(page, 'trees').match(/<tr>/g)).toHaveLength(11);
    expect(page).toContain('The 10 worst of 120 trees');
    expect(page.match(/<article/g)).toHaveLength(11);
  });

  test('no tree and no position', () => {
    const page = toReport(localJob([], [works(0, 0, 5)]));
    expect(wellFormed(page)).toBe(true);
    expect(page).toContain('no tree has a position');
    expect(page).toContain('No tree to be kept is over its limit.');
  });
});

describe('further tables', () => {
  test('fences: lengths add up, every fence has a row', () => {
    const table = /aria-label="Fences".*?<\/table>/s.exec(sectionOf(html, 'protection'))?.[0] ?? '';
    const { fences } = demo.fences;
    expect(fences.length).toBeGreaterThan(3);
    expect(table.match(/<th scope="row">/g)).toHaveLength(fences.length);
    const feet = fences.reduce((sum, { lengthM }) => sum + lengthM, 0) / 0.3048;
    expect(sectionOf(html, 'protection')).toContain(`${feet.toFixed(1)} ft in all`);
    for (const { code, message } of demo.fences.findings.slice(0, 3))
      expect([code, html.includes(esc(message))]).toEqual([code, true]);
  });

  test('design options side by side: counts, and the trees that change their verdict', () => {
    const a = localJob([tree(0, 0), tree(80, 0)], [works(1, -5, 10)]);
    const b = localJob([tree(0, 0), tree(80, 0)], [works(30, -5, 10)]);
    const other = { rule: b.rule, option: '<B>', counts: b.counts.verdicts, tree: (row: number) => b.tree(row) };
    const page = toReport(Object.assign(Object.create(a), { option: 'A', otherOptions: [other], otherRules: [] }));
    const table = sectionOf(page, 'options');
    expect(wellFormed(page)).toBe(true);
    expect(table).toContain('option <bdi>&lt;B&gt;</bdi>');
    expect(table).toMatch(/<bdi>T0<\/bdi>.*Over the limit.*Untouched/s);
    expect(table).not.toContain('<bdi>T80</bdi>');
    expect(sectionOf(toReport(a), 'options')).toBe('');
  });
});

describe('rules in words', () => {
  test.each([...ruleIds()])('%s: whole sentences that carry its figures', (id) => {
    const rule = builtinRule(id);
    const words = ruleWords(rule);
    for (const sentence of words) expect(sentence).toMatch(/^[A-Z].*\.$/s);
    const text = words.join(' ');
    expect(text).not.toMatch(/undefined|NaN|\[object/);
    for (const { share } of rule.limits)
      expect(text).toContain(share === 0 ? 'may take nothing' : `at most ${Number((share * 100).toFixed(4))} %`);
    for (const { atLeast, atMost } of [rule.zone, ...rule.rings]) {
      for (const bound of [atLeast, atMost]) if (bound !== undefined) expect(text).toContain(bound);
    }
  });

  test('every kind of term has its words', () => {
    const rule = builtinRule('foot-per-inch');
    const words = ruleWords({
      ...rule,
      zone: {
        radius: {
          max: [
            { length: '15 ft' },
            { perDiameter: '1.5 ft per in', of: 'base' },
            { min: [{ crownPlus: '5 ft', shape: 'quarters' }, { perHeight: 0.5 }] },
            {
              sum: [
                {
                  byDiameter: [
                    { upTo: '12 in', radius: '6 ft' },
                    { upTo: null, radius: '10 ft' },
                  ],
                  rounding: 'none',
                },
              ],
            },
          ],
        },
        from: 'face',
      },
    })[0];
    for (const part of [
      'the largest of',
      '15 ft',
      '1.5 ft per in of the diameter above the root buttress',
      'the smallest of',
      'crown’s radius and 5 ft',
      '50 % of the tree’s height',
      '6 ft up to a diameter of 12 in',
      '10 ft above',
      'trunk’s face',
    ]) {
      expect(words).toContain(part);
    }
  });
});

describe('cautions', () => {
  const codes = (job: ReturnType<typeof localJob>, about = {}) =>
    cautionsOf(job, { fenced: true, ...about }).map(({ code }) => code);
  const bare = codes(localJob([tree(0, 0)], []));

  test('what is always said', () => {
    for (const code of ['informs', 'stability', 'overhead', 'services', 'law', 'felling']) expect(bare).toContain(code);
  });

  test('a ring with a limit of its own is not a ring where nothing may be cut', () => {
    const foot = builtinRule('foot-per-inch');
    const half = { ...foot, id: 'half', rings: foot.rings.map((ring) => ({ ...ring, name: 'half' })) };
    const under = (rule: Rule | readonly Rule[]) => codes(localJob([tree(0, 0)], [works(1, -5, 10)], [], rule));
    expect(under(half)).not.toContain('ring-cut');
    expect(under([half, foot])).toContain('ring-cut'); // the second rule has such a ring
  });

  test('fence and stakes are spoken of where there is a fence', () => {
    expect(bare).toEqual(expect.arrayContaining(['fence', 'stakes']));
    const felled = codes(localJob([tree(0, 0, { disposition: 'remove' })], []));
    for (const code of ['fence', 'stakes']) expect(felled).not.toContain(code);
  });

  test('the GeoJSON holds every one that applies to the job, and the stamp', () => {
    const job = localJob([tree(0, 0), tree(9, 0, { disposition: 'remove', height_m: 9 })], [works(1, -5, 10)]);
    const member = (more: object) => toGeoJSON(job, more).rootberth as { cautions: string[]; written: object };
    const plain = member({});
    expect(plain.cautions).toEqual(cautionsOf(job, { fenced: true }).map(({ text }) => text));
    for (const code of ['ring-cut', 'felled-neighbours', 'clay', 'height', 'stakes']) {
      expect(codes(job), code).toContain(code);
    }
    expect(plain.written).not.toHaveProperty('stamp');
    expect(member({ shapes: false }).cautions.join(' ')).not.toContain('Stake-out');
    const stamped = member({ stamp: 'invented data' });
    expect(stamped.written).toMatchObject({ stamp: 'invented data' });
    expect(stamped.cautions.join(' ')).toContain('invented data');
  });

  test.each<[string, ReturnType<typeof localJob>, object]>([
    ['ring-cut', localJob([tree(0, 0)], [works(1, -5, 10)]), {}],
    ['felled-neighbours', localJob([tree(0, 0), tree(9, 0, { disposition: 'remove' })], []), {}],
    ['clay', localJob([tree(0, 0)], [works(30, 0, 5)]), {}],
    ['height', localJob([tree(0, 0, { height_m: 12 })], []), {}],
    ['boundary', localJob([tree(0, 0, { off_site: 'yes' })], []), {}],
    ['invented', localJob([tree(0, 0)], []), { stamp: 'invented data' }],
  ])('%s is said where it applies, and only there', (code, job, about) => {
    expect(bare).not.toContain(code);
    expect(codes(job, about)).toContain(code);
  });
});

test('figures: one decimal of a percent, centimetres or tenths of a foot, no negative zero', () => {
  const [m, us] = [figuresIn('metric'), figuresIn('us')];
  expect([
    m.length(3.1449),
    us.length(3.048),
    m.percent(-0.01),
    m.area(null),
    us.diameter(0.254),
    m.degrees(359.97),
  ]).toEqual(['3.14 m', '10.0 ft', '0.0 %', '–', '10.0 in', '0.0°']);
});
