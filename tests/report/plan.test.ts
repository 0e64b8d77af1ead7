// The plan drawing: true scale, sheets, labels that do not meet, areas that equal figures, hostile text, size, same bytes.

import fc from 'fast-check';
import { XMLValidator } from 'fast-xml-parser';
import geodesic from 'geographiclib-geodesic';
import { describe, expect, test } from 'vitest';
import { assess, InputError, scaleNamed, sheetsNamed, toPlan } from '../../src/core.js';
import { isGoing } from '../../src/model/index.js';
import { clippedRing } from '../../src/report/clip.js';
import { type Box, meets } from '../../src/report/ground.js';
import { Occupied, placeLabels } from '../../src/report/labels.js';
import { fittingScale, roundScales } from '../../src/report/sheet.js';
import { esc, widthEm } from '../../src/report/text.js';
import { cityJob, demoJob, feature, layer, localJob, square } from '../support/report-jobs.js';
import { areaOf, curvePoints, pathRings, pathsOf } from '../support/svg.js';

const tree = (x: number, y: number, more: Record<string, unknown> = {}) =>
  feature('Point', [x, y], { id: `T${x}`, dbh_cm: 50, ...more });
const house = (x: number, y: number, side: number, more: Record<string, unknown> = {}) =>
  feature('Polygon', square(x, y, side), { id: 'house', kind: 'building', ...more });
const problem = (act: () => unknown): InputError => {
  try {
    act();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('nothing was thrown');
};

describe('scale', () => {
  test.each([
    ['1:200', 200],
    ['1:500', 500],
    ['1in=20ft', 240],
    ['1in=30ft', 360],
  ])('a wall of 10 m is 10 m at %s', (scale, ratio) => {
    const svg = toPlan(localJob([tree(0, 0)], [house(3, -5, 10)]), { sheet: 'A3', scale });
    const [ring = []] = pathRings(pathsOf(svg, 'rb-building')[0]!);
    const side = Math.hypot(ring[2]! - ring[0]!, ring[3]! - ring[1]!);
    expect(side).toBeCloseTo(10_000 / ratio, 1);
    expect(Math.abs(side - 10_000 / ratio)).toBeLessThan(0.015); // written to 0.01 mm
  });

  test('two trees stand as far apart on paper as on the ellipsoid', () => {
    const [a, b] = [
      [-122.7, 45.5],
      [-122.6988, 45.5006],
    ] as const;
    const job = assess({
      trees: layer('t.geojson', [
        feature('Point', a, { id: 'a', dbh_in: 20 }),
        feature('Point', b, { id: 'b', dbh_in: 20 }),
      ]),
      works: [{ layer: layer('w.geojson', []) }],
    });
    const svg = toPlan(job, { scale: '1:500', sheet: 'A3' });
    const [p, q] = [...svg.matchAll(/<use href="[^"]*" x="([^"]+)" y="([^"]+)"/g)].map(
      (m) => [Number(m[1]), Number(m[2])] as const,
    );
    if (!p || !q) throw new Error('two symbols expected');
    const metres = Math.hypot(p[0] - q[0], p[1] - q[1]) / 2; // 1:500 = 2 mm a metre
    expect(Math.abs(metres - geodesic.Geodesic.WGS84.Inverse(a[1], a[0], b[1], b[0]).s12!)).toBeLessThan(0.02);
    // up is true north: the second tree lies north-east
    expect(q[0]).toBeGreaterThan(p[0]);
    expect(q[1]).toBeLessThan(p[1]);
  });

  test('a zone has its radius', () => {
    const job = localJob([tree(0, 0)], [house(3, -5, 10)]);
    const svg = toPlan(job, { scale: '1:100' });
    const points = curvePoints(/<g class="rb-zone"><path d="([^"]+)"/.exec(svg)?.[1] ?? '');
    const r = job.trees[0]?.zoneRadiusM! * 10;
    const [xs, ys] = [points.map(({ x }) => x), points.map(({ y }) => y)];
    const [cx, cy] = [xs, ys].map((all) => (Math.min(...all) + Math.max(...all)) / 2) as [number, number];
    expect(points.length).toBe(4 * 16);
    const off = points.map(({ x, y }) => Math.abs(Math.hypot(x - cx, y - cy) - r));
    expect(Math.max(...off)).toBeLessThan(0.0003 * r + 0.02); // four curves for a circle, to 0.01 mm each
  });

  test('the largest round scale that fits is taken', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 5e4, noNaN: true }),
        fc.double({ min: 0.5, max: 5e4, noNaN: true }),
        (widthM, heightM) => {
          for (const units of ['metric', 'us'] as const) {
            const { ratio } = fittingScale({ widthM, heightM }, { widthMm: 400, heightMm: 230 }, units);
            const needed = Math.max((widthM * 1000) / 400, (heightM * 1000) / 230);
            expect(ratio).toBeGreaterThanOrEqual(needed);
            const larger = roundScales(units).filter((scale) => scale.ratio < ratio);
            for (const scale of larger) expect(scale.ratio).toBeLessThan(needed);
          }
        },
      ),
    );
  });

  test('names of scales and sheets; slips say what there is', () => {
    expect(scaleNamed(' 1 : 250 ').ratio).toBe(250);
    expect(scaleNamed('1" = 20\'').ratio).toBeCloseTo(240, 9);
    expect(sheetsNamed('a2-portrait')).toEqual([{ name: 'A2', widthMm: 420, heightMm: 594 }]);
    expect(sheetsNamed('Tabloid')[0]?.widthMm).toBeCloseTo(431.8, 9);
    for (const slip of ['200', '1:0', '1in=0ft', '1ft', 'one', '1:1e999']) {
      const error = problem(() => scaleNamed(slip));
      expect([error.usage, error.code]).toEqual([true, 'scale-unknown']);
    }
    expect(problem(() => sheetsNamed('A9')).cure).toContain('tabloid');
    const tight = problem(() => toPlan(localJob([tree(0, 0), tree(900, 0)], []), { scale: '1:100' }));
    expect([tight.code, tight.usage, tight.cure]).toEqual([
      'scale-too-large',
      true,
      expect.stringContaining('--sheet'),
    ]);
  });

  test('the sheet is the size it says', () => {
    const job = localJob([tree(0, 0)], [house(3, -5, 10)]);
    expect(toPlan(job, { sheet: 'A2-landscape' })).toContain('width="594mm" height="420mm" viewBox="0 0 594 420"');
    expect(toPlan(job, { sheet: 'letter-portrait', units: 'us' })).toContain('width="215.9mm" height="279.4mm"');
  });
});

