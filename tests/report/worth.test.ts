// "Worth keeping" in what is printed: the section, the cards, the inventory, the explanation. In: small jobs; out: HTML and text.

import { describe, expect, it } from 'vitest';
import {
  type AssessOptions,
  assess,
  explain,
  parseTreeFacts,
  readLayer,
  toInventory,
  toReport,
} from '../../src/core.js';
import { bytesOf } from '../support/layers.js';
import { feature, layer, square } from '../support/report-jobs.js';

const ANSWERS = {
  remaining_years: '20-40',
  vigour: 'fair',
  sounding: 'sound',
  decay: 'slight',
  root_disease: 'none',
  included_bark: 'none',
  strikes: 'the house',
};
const OAK = { id: 'oak', species: 'Quercus nigra', dbh_cm: 50, age: 'mature', tolerance: 'good', ...ANSWERS };

const LIMBS =
  'id,tree,bearing,bearing_ref,diameter_cm,length_m,crown_share\nL1,oak,90,grid,20,6,10%\nL2,oak,270,grid,5,6,2%\n';

function job(
  rows: readonly Record<string, unknown>[],
  options: AssessOptions = {},
  works: Record<string, unknown> = { kind: 'fill', depth_m: 0.08, id: 'F-1' },
) {
  return assess({
    trees: layer(
      'trees.geojson',
      rows.map((row, i) => feature('Point', [i * 100, 0], row)),
    ),
    works: [{ layer: layer('works.geojson', [feature('Polygon', square(0.5, -4, 8), works)]) }],
    limbs: readLayer(bytesOf(LIMBS), { name: 'limbs.csv', table: true }),
    options: { crs: 'local:m', crsFor: { trees: 'local:m', works: 'local:m' }, ...options },
  });
}

const text = (html: string): string =>
  html
    .replace(/<[^>]+>/g, '')
    .replaceAll('&lt;', '<')
    .replaceAll('&amp;', '&');
const sectionOf = (html: string, id: string): string =>
  new RegExp(`<section id="${id}"[^>]*>.*?</section>`, 's').exec(html)?.[0] ?? '';
/** The lines of the first card, by their names. */
function cardOf(...given: Parameters<typeof job>): Record<string, string> {
  const html = toReport(job(...given));
  const facts = /<div class="facts">(.*?)<\/div>/s.exec(html)?.[1] ?? '';
  return Object.fromEntries(
    [...facts.matchAll(/<p><b>(.*?):<\/b> (.*?)<\/p>/gs)].map(([, name, rest]) => [text(name!), text(rest!)]),
  );
}

describe('the section', () => {
  it('stands by the ladder, with years and works side by side, and concludes nothing', () => {
    const html = toReport(
      job([
        { ...OAK, remaining_years: '5' },
        { ...OAK, id: 'best', remaining_years: '40+' },
        { ...OAK, id: 'open', decay: 'severe' },
        { id: 'silent', dbh_cm: 20 },
      ]),
    );
    const section = sectionOf(html, 'worth');
    const rows = [...section.matchAll(/<tr><th scope="row">(.*?)<\/tr>/gs)].map((m) => text(m[1]!));
    expect(rows.map((row) => /^(best|oak|open)/.exec(row)?.[0])).toEqual(['best', 'oak', 'open']);
    expect(rows[0]).toContain('A (reckoned)');
    expect(rows[0]).toContain('at least 40 years');
    expect(rows[1]).toContain('U (reckoned)');
    expect(rows[1]).toMatch(/5\d+\.\d % of the zone/);
    expect(rows[2]).toContain('nobody says whether it is serious');
    expect(rows[0]).toContain('about 80 years (on average)');
    expect(section).toContain('1 tree of the survey without any of these answers.');
    expect(section).toContain('The arborist judges it and signs.');
    expect(section).toContain('BS 5837:2012, table 1, as quoted by practitioners');
  });

  it('is not there without the columns', () => {
    const html = toReport(job([{ id: 'oak', dbh_cm: 50, category: 'A', remaining_years: '40+' }]));
    expect(sectionOf(html, 'worth')).toBe('');
  });

  it('shows a survey’s words as text', () => {
    const html = toReport(job([{ ...OAK, decay: '<img src=x onerror=alert(1)>' }]));
    expect(html).not.toContain('<img src=x');
  });
});

