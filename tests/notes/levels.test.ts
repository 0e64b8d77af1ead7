// Levels against closed forms: a loop and its spread, side shots, slips of the notebook.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { notesText } from '../../src/notes/index.js';
import { readNotes } from '../../src/read/index.js';
import { readNotesLayer } from '../../src/read/notes.js';
import { runs } from '../support/runs.js';

const FT = 0.3048;
const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
const read = (text: string) => readNotes(bytes(text), { name: 'levels.csv' });
const HEAD = 'point,backsight_ft,foresight_ft,height_ft';

/** Heights in feet by name. */
function heights(text: string): Record<string, number> {
  const notes = read(text);
  return Object.fromEntries(notes.points.map(({ name }, p) => [name, notes.levels!.heightM[p]! / FT]));
}

/** A loop out of `legs` of back- and foresights, benchmark 100. */
function loop(legs: readonly (readonly [number, number])[]): string {
  const rows = legs.map(([back], i) => (i === 0 ? `BM,${back},,100` : `TP${i},${back},${legs[i - 1]![1]},`));
  return [HEAD, ...rows, `BM,,${legs.at(-1)![1]},`].join('\n');
}

describe('a loop', () => {
  const legs = [
    [4.21, 6.02],
    [5.1, 3.36],
    [6.47, 5.25],
    [3.02, 4.05],
  ] as const; // rises 18.80, falls 18.68

  it('closes by the sum of backsights less foresights, spread evenly over its set-ups', () => {
    const found = heights(loop(legs));
    const closure = 18.8 - 18.68;
    let carried = 100;
    legs.slice(0, -1).forEach(([back, fore], i) => {
      carried += back - fore;
      expect(found[`TP${i + 1}`]).toBeCloseTo(carried - (closure * (i + 1)) / 4, 9);
    });
    expect(found.BM).toBe(100);
    const { closures, degrees } = read(loop(legs)).levels!;
    expect(closures).toHaveLength(1);
    expect(closures[0]).toMatchObject({ row: 6, setups: 4 });
    expect(closures[0]!.errorM).toBeCloseTo(closure * FT, 12);
    expect(degrees).toBe(1);
  });

  it('any loop: the same closed form, and standard errors of k of n set-ups', () => {
    const leg = fc.tuple(fc.integer({ min: 0, max: 900 }), fc.integer({ min: 0, max: 900 }));
    fc.assert(
      fc.property(fc.array(leg, { minLength: 2, maxLength: 9 }), (whole) => {
        const cm = whole.map(([a, b]) => [a / 100, b / 100] as const);
        const notes = read(loop(cm));
        const n = cm.length;
        const closure = cm.reduce((sum, [a, b]) => sum + a - b, 0);
        let carried = 100;
        for (let k = 1; k < n; k++) {
          carried += cm[k - 1]![0] - cm[k - 1]![1];
          const p = notes.points.findIndex(({ name }) => name === `TP${k}`);
          expect(notes.levels!.heightM[p]! / FT).toBeCloseTo(carried - (closure * k) / n, 8);
          expect(notes.levels!.sigmaM[p]).toBeCloseTo(0.003 * Math.sqrt((2 * k * (n - k)) / n), 9);
        }
      }),
      { numRuns: runs(40) },
    );
  });

  it('that closes badly is told as such', () => {
    expect(read(loop(legs)).findings.map(({ code }) => code)).toEqual(['level-misclosed']);
    const fair = legs.map(([a, b], i) => [a, i === 0 ? b + 0.108 : b] as const);
    const told = read(loop(fair)).findings;
    expect(told.map(({ code }) => code)).toEqual(['level-closure']);
    expect(told[0]!.message).toBe(
      'levels close on BM by 0.012 ft over 4 set-ups; spread evenly over them, 0.003 ft each',
    );
  });
});