describe('what is drawn', () => {
  const demo = demoJob();
  const svg = toPlan(demo, { scale: '1:500', sheet: 'A1' });
  const perM2 = 4; // mm2 of paper per m2 at 1:500

  test.each(['overlap', 'severed'] as const)('areas of %s equal the figures, tree by tree', (role) => {
    const layerOf = svg.slice(0, svg.indexOf('class="rb-frame"')); // without the legend
    const drawn = pathsOf(layerOf, `rb-${role}`).map((d) => areaOf(pathRings(d)) / perM2);
    const pick = (t: (typeof demo.trees)[number]) => (role === 'overlap' ? t.overlapM2 : t.severedM2) ?? 0;
    // a sliver below a hundredth of a millimetre can't be drawn
    // and of a tree that goes nothing is drawn but its symbol
    const staying = demo.trees.filter((t) => !isGoing(t.disposition));
    const figures = staying.filter((t) => pick(t) > 0.05);
    const seen = figures.filter((t) => demo.shapes(t.row)[role].length > 0);
    expect(drawn.length).toBeGreaterThan(role === 'overlap' ? 30 : 5);
    const unmatched = seen.filter((t) => !drawn.some((area) => Math.abs(area - pick(t)) < 0.02 + 0.004 * pick(t)));
    expect(unmatched.map((t) => `${t.key} ${pick(t)}`)).toEqual([]);
    expect(drawn.length).toBeLessThanOrEqual(staying.filter((t) => pick(t) > 0).length);
  });

  test('every tree with a position has its symbol; every verdict present is in the legend', () => {
    expect(svg.match(/<use href/g)).toHaveLength(demo.trees.filter((t) => t.lon !== null).length);
    for (const word of [
      'Untouched',
      'Within the limit',
      'Over the limit',
      'Stem in the works',
      'Not assessed',
      'Lot',
      'Works that do not count', // the deep bore
    ]) {
      expect(svg).toContain(`>${word}</text>`);
    }
  });

  test('no two labels meet, and none leaves the window', () => {
    for (const drawing of [svg, toPlan(demo, { sheet: 'A4' }), toPlan(demo, { sheet: 'A3', units: 'us' })]) {
      const boxes = labelBoxes(drawing);
      expect(boxes.length).toBeGreaterThan(30);
      const met = boxes.flatMap((a, i) => boxes.slice(i + 1).filter((b) => meets(a, b)));
      expect(met).toEqual([]);
    }
  });

  test('north: grid north of the survey is named with its angle', () => {
    // convergence of a Lambert cone with two parallels = n (lon - lon0), n = sin of the standard latitude, about 0.709
    const words = /grid north of EPSG:2913 is ([\d.]+)° west/.exec(svg.replace(/<\/text><text[^>]*>/g, ' '));
    const lon = demo.trees[0]?.lon!;
    expect(Number(words?.[1])).toBeCloseTo(0.7092 * (-120.5 - lon), 1);
  });

  test('the same bytes every time; the stamp is on it', () => {
    expect(toPlan(demoJob(), { scale: '1:500', sheet: 'A1' })).toBe(svg);
    expect(toPlan(demo, { stamp: 'invented data' })).toContain('INVENTED DATA');
  });

  test('a tree gone astray does not shrink the drawing and is counted', () => {
    const trees = Array.from({ length: 12 }, (_, i) => tree(i * 5, (i % 3) * 4));
    const near = toPlan(localJob(trees, [house(3, -5, 10)]));
    const far = toPlan(
      localJob([...trees, feature('Point', [5e6, 5e6], { id: 'far', dbh_cm: 40 })], [house(3, -5, 10)]),
    );
    const scaleOf = (text: string) => /<title>.*?, (1:\d+)/.exec(text)?.[1];
    expect(scaleOf(far)).toBe(scaleOf(near));
    expect(far.replace(/<\/text><text[^>]*>/g, ' ')).toContain('Trees that lie too far away to be drawn: 1.');
  });

  test('no position, no tree: a drawing that says so', () => {
    const none = toPlan(localJob([], [house(3, -5, 10)]));
    expect(XMLValidator.validate(none)).toBe(true);
    expect(none).toContain('no tree has a position');
  });
});

