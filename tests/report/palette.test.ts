// Colours hold for every eye and on grey paper: tints part under simulated colour blindness, hatches differ one by one.
// The simulation's matrices are from memory (tests/support/colour.ts); thresholds: 10 is seen at a glance (CIE 1976).
import { describe, expect, test } from 'vitest';
import { VERDICTS } from '../../src/model/index.js';
import { dashedRings } from '../../src/report/drawing/dashes.js';
import { hatchPath } from '../../src/report/drawing/hatch.js';
import { KIND_STYLES, LINE_STYLES, TAKEN_STYLES, VERDICT_STYLES } from '../../src/report/drawing/palette.js';
import { symbol } from '../../src/report/drawing/symbols.js';
import { distance, type Eye, lab } from '../support/colour.js';

const AREAS = { ...KIND_STYLES, ...TAKEN_STYLES };
const EYES: readonly Eye[] = ['normal', 'protan', 'deutan', 'tritan'];
const pairs = <T>(list: readonly T[]): [T, T][] => list.flatMap((a, i) => list.slice(i + 1).map((b): [T, T] => [a, b]));

describe('palette', () => {
  test.each(EYES)('grounds of works, overlap and severed differ for the %s eye', (eye) => {
    const close = pairs(Object.entries(AREAS)).filter(([[, a], [, b]]) => distance(a.ground, b.ground, eye) < 12);
    expect(close.map(([[a], [b]]) => `${a} ${b}`)).toEqual([]);
  });

  test.each(EYES)('verdicts differ for the %s eye', (eye) => {
    const close = pairs([...VERDICTS]).filter(
      ([a, b]) => distance(VERDICT_STYLES[a].fill, VERDICT_STYLES[b].fill, eye) < 9,
    );
    expect(close).toEqual([]);
  });

  test('verdicts darken as they get worse, on grey paper too, by steps that are seen', () => {
    const grey = (['untouched', 'within-limit', 'over-limit', 'stem-in-works'] as const).map(
      (verdict) => lab(VERDICT_STYLES[verdict].fill, 'grey')[0],
    );
    for (let i = 1; i < grey.length; i++) expect(grey[i - 1]! - grey[i]!).toBeGreaterThan(15);
  });

  test('hatches and symbols differ without any colour', () => {
    const hatches = Object.values(AREAS).map(({ hatch }) => JSON.stringify(hatch.families));
    expect(new Set(hatches).size).toBe(hatches.length);
    const bare = VERDICTS.map((verdict) => symbol(verdict, 'keep', 0, 0, 1).replace(/fill="#[0-9a-f]+"/g, ''));
    expect(new Set(bare).size).toBe(VERDICTS.length);
    expect(new Set(['keep', 'remove', 'transplant'].map((d) => symbol('untouched', d as 'keep', 0, 0, 1))).size).toBe(
      3,
    );
  });

  test('hatch ink stands out from its ground, on grey paper too', () => {
    for (const [name, { ink, ground }] of Object.entries(AREAS)) {
      expect(lab(ground, 'grey')[0] - lab(ink, 'grey')[0], name).toBeGreaterThan(25);
    }
    for (const { ink } of Object.values(LINE_STYLES)) expect(lab(ink, 'grey')[0]).toBeLessThan(55);
  });

  test('a broken line comes out even round its ring: strokes have their share of its length, corners stay', () => {
    const square = [0, 0, 10, 0, 10, 10, 0, 10];
    const all = { x0: -1, y0: -1, x1: 11, y1: 11 };
    expect(dashedRings([[0, 0, 4, 0, 4, 2, 0, 2]], [2, 1], all)).toBe('M0,0h2M3,0h1v1M4,2h-2M1,2h-1v-1');
    const strokes = (d: string): number =>
      [...d.matchAll(/([hvl])(-?[\d.]+)(?:,?(-?[\d.]+))?/g)].reduce(
        (sum, [, step, a, b]) => sum + Math.hypot(Number(a), step === 'l' ? Number(b) : 0),
        0,
      );
    const fence = strokes(dashedRings([square], [2.2, 0.6, 0.4, 0.6], all));
    expect(Math.abs(fence - 40 * (2.6 / 3.8))).toBeLessThan(0.02 * 22); // 11 periods, two strokes each, to 0.01 mm
    // What lies outside is left out.
    expect(strokes(dashedRings([square], [1, 1], { x0: -1, y0: -1, x1: 11, y1: 1 }))).toBeLessThan(10 / 2 + 2.1);
    expect(dashedRings([square], [1, 1], { x0: 20, y0: 20, x1: 30, y1: 30 })).toBe('');
  });

  test('the lines of a hatch lie inside the rings, at the same places all over the sheet', () => {
    const square = [0, 0, 10, 0, 10, 10, 0, 10];
    const hole = [3, 3, 7, 3, 7, 7, 3, 7];
    const across = { width: 0.2, families: [{ along: [1, 0], step: 2, first: 1 }] } as const;
    expect(hatchPath([square, hole], across)).toBe('M0,1h10M0,3h3M7,3h3M0,5h3M7,5h3M0,7h10M0,9h10');
    // Halves end to end make the whole: no line is lost or doubled at the seam, whatever the direction.
    const length = (d: string): number =>
      [...d.matchAll(/([hvl])(-?[\d.]+)(?:,?(-?[\d.]+))?/g)].reduce(
        (sum, [, step, a, b]) => sum + Math.hypot(Number(a), step === 'l' ? Number(b) : 0),
        0,
      );
    for (const { hatch } of Object.values(AREAS)) {
      if (hatch.families.some(({ dash }) => dash?.[0] === 0)) continue;
      const whole = length(hatchPath([[0, 0, 40, 0, 40, 30, 0, 30]], hatch));
      const [left, right] = [
        [0, 0, 17, 0, 17, 30, 0, 30],
        [17, 0, 40, 0, 40, 30, 17, 30],
      ].map((r) => hatchPath([r], hatch));
      expect(Math.abs(length(left!) + length(right!) - whole) / whole).toBeLessThan(0.02);
      // Lines a step apart: area over step, by each family (marks are a share of their line).
      const ink = hatch.families.reduce(
        (sum, { step, dash }) => sum + (1200 / step) * (dash ? dash[0] / dash[1] : 1),
        0,
      );
      expect(Math.abs(whole / ink - 1)).toBeLessThan(0.05);
    }
  });
});
