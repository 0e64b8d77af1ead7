// Spot heights of files: which column, which unit, what is left out, two heights of one place.
import { describe, expect, it } from 'vitest';
import { gradesOf, spotSurface } from '../../src/grades/index.js';
import { readLayer } from '../../src/read/index.js';
import { bytesOf } from '../support/layers.js';
import { localJob, tree } from '../support/local-job.js';
import { faced, grid, spots } from '../support/surfaces.js';

const layer = (text: string, name = 'spots.csv') => readLayer(bytesOf(text), { name });
const HEAD = 'id,easting,northing';
const three = (column: string, cells: readonly string[]): string =>
  [`${HEAD},${column}`, ...cells.map((cell, i) => `P${i},${i === 1 ? 10 : 0},${i === 2 ? 10 : 0},${cell}`)].join('\n');

describe('heights', () => {
  it.each([
    ['height_ft', ['100', '101', '102'], 30.48],
    ['elevation_m', ['100', '101', '102'], 100],
    ['ground_height_ftus', ['100', '101', '102'], (100 * 1200) / 3937],
    ['height', ['100 ft', '101 ft', '102 ft'], 30.48],
  ])('%s', (column, cells, first) => {
    expect(spotSurface(layer(three(column, cells)), 'existing').z[0]).toBeCloseTo(first, 10);
  });

  it('a unit is never guessed', () => {
    const bare = layer(three('elevation', ['100', '101', '102']));
    expect(() => spotSurface(bare, 'existing')).toThrow(expect.objectContaining({ code: 'unit-missing', usage: true }));
    expect(spotSurface(bare, 'existing', { heightUnit: 'ft' }).z[0]).toBeCloseTo(30.48, 10);
  });

  it('a tree’s height is no height of the ground', () => {
    const trees = layer(`${HEAD},dbh_in,height_ft,elevation_ft\nA,0,0,9,60,1\nB,9,0,9,70,2\nC,0,9,9,80,3`);
    expect([...spotSurface(trees, 'existing').z].map((z) => Math.round(z / 0.3048))).toEqual([1, 2, 3]);
    const without = layer(`${HEAD},dbh_in,height_ft\nA,0,0,9,60\nB,9,0,9,70\nC,0,9,9,80`);
    expect(() => spotSurface(without, 'existing')).toThrow(expect.objectContaining({ code: 'grade-empty' }));
  });

  it('proposed heights have columns of their own; points without one are told', () => {
    const both = layer(`${HEAD},height_ft,proposed_height_ft\nA,0,0,1,2\nB,9,0,1,2\nC,0,9,1,2\nD,9,9,1,`);
    expect(spotSurface(both, 'existing').faces).toHaveLength(6);
    const proposed = spotSurface(both, 'proposed');
    expect(proposed.faces).toHaveLength(3);
    expect(proposed.findings.map(({ code, message }) => `${code}: ${message}`)).toEqual([
      'grade-no-height: 1 point of spots.csv has no proposed height and was left out of the proposed surface',
    ]);
  });

  it('one place with two heights: told with the place, and the first used', () => {
    const twice = layer(`${HEAD},height_m\nA,0,0,1\nB,9,0,1\nC,0,9,1\nD,0,9,2\nE,0,0,1`);
    const { z, findings } = spotSurface(twice, 'existing');
    expect([...z]).toEqual([1, 1, 1]);
    expect(findings.map(({ message }) => message)).toEqual([
      '1 position of spots.csv has two heights: 0, 9 (1.000 m and 2.000 m); the first was used',
    ]);
  });

  it('words that are no height are refused with their row', () => {
    const words = layer(three('height_m', ['1', 'about 2', '3']));
    expect(() => spotSurface(words, 'existing')).toThrow(
      expect.objectContaining({ code: 'number-unreadable', feature: 1 }),
    );
  });
});