describe('labels', () => {
  test('whatever is asked, boxes never meet each other or a symbol', () => {
    const wish = fc.record({
      x: fc.double({ min: 0, max: 120, noNaN: true }),
      y: fc.double({ min: 0, max: 90, noNaN: true }),
      clearMm: fc.double({ min: 0.3, max: 3, noNaN: true }),
      widthMm: fc.double({ min: 1, max: 25, noNaN: true }),
      heightMm: fc.double({ min: 1, max: 4, noNaN: true }),
    });
    fc.assert(
      fc.property(fc.array(wish, { maxLength: 60 }), (wishes) => {
        const area = { x0: 0, y0: 0, x1: 120, y1: 90 };
        const occupied = new Occupied();
        const symbols = wishes.map(({ x, y, clearMm: r }): Box => ({ x0: x - r, y0: y - r, x1: x + r, y1: y + r }));
        for (const box of symbols) occupied.add(box);
        const placed = placeLabels(wishes, area, occupied).flatMap((p) => (p === null ? [] : [p.box]));
        for (const [i, a] of placed.entries()) {
          expect(a.x0 >= area.x0 && a.y0 >= area.y0 && a.x1 <= area.x1 && a.y1 <= area.y1).toBe(true);
          for (const b of [...placed.slice(i + 1), ...symbols]) expect(meets(a, b)).toBe(false);
        }
      }),
    );
  });

  test('one label always finds a place beside its tree', () => {
    const [place] = placeLabels(
      [{ x: 50, y: 50, clearMm: 1, widthMm: 10, heightMm: 2 }],
      { x0: 0, y0: 0, x1: 100, y1: 100 },
      new Occupied(),
    );
    expect(place).toMatchObject({ leader: null });
  });
});