describe('side shots and further benchmarks', () => {
  it('several foresights from one set-up; metres beside feet', () => {
    const text = 'point,backsight_m,foresight_m,height_m\nBM,1.500,,10\nS1,,2.000,\nS2,,0.250,\n';
    const notes = read(text);
    expect([...notes.levels!.heightM]).toEqual([10, 9.5, 11.25]);
    expect(notes.findings).toEqual([]);
    expect(notesText(notes)).toContain('The levels close on nothing');
  });

  it('two benchmarks: the closure between them, and over how many set-ups', () => {
    const { levels } = read(`${HEAD}\nA,5,,100\nT,4,6,\nB,,3,100.03\n`);
    expect(levels!.closures[0]!.errorM).toBeCloseTo(-0.03 * FT, 12);
    expect(levels!.closures[0]!.setups).toBe(2);
    expect(levels!.heightM[1]! / FT).toBeCloseTo(99.015, 10);
  });

  it('rows out of order, by the column setup', () => {
    const text = 'point,setup,backsight_ft,foresight_ft,height_ft\nT,one,,6,\nS,two,,1,\nT,two,4,,\nA,one,5,,100\n';
    const notes = read(text);
    const of = (name: string): number =>
      notes.levels!.heightM[notes.points.findIndex((one) => one.name === name)]! / FT;
    expect([of('T'), of('S')].map((h) => Number(h.toFixed(9)))).toEqual([99, 102]);
  });
});

describe('slips', () => {
  it.each([
    [`${HEAD}\nS,,4,\nBM,5,,100\n`, 'level-unreadable', 'a foresight before any backsight'],
    [`${HEAD}\nBM,5,,\nS,,4,\n`, 'level-no-benchmark', 'no point has a known height'],
    ['point,backsight_ft,foresight_ft,height\nBM,5,,100\nS,,4,\n', 'level-unreadable', 'nothing says the unit'],
    [`${HEAD}\nBM,5,,100\nS,,four,\n`, 'note-unreadable', 'foresight_ft'],
    [
      `point,setup,backsight_ft,foresight_ft,height_ft\nBM,1,5,,100\nT,1,5,4,\n`,
      'level-unreadable',
      'belong to two set-ups',
    ],
    [
      `point,setup,backsight_ft,foresight_ft,height_ft\nBM,1,5,,100\nT,2,5,,\nU,2,,4,\n`,
      'level-loose',
      'hang on no benchmark',
    ],
  ])('%#', (text, code, words) => {
    const told = read(text).findings.filter((one) => one.code === code);
    expect(told.map(({ message }) => message).join()).toContain(words);
  });
});

describe('levels beside ties', () => {
  const text = [
    'point,from,distance_ft,base,side,backsight_ft,foresight_ft,height_ft,proposed_height_ft,dbh_in',
    'B,A,40,,,,,,,',
    'T1,A,30,A>B,left,,,,,12',
    'T1,B,50,A>B,left,,,,,',
    'S1,A,50,A>B,left,,,,,',
    'S1,B,30,A>B,left,,,,,',
    'BM,,,,,5,,100,,',
    'A,,,,,,4,,101,',
    'B,,,,,,6,,99.5,',
    'T1,,,,,,5.5,,99.5,',
    'S1,,,,,,5,,,',
  ].join('\n');

  it('make spot heights where a point has both; a benchmark of levels alone is no loose point', () => {
    const notes = read(text);
    expect(notes.findings.filter(({ severity }) => severity === 'error')).toEqual([]);
    const layer = readNotesLayer(bytes(text), { name: 'levels.csv', role: 'grades' });
    const rows = Array.from({ length: layer.count }, (_, f) => layer.properties(f));
    expect(rows.map(({ id }) => id).sort()).toEqual(['A', 'B', 'S1', 'T1']);
    expect(rows.find(({ id }) => id === 'T1')).toMatchObject({ ground_height_m: 30.3276, proposed_height_ft: 99.5 });
    const trees = readNotesLayer(bytes(text), { name: 'levels.csv', role: 'trees' });
    expect(trees.properties(0)).toMatchObject({ id: 'T1', ground_height_m: 30.3276 });
  });

  it('are printed', () => {
    expect(notesText(read(text))).toMatch(/Heights in ft[\s\S]*\nB +99\.000/);
  });
});