describe('lines of a card, each with its source', () => {
  it('clay: fill beside the depths that harm', () => {
    const { 'Fill F-1': fill } = cardOf([OAK], { soil: 'clay' });
    expect(fill).toContain('0.08 m deep; soil: clay');
    // 0.08 m is 3.15 in: above 1 in, from 3 in on, not above 4 in
    expect(fill).toContain('above 1 in: damage starts: this fill is as deep');
    expect(fill).toContain(
      'from 3 in: roots die: this fill is as deep (University of Georgia Extension, Bartow County',
    );
    expect(fill).toContain('above 4 in: soil over roots is prohibited there: this fill is not (Troup County');
  });

  it.each([
    [0.0254, 'above 1 in: damage starts: this fill is not'],
    [0.0255, 'above 1 in: damage starts: this fill is as deep'],
    [0.0762, 'from 3 in: roots die: this fill is as deep'],
    [0.0761, 'from 3 in: roots die: this fill is not'],
  ])('fill of %d m', (depth_m, words) => {
    expect(cardOf([OAK], { soil: 'clay' }, { kind: 'fill', depth_m, id: 'F-1' })['Fill F-1']).toContain(words);
  });

  it('the survey’s soil before the site’s; a soil without a published depth says so', () => {
    const { 'Fill F-1': fill, 'Soil that holds roots back': soil } = cardOf([{ ...OAK, soil: 'loam' }], {
      soil: 'clay',
    });
    expect(fill).toContain('no published depth of fill for loam could be confirmed');
    expect(fill).not.toContain('roots die');
    expect(soil).toBe(
      'loam: bulk density 1.45 to 1.6 g/cm³ (University of Florida, critical values of bulk density, after Harris and after Morris & Lowery 1988)',
    );
    expect(cardOf([OAK])['Fill F-1']).toContain('soil not given');
    expect(cardOf([OAK], {}, { kind: 'fill', id: 'F-1' })['Fill F-1']).toContain('depth not given');
  });

  it('the crown follows the roots by as much, and no more than a fourth', () => {
    const { 'Crown after roots': crown } = cardOf([OAK]);
    expect(crown).toMatch(/^up to 25\.0 % of the crown/);
    expect(crown).toContain('common practice, no source');
    expect(crown).toContain('ANSI A300-1995, 5.3.1');
    expect(crown).toContain('from memory: ANSI A300 (Part 1), later editions');
  });

  it('cuts above the limit that was set are marked; no size of wound is stated', () => {
    const { 'Pruning list': list } = cardOf(
      [OAK],
      { limbs: { limitM: 0.1 } },
      { kind: 'building', height_m: 9, id: 'B-1' },
    );
    expect(list).toContain('L1: cut of 20.0 cm, 10.0 % of the live crown, in the way of B-1, ABOVE THE LIMIT SET');
    expect(list).not.toContain('L2'); // on the other side
    expect(list).toContain('limit set: 10.0 cm; no published size of wound that closes could be confirmed');
    const open = cardOf([OAK], {}, { kind: 'building', height_m: 9, id: 'B-1' })['Pruning list'];
    expect(open).toContain('no limit was set');
    expect(open).not.toContain('ABOVE');
  });

  it('roots, tolerance, span, category', () => {
    const card = cardOf([OAK]);
    expect(card['Depth of roots']).toContain(
      'about 85 % of the roots in the top 18 in (University of Missouri Extension G6885, fig. 1)',
    );
    expect(card['Tolerance of building']).toBe('good (as entered in the survey)');
    expect(cardOf([{ ...OAK, tolerance: '' }])['Tolerance of building']).toContain('no published table by species');
    expect(card['Likely span of years']).toBe(
      'about 80 years (on average): shown, not used (common practice, no source)',
    );
    expect(card['Retention category']).toContain('B (reckoned)');
    expect(card['Years beside works']).toMatch(
      /^remaining years: 20-40 \(as entered in the survey\); the works take \d/,
    );
    expect(card['To be seen first']).toContain('Would strike: the house; Decay: slight');
  });

  it('a file of one’s own stands in place of the built-in figures', () => {
    const treeFacts = parseTreeFacts(
      {
        id: 'c',
        title: 'c',
        spans: [{ trees: ['Quercus'], years: [90, 200], source: 'county list' }],
        tolerances: [{ trees: ['Quercus nigra'], tolerance: 'moderate', source: 'county list', stamp: 'weak source' }],
      },
      'c.json',
    );
    const card = cardOf([OAK], { treeFacts });
    expect(card['Likely span of years']).toBe('90 to 200 years: shown, not used (county list)');
    expect(card['Tolerance of building']).toBe('good (as entered in the survey); moderate (weak source: county list)');
    expect(card['Depth of roots']).toBeUndefined();
  });
});

describe('the inventory and the explanation', () => {
  it('has a column for each answer, and what they come to', () => {
    const [head, row] = toInventory(job([OAK])).split('\r\n');
    for (const title of [
      'Vigour',
      'Trunk by sounding',
      'Decay',
      'Would strike',
      'Retention category',
      'See first',
      'Not recorded',
    ])
      expect(head).toContain(title);
    expect(row).toContain('B (reckoned)');
    expect(row).toContain('about 80 years (on average); common practice, no source');
  });

  it('tells how the category was reached', () => {
    const lines = explain(job([{ ...OAK, category: 'C1' }]), 0).join('\n');
    expect(lines).toContain('remaining years as entered: 20-40, read as 20 to 40');
    expect(lines).toContain('- years-at-least-20: at least 20 years, no serious defect stated: B at most');
    expect(lines).toContain('reckoned category: B\n   the survey’s own: C, which stands\n   category: C');
    expect(lines).toContain('beside it, not in it: the works take');
    expect(explain(job([{ id: 'a', dbh_cm: 20 }]), 0).join('\n')).not.toContain('Worth keeping');
  });
});
