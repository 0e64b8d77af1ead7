// Tree rows: in: odd rows; out: reasons, notes, findings; every row kept.
import { describe, expect, it } from 'vitest';
import { checkTrees } from '../../src/check/index.js';
import type { GeometryKind } from '../../src/model/index.js';
import { LayerBuilder } from '../../src/model/index.js';
import { named, treeLayer } from '../support/check-layers.js';

function codes(findings: readonly { readonly code: string }[]): string[] {
  return findings.map((f) => f.code);
}

describe('geometry', () => {
  it('takes points and one-point multipoints, and gives a reason for everything else', () => {
    const b = new LayerBuilder('trees.geojson', 'geojson');
    const add = (kind: GeometryKind, ...points: (readonly [number, number])[]): void => {
      b.begin(kind);
      if (points.length > 0) {
        for (const [x, y] of points) {
          b.part();
          b.ring();
          b.vertex(x, y);
        }
      }
      b.end({ dbh_in: 10 });
    };
    add('point', [1, 2]);
    add('multipoint', [3, 4]);
    add('multipoint', [5, 6], [7, 8]);
    add('none');
    add('point');
    add('line', [0, 0], [1, 1]);
    add('polygon', [0, 0], [1, 1], [2, 0]);
    add('point', [Number.NaN, 1]);
    add('point', [1e300, 1]);
    b.begin('point');
    b.abandon('coordinates', 'text for a number', 'write a number');
    b.end({ dbh_in: 10 });
    const { table, findings } = checkTrees(b.finish({ crs: null, sha256: null }));
    expect(table.count).toBe(10);
    expect([...table.xy.slice(0, 4)]).toEqual([1, 2, 3, 4]);
    expect([...table.rejected].map(([row, why]) => `${row} ${why.join()}`).sort()).toEqual([
      '2 several-points',
      '3 no-geometry',
      '4 no-geometry',
      '5 geometry-type',
      '6 ring-short',
      '7 geometry-broken',
      '8 geometry-broken',
      '9 geometry-broken',
    ]);
    // the reader has already told of the last one
    expect(codes(findings).filter((code) => code !== 'ring-short')).toEqual([
      'several-points',
      'geometry-null',
      'geometry-null',
      'geometry-type',
      'geometry-broken',
      'geometry-broken',
    ]);
    expect(table.xy[7 * 2 + 1]).toBeNaN();
  });

  it('keeps survey heights as read and says so once', () => {
    const b = new LayerBuilder('t', 'csv');
    for (const z of [12, Number.NaN]) {
      b.begin('point');
      b.part();
      b.ring();
      b.vertex(z === 12 ? 0 : 9, 0, z);
      b.end({ dbh_in: 3 });
    }
    const { table, findings } = checkTrees(b.finish({ crs: null, sha256: null }));
    expect([...table.z!]).toEqual([12, Number.NaN]);
    expect(codes(findings)).toEqual(['height-unit']);
  });
});

describe('diameter', () => {
  it.each([0, -5, '', null, 'none'])('%j is not a diameter', (dbh) => {
    const { table, findings } = checkTrees(treeLayer([{ dbh_in: dbh }]));
    expect(table.rejected.get(0)).toEqual(['dbh-missing']);
    expect(codes(findings)).toContain('dbh-missing');
    if (dbh === 'none' || dbh === -5) {
      expect(findings[0]).toMatchObject({ code: 'number-unreadable', path: 'properties.dbh_in', feature: 0 });
    }
  });

  it('names absurd trunks, and does not assess impossible ones', () => {
    const { table, findings } = checkTrees(
      treeLayer([{ dbh_m: 0.009 }, { dbh_m: 0.01 }, { dbh_m: 6 }, { dbh_m: 6.1 }, { dbh_m: 15 }, { dbh_m: 1e30 }]),
    );
    expect([...table.notes.keys()]).toEqual([0, 3]);
    expect([...table.rejected.keys()]).toEqual([4, 5]);
    expect(findings.filter((f) => f.code === 'dbh-absurd').map((f) => f.feature)).toEqual([0, 3, 4, 5]);
  });

  it('finds conflicts beyond 5 %', () => {
    const { table, findings } = checkTrees(
      treeLayer([
        { dbh_cm: 100, girth_cm: 100 * Math.PI },
        { dbh_cm: 100, girth_cm: 95.1 * Math.PI },
        { dbh_cm: 100, girth_cm: 94.9 * Math.PI },
        { dbh_cm: 50, stems_cm: '30;40' },
        { dbh_cm: 70, stems_cm: '30;40' },
        { girth_cm: 70 * Math.PI, stems_cm: '30;40' },
      ]),
    );
    expect(findings.map((f) => `${f.code} ${f.feature}`)).toEqual([
      'dbh-conflict 2',
      'dbh-conflict 4',
      'dbh-conflict 5',
    ]);
    expect([...table.notes.keys()]).toEqual([2, 4, 5]);
    expect(table.stemsM.get(4)).toEqual([0.3, 0.4]);
    expect(table.dbhM[2]).toBe(1);
  });

  it('takes the first of several units that is not blank, and compares them', () => {
    const { table, findings } = checkTrees(
      treeLayer([
        { dbh_in: 10, dbh_cm: 25.4 },
        { dbh_in: null, dbh_cm: 30 },
        { dbh_in: 10, dbh_cm: 30 },
      ]),
    );
    expect([...table.dbhM]).toEqual([0.254, 0.3, 0.254]);
    expect(findings.map((f) => [f.code, f.feature])).toEqual([['dbh-conflict', 2]]);
  });

  it('uses girth where dbh is 0, and does not use half a list of stems', () => {
    const { table, findings } = checkTrees(
      treeLayer([
        { dbh_in: 0, girth_in: 31.4159265 },
        { dbh_in: 20, stems_in: '12;?' },
      ]),
    );
    expect(table.dbhM[0]).toBeCloseTo(0.254, 6);
    expect(table.stemsM.has(1)).toBe(false);
    expect(table.dbhM[1]).toBeCloseTo(0.508, 12);
    expect(codes(findings)).toEqual(['number-unreadable']);
  });
});