describe('ground that is not known', () => {
  const site = grid(10, 5, () => 100);

  it('a tree outside both surfaces has no figures, not zero', () => {
    const grades = gradesOf(
      site,
      grid(10, 10, () => 101),
    );
    const job = localJob([tree(50, 50, { id: 'far', dbh_cm: 20 }), tree(5, 5, { id: 'in', dbh_cm: 20 })], [], {
      grades,
    });
    expect(job.grades!.trees[0]).toMatchObject({ changeM: null, filledM2: null, cutM2: null });
    expect(job.trees[0]!.reasons).toContain('grade-unknown');
    expect(job.trees[1]!.reasons).not.toContain('grade-unknown');
    const told = job.findings.filter(({ code }) => code === 'grade-unknown');
    expect(told.map(({ message }) => message.includes('1 tree: far'))).toEqual([true]);
  });

  it('under a fold the ground has two heights and counts as not known', () => {
    // the last face lies on half of the first square; the second square is sound
    const folded = faced(
      [
        [0, 0, 100],
        [10, 0, 100],
        [10, 10, 100],
        [0, 10, 100],
        [9, 1, 102],
        [20, 0, 100],
        [20, 10, 100],
      ],
      [0, 1, 2, 0, 2, 3, 1, 5, 6, 1, 6, 2, 0, 1, 4],
    );
    expect(folded.findings.map(({ code }) => code)).toEqual(['grade-fold']);
    expect(folded.faces).toHaveLength(9);
    const grades = gradesOf(
      folded,
      grid(20, 10, () => 101),
    );
    const lots = [
      {
        rings: [
          [
            [0, 0],
            [20, 0],
            [20, 10],
            [0, 10],
          ],
        ] as const,
        properties: { id: 'L' },
      },
    ];
    const [lot] = localJob([tree(5, 9, { id: 'T', dbh_cm: 2 })], [], { grades, lots }).grades!.lots;
    expect(lot!.unknownM2).toBeCloseTo(50, 8);
    expect(lot!.filledM2).toBeCloseTo(150, 8);
  });

  it('surfaces without common ground, and on different datums', () => {
    const away = spots(
      [
        [90, 90],
        [99, 90],
        [90, 99],
      ],
      () => 100,
    );
    const tell = (proposed: typeof away) =>
      localJob([tree(5, 5, { id: 'T', dbh_cm: 20 })], [], { grades: gradesOf(site, proposed) });
    expect(() => tell(away)).toThrow(expect.objectContaining({ code: 'grade-apart' }));
    expect(tell(grid(10, 5, () => 30.48)).findings.map(({ code }) => code)).toContain('grade-datum');
    expect(tell(grid(10, 5, () => 100.4)).findings.map(({ code }) => code)).not.toContain('grade-datum');
  });

  it('fill that is drawn where the surfaces show none is told', () => {
    const works = [
      {
        rings: [
          [
            [1, 1],
            [3, 1],
            [3, 3],
            [1, 3],
          ],
        ] as const,
        properties: { id: 'berm', kind: 'fill', depth_m: 1 },
      },
    ];
    const same = localJob([tree(8, 8, { id: 'T', dbh_cm: 5 })], works, {
      grades: gradesOf(
        site,
        grid(10, 10, () => 100),
      ),
    });
    const told = same.findings.filter(({ code }) => code === 'grade-drawn');
    expect(told.map(({ id, message }) => [id, message.includes('4.0 m2')])).toEqual([['berm', true]]);
    const filled = localJob([tree(8, 8, { id: 'T', dbh_cm: 5 })], works, {
      grades: gradesOf(
        site,
        grid(10, 10, () => 101),
      ),
    });
    expect(filled.findings.filter(({ code }) => code === 'grade-drawn')).toEqual([]);
  });
});

describe('limits', () => {
  it('options are checked, and a signal is heard', () => {
    const site = grid(10, 5, () => 100);
    expect(() => gradesOf(site, site, { leastM: 0 })).toThrow(expect.objectContaining({ code: 'option-grades' }));
    expect(() => gradesOf(site, site, { depthsM: [-1] })).toThrow(expect.objectContaining({ code: 'option-grades' }));
    const signal = AbortSignal.abort(new Error('enough'));
    const grades = gradesOf(
      site,
      grid(10, 10, () => 101),
    );
    const change = () =>
      grades.change({ existing: {} as never, proposed: {} as never, depths: { fill: [], excavation: [] }, signal });
    expect(change).toThrow();
  });
});