describe('hostile text', () => {
  const NASTY = [
    '<script>alert(1)</script>',
    '"><svg onload=alert(1)>',
    "' onclick='x",
    '\u202eabc\u202c',
    'שלום עולם',
    'a\u0000b\u001b[31m',
    '\ud800',
    'x'.repeat(5000),
    ']]>&amp;<!--',
    '木'.repeat(30),
  ];

  test('ids, titles and lots of anybody leave the drawing well-formed and inert', () => {
    const trees = NASTY.map((id, i) => feature('Point', [i * 14, 0], { id, dbh_cm: 50 }));
    const lots = [feature('Polygon', square(-20, -20, 200), { id: NASTY[0] })];
    const svg = toPlan(localJob(trees, [house(3, -5, 10, { id: NASTY[1] })], lots), {
      title: NASTY[0],
      stamp: NASTY[1],
    });
    expect(XMLValidator.validate(svg)).toBe(true);
    expect(svg).not.toMatch(/<script|<[^>]*\son\w+=/i);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: none may be there
    expect(svg).not.toMatch(/[\u0000-\u0008\u000b-\u001f]|[\ud800-\udbff](?![\udc00-\udfff])/);
    expect(svg).toContain('&lt;script&gt;alert');
    expect(svg).toContain('\u2068'); // foreign text is isolated: it can't turn its percent round
    for (const [, box] of svg.matchAll(/<text[^>]*>([^<]*)<\/text>/g)) expect(box!.length).toBeLessThan(400);
  });

  test('nothing is loaded from anywhere', () => {
    const svg = toPlan(demoJob());
    expect([...svg.matchAll(/(?:href|src|url\()\s*=?\s*"?([^")]+)/g)].filter(([, to]) => !to?.startsWith('#'))).toEqual(
      [],
    );
    expect(svg.match(/https?:/g)).toHaveLength(1); // the name of the SVG namespace
  });

  test('esc', () => {
    expect(esc('<a href="x">&\'')).toBe('&lt;a href=&quot;x&quot;&gt;&amp;&#39;');
  });
});

describe('levels of detail', () => {
  test('5,000 trees: a file of modest size, without labels that would only hide', { timeout: 60_000 }, () => {
    const svg = toPlan(cityJob(5000));
    expect(svg.length).toBeLessThan(3e6);
    expect(svg.match(/<use href/g)).toHaveLength(5000);
    expect(svg.replace(/<\/text><text[^>]*>/g, ' ')).toContain('too near to each other');
  });

  test('beyond: a dot per tree, the worst where dots fall together', { timeout: 60_000 }, () => {
    const job = cityJob(6000);
    const svg = toPlan(job);
    expect(svg).toContain('<g class="rb-dots">');
    expect(svg).not.toContain('class="rb-zone"');
    expect(svg.length).toBeLessThan(2e6);
  });
});

test('a ring cut to a box keeps its area inside', () => {
  const ring = [-5, -5, 15, -5, 15, 15, -5, 15];
  expect(areaOf([clippedRing(ring, { x0: 0, y0: 0, x1: 10, y1: 10 })])).toBe(100);
  expect(clippedRing([1, 1, 2, 1, 2, 2], { x0: 0, y0: 0, x1: 10, y1: 10 })).toEqual([1, 1, 2, 1, 2, 2]);
  expect(clippedRing([20, 20, 30, 20, 30, 30], { x0: 0, y0: 0, x1: 10, y1: 10 })).toEqual([]);
});

/** Boxes of labels as a reader of the file sees them. */
function labelBoxes(svg: string): Box[] {
  const group = /<g class="rb-lab" font-size="([\d.]+)"[^>]*>(.*?)<\/g>/s.exec(svg);
  const base = Number(group?.[1]);
  return [...(group?.[2] ?? '').matchAll(/<text x="([^"]+)" y="([^"]+)"([^>]*)>([^<]*)</g)].map((m) => {
    const size = Number(/font-size="([\d.]+)"/.exec(m[3]!)?.[1] ?? base);
    const width = widthEm(m[4]!.replace(/&[^;]+;/g, 'x')) * size;
    const x = Number(m[1]);
    const y = Number(m[2]);
    return { x0: x - width / 2, y0: y - size * 0.72, x1: x + width / 2, y1: y };
  });
}