describe('other fields', () => {
  it('reads crowns in quarters, words in any case and lengths', () => {
    const { table, findings } = checkTrees(
      treeLayer([
        {
          dbh_in: 10,
          crown_radius_m: 5,
          crown_n_m: 7,
          height_ft: 50,
          crown_base_m: 2,
          accuracy_cm: 5,
          base_dia_in: 14,
          disposition: 'REMOVE',
          age: 'Over-mature',
          tolerance: 'Poor',
          form: ' Columnar ',
          species: 'Quercus alba',
        },
        { dbh_in: 10, disposition: 'maybe', age: 'old', common_name: 'white oak' },
      ]),
    );
    expect([...table.crownM.slice(0, 4)]).toEqual([7, 5, 5, 5]);
    expect(table.heightM[0]).toBeCloseTo(15.24, 12);
    expect(table.accuracyM[0]).toBeCloseTo(0.05, 12);
    expect(table.baseDiaM[0]).toBeCloseTo(0.3556, 12);
    expect([table.disposition[0], table.age[0], table.tolerance[0]]).toEqual([1, 2, 2]);
    expect(table.form).toEqual(['columnar', undefined]);
    expect(table.species).toEqual(['Quercus alba', 'white oak']);
    expect([table.disposition[1], table.age[1]]).toEqual([3, 2]);
    expect(findings.map((f) => [f.code, f.path])).toEqual([['disposition-unknown', 'properties.disposition']]);
  });
});

describe('identity', () => {
  it('takes id, feature id, tag, then layer and row; doubles get a number', () => {
    const b = new LayerBuilder('t.geojson', 'geojson');
    const rows: [Record<string, unknown>, (string | number)?][] = [
      [{ id: 'A', tag: 'x', dbh_in: 9 }, 'f'],
      [{ tag: 'x', dbh_in: 9 }, 0],
      [{ tag: 'T3', dbh_in: 9 }],
      [{ dbh_in: 9 }],
      [{ id: 'A', dbh_in: 9 }],
      [{ id: 'A', dbh_in: 9 }],
      [{ id: 'A#2', dbh_in: 9 }],
    ];
    rows.forEach(([properties, id], i) => {
      b.begin('point');
      b.part();
      b.ring();
      b.vertex(i, 0);
      b.end(properties, id);
    });
    const { table, findings } = checkTrees(b.finish({ crs: null, sha256: null }));
    expect(named(table.key)).toEqual(['A', '0', 'T3', 't.geojson:3', 'A#2', 'A#3', 'A#2#2']);
    expect(new Set(named(table.key)).size).toBe(7);
    expect(findings.filter((f) => f.code === 'duplicate-id').map((f) => f.feature)).toEqual([4, 5, 6]);
    expect(findings[0]?.message).toContain('"A"');
  });

  it('names both trees of one place, near the origin and far from it, and none a hand apart', () => {
    for (const [x, y] of [
      [0, 500],
      [2_000_000, 600_000],
    ] as const) {
      const at = [
        [x, y],
        [x + 0.001, y],
        [x, y],
        [x + 1e-7, y - 1e-7],
      ] as const;
      const rows = at.map((_, i) => ({ tag: `T${i}`, dbh_in: 5 }));
      const { table, findings } = checkTrees(treeLayer(rows, at));
      expect(findings.map((f) => f.message)).toEqual([
        'tree "T2" stands at the same place as tree "T0"; both are kept',
        'tree "T3" stands at the same place as tree "T0"; both are kept',
      ]);
      expect(table.rejected.size).toBe(0);
    }
  });

  it('in degrees, a metre apart is apart and equal is equal', () => {
    const at = [
      [-122.6, 45.5],
      [-122.600001, 45.5],
      [-122.6, 45.5],
    ] as const;
    const { findings } = checkTrees(
      treeLayer(
        at.map(() => ({ dbh_in: 5 })),
        at,
      ),
    );
    expect(findings.map((f) => f.feature)).toEqual([2]);
  });
});
