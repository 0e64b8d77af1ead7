// Works and lots: in: features good and bad; out: kinds, depths, cleaned rings, reasons; every row kept.
import { describe, expect, it } from 'vitest';
import { checkLots, checkWorks } from '../../src/check/index.js';
import { GEOMETRY_KINDS, LayerBuilder, WORKS_KINDS } from '../../src/model/index.js';
import {
  areaOf,
  evenOddArea,
  lineLayer,
  named,
  partsOf,
  polygonLayer,
  type Ring,
  shoelace,
  treeLayer,
} from '../support/check-layers.js';

const square = (x: number, y: number, side: number): Ring => [
  [x, y],
  [x + side, y],
  [x + side, y + side],
  [x, y + side],
  [x, y],
];

function one(rings: readonly Ring[]) {
  const { table, findings } = checkLots(polygonLayer([rings], [], 'lots.geojson'));
  return { table, findings, codes: findings.map((f) => f.code), parts: partsOf(table.geometry, 0) };
}

describe('kinds and columns', () => {
  it('reads kind from the feature, then the file, then takes building and says so once', () => {
    const a = polygonLayer(
      [0, 10, 20, 30].map((x) => [square(x, 0, 4)]),
      [{ kind: 'Paving' }, { kind: 'driveway' }, { kind: 'gazebo' }, {}],
      'a.geojson',
    );
    const { table, findings } = checkWorks([{ layer: a }, { layer: a, kind: 'trench' }]);
    expect([...table.kind].map((k) => WORKS_KINDS[k])).toEqual([
      'paving',
      'paving',
      'building',
      'building',
      'paving',
      'paving',
      'trench',
      'trench',
    ]);
    expect(findings.filter((f) => f.code === 'kind-assumed').map((f) => f.message)).toEqual([
      '2 of 4 features do not say what they are and were taken as building',
    ]);
    expect(findings.filter((f) => f.code === 'value-unknown').map((f) => [f.layer, f.feature])).toEqual([
      ['a.geojson', 2],
      ['a.geojson', 2],
    ]);
    expect([...table.layerOf]).toEqual([0, 0, 0, 0, 1, 1, 1, 1]);
    expect([...table.rowInLayer]).toEqual([0, 1, 2, 3, 0, 1, 2, 3]);
    expect(new Set(named(table.key)).size).toBe(8);
  });

  it('reads depth, height, option, flags and working space', () => {
    const layer = polygonLayer(
      [[square(0, 0, 4)], [square(9, 0, 4)], [square(18, 0, 4)]],
      [
        { id: 'H', kind: 'building', depth_ft: 8, height_m: 6, option: 'A', no_dig: 'Yes', temporary: 0 },
        { id: 'T', kind: 'fill', depth_ft: -2, no_dig: 'perhaps', temporary: true },
        { id: 'H', kind: 'bore', depth_ft: '0' },
      ],
    );
    const { table, findings } = checkWorks([{ layer, option: 'B' }], { overdigM: { building: 0.6 } });
    expect(named(table.key)).toEqual(['H', 'T', 'H#2']);
    expect(table.depthM[0]).toBeCloseTo(2.4384, 12);
    expect(table.depthM[1]).toBeNaN();
    expect(table.depthM[2]).toBe(0);
    expect(table.heightM[0]).toBe(6);
    expect(table.option).toEqual(['A', 'B', 'B']);
    expect([[...table.noDig], [...table.temporary]]).toEqual([
      [1, 0, 0],
      [0, 1, 0],
    ]);
    expect([...table.overdigM]).toEqual([0.6, 0, 0]);
    expect(findings.map((f) => [f.code, f.feature])).toEqual([
      ['duplicate-id', 2],
      ['number-unreadable', 1],
      ['value-unknown', 1],
      ['depth-unknown', null],
    ]);
  });

  it('tells same ids of two files apart, and says once what they are called', () => {
    const a = polygonLayer([[square(0, 0, 4)]], [{ id: 1, kind: 'fill', depth_m: 1 }], 'a.geojson');
    const b = polygonLayer([[square(0, 0, 4)]], [{ id: 1, kind: 'fill', depth_m: 1 }], 'b.geojson');
    const { table, findings } = checkWorks([{ layer: a }, { layer: b }]);
    expect(named(table.key)).toEqual(['1', 'b.geojson:1']);
    expect(findings).toHaveLength(1);
    expect(findings[0]).toMatchObject({
      code: 'duplicate-id',
      layer: 'b.geojson',
      feature: null,
      message:
        'one feature has the same id as a feature of an earlier file: "1" of this file is called "b.geojson:1" in the results, and where trees name it',
    });
  });
});

describe('lines', () => {
  it('need a width and a length', () => {
    const line: Ring = [
      [0, 0],
      [0, 0],
      [5, 0],
      [5, 0],
      [5, 5],
    ];
    const dot: Ring = [
      [1, 1],
      [1, 1],
    ];
    const rows = [{ width_ft: 2 }, {}, { width_ft: 0 }, { width_ft: 2 }];
    const layer = lineLayer(
      [line, line, line, dot],
      rows.map((r) => ({ kind: 'trench', depth_m: 1, ...r })),
    );
    const { table, findings } = checkWorks([{ layer }]);
    expect(table.count).toBe(4);
    expect(table.widthM[0]).toBeCloseTo(0.6096, 12);
    expect(partsOf(table.geometry, 0)).toEqual([
      [
        [
          [0, 0],
          [5, 0],
          [5, 5],
        ],
      ],
    ]);
    expect(GEOMETRY_KINDS[table.geometry.kind[0]!]).toBe('line');
    expect([...table.rejected]).toEqual([
      [1, ['width-missing']],
      [2, ['width-missing']],
      [3, ['line-empty']],
    ]);
    for (const row of [1, 2, 3]) expect(partsOf(table.geometry, row)).toEqual([]);
    expect(findings.map((f) => f.code)).toEqual(['width-missing', 'width-missing', 'line-empty']);
  });

  it('and points are neither works nor lots; lines are not lots', () => {
    const points = treeLayer([{}]);
    expect(checkWorks([{ layer: points }]).table.rejected.get(0)).toEqual(['geometry-type']);
    expect(checkLots(points).table.rejected.get(0)).toEqual(['geometry-type']);
    expect(checkLots(lineLayer([square(0, 0, 1)])).table.rejected.get(0)).toEqual(['geometry-type']);
  });
});

describe('sound rings', () => {
  it('lose closing and repeated vertices and are turned the right way', () => {
    const shell: Ring = [
      [0, 0],
      [0, 4],
      [0, 4],
      [4, 4],
      [4, 0],
      [0, 0],
      [0, 0],
    ];
    const { table, codes, parts } = one([shell, square(1, 1, 1)]);
    expect(codes).toEqual([]);
    expect(parts[0]!.map((ring) => ring.length)).toEqual([4, 4]);
    expect(parts[0]!.map(shoelace)).toEqual([16, -1]);
    expect(table.repaired.size).toBe(0);
  });

  it('are closed where they were open, with a finding', () => {
    const { findings, parts } = one([square(0, 0, 3).slice(0, 4)]);
    expect(findings).toMatchObject([{ code: 'ring-open', path: 'coordinates[0]', layer: 'lots.geojson', feature: 0 }]);
    expect(shoelace(parts[0]![0]!)).toBe(9);
  });

  it('may touch: a hole at a point of its shell, a hole with all corners on it, a shell at a point of itself', () => {
    const diamond: Ring = [
      [2, 0],
      [4, 2],
      [2, 4],
      [0, 2],
      [2, 0],
    ];
    const pinched: Ring = [
      [0, 0],
      [1, 1],
      [2, 0],
      [2, 2],
      [1, 1],
      [0, 2],
      [0, 0],
    ];
    expect(
      one([
        square(0, 0, 4),
        [
          [0, 0],
          [2, 1],
          [1, 2],
          [0, 0],
        ],
      ]).codes,
    ).toEqual([]);
    const inscribed = one([square(0, 0, 4), diamond]);
    expect(inscribed.codes).toEqual([]);
    expect(areaOf(inscribed.table.geometry, 0)).toBe(8);
    expect(one([pinched]).codes).toEqual([]);
  });

  it('of a multipolygon may overlap each other', () => {
    const b = new LayerBuilder('m.geojson', 'geojson');
    b.begin('multipolygon');
    for (const ring of [square(0, 0, 4), square(1, 1, 4), square(9, 9, 0)]) {
      b.part();
      b.ring();
      for (const [x, y] of ring) b.vertex(x, y);
    }
    b.end({});
    const { table, findings } = checkLots(b.finish({ crs: null, sha256: null }));
    expect(areaOf(table.geometry, 0)).toBe(32);
    expect(findings).toMatchObject([{ code: 'ring-short', path: 'coordinates[2][0]' }]);
    expect(table.rejected.size).toBe(0);
  });
});

describe('rings that are none', () => {
  it.each([
    [
      'two corners',
      [
        [
          [0, 0],
          [4, 4],
          [0, 0],
        ],
      ],
      'ring-short',
    ],
    [
      'one corner',
      [
        [
          [1, 1],
          [1, 1],
          [1, 1],
          [1, 1],
        ],
      ],
      'ring-short',
    ],
    [
      'there and back',
      [
        [
          [0, 0],
          [4, 4],
          [0, 0],
          [4, 4],
          [0, 0],
        ],
      ],
      'ring-short',
    ],
    [
      'three on a line',
      [
        [
          [0, 0],
          [1, 1],
          [4, 4],
          [0, 0],
        ],
      ],
      'polygon-empty',
    ],
    ['no rings', [], 'polygon-empty'],
    ['no vertices', [[]], 'ring-short'],
  ] as [string, Ring[], string][])('%s', (_, rings, reason) => {
    const { table, codes, parts } = one(rings);
    expect(table.rejected.get(0)).toEqual([reason]);
    expect(codes).toEqual([reason]);
    expect(parts).toEqual([]);
  });

  it('a short hole is dropped, the shell stays', () => {
    const { table, codes } = one([
      square(0, 0, 4),
      [
        [1, 1],
        [2, 2],
        [1, 1],
      ],
    ]);
    expect(codes).toEqual(['ring-short']);
    expect(areaOf(table.geometry, 0)).toBe(16);
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY, 1e300])('%d is not a coordinate', (bad) => {
    const { table, codes } = one([
      [
        [0, 0],
        [4, bad],
        [4, 4],
        [0, 0],
      ],
    ]);
    expect(table.rejected.get(0)).toEqual(['geometry-broken']);
    expect(codes).toEqual(['geometry-broken']);
  });
});

describe('crossing rings', () => {
  const bowTie: Ring = [
    [0, 0],
    [2, 2],
    [2, 0],
    [0, 2],
    [0, 0],
  ];
  const star: Ring = [0, 2, 4, 1, 3, 0].map((k) => [Math.cos((k * 2 * Math.PI) / 5), Math.sin((k * 2 * Math.PI) / 5)]);
  const figureEight: Ring = [
    [0, 0],
    [1, 1],
    [2, 2],
    [2, 0],
    [1, 1],
    [0, 2],
    [0, 0],
  ];
  const spike: Ring = [
    [0, 0],
    [4, 0],
    [4, 4],
    [9, 4],
    [4, 4],
    [0, 4],
    [0, 0],
  ];
  const offset = 0.3;
  // five tips of the star: each the triangle on a side of the inner pentagon
  const inner = Math.cos((2 * Math.PI) / 5) / Math.cos(Math.PI / 5);
  const tips = 5 * inner * Math.sin(Math.PI / 5) * (1 - inner * Math.cos(Math.PI / 5));

  it.each([
    ['bow-tie', [bowTie], 2, 2],
    ['figure-eight through a vertex', [figureEight], 2, 2],
    ['spike', [spike], 16, 1],
    ['pentagram: its middle is wound twice and is out', [star], tips, 5],
    ['hole outside its shell', [square(0, 0, 2), square(5, 5, 1)], 5, 2],
    ['hole that crosses its shell', [square(0, 0, 4), square(3, 1, 2)], 14 + 2, 2],
    ['hole with an edge on its shell', [square(0, 0, 4), square(0, 1, 2)], 12, 1],
    ['hole in a hole', [square(0, 0, 9), square(1, 1, 6), square(2, 2, 2)], 81 - 36 + 4, 2],
    ['hole equal to its shell', [square(0, 0, 4), square(0, 0, 4)], 0, 0],
  ] as [string, Ring[], number, number][])('%s', (_, rings, area, parts) => {
    for (const [x, y] of [
      [0, 0],
      [2_000_000, 600_000],
      [offset, -offset],
    ] as const) {
      const moved = rings.map((ring) => ring.map(([u, v]) => [u + x, v + y] as const));
      const { table, codes, parts: out } = one(moved);
      expect(out).toHaveLength(parts);
      expect(areaOf(table.geometry, 0)).toBeCloseTo(area, 6);
      expect(codes).toEqual(parts === 0 ? ['polygon-empty'] : ['ring-crossing']);
      expect(table.repaired.has(0)).toBe(parts > 0);
      for (const ring of out.flat()) expect(ring.length).toBeGreaterThan(2);
    }
  });

  it('say where, how much and what to do', () => {
    const { findings, table } = one([bowTie]);
    expect(findings).toMatchObject([
      {
        code: 'ring-crossing',
        path: 'coordinates[0][0]',
        message:
          'the ring crosses itself or another ring; repaired: area 0 before, 2 after, in square units of the layer (100.0 % changed)',
      },
    ]);
    expect(table.repaired.get(0)).toBe(1);
    const tiny = one([
      [
        [0, 0],
        [10, 0],
        [10, 10],
        [9, 10],
        [9.5, 10.5],
        [9.9, 9.9],
        [0, 10],
        [0, 0],
      ],
    ]);
    expect(tiny.table.repaired.get(0)).toBeLessThan(0.01);
  });

  it('keep corners that were there to the last bit', () => {
    const { parts } = one([bowTie.map(([x, y]) => [x + 2_000_000.123, y + 600_000.457] as const)]);
    const corners = parts.flat(2);
    for (const [x, y] of bowTie) {
      expect(corners).toContainEqual([x + 2_000_000.123, y + 600_000.457]);
    }
  });

  it('are found among many edges too', () => {
    const n = 500;
    const wheel: [number, number][] = Array.from({ length: n }, (_, k) => {
      const r = k % 2 === 0 ? 100 : 90;
      return [r * Math.cos((k * 2 * Math.PI) / n), r * Math.sin((k * 2 * Math.PI) / n)];
    });
    expect(one([[...wheel, wheel[0]!]]).codes).toEqual([]);
    const crossed = [...wheel];
    [crossed[200], crossed[300]] = [crossed[300]!, crossed[200]!];
    expect(one([[...crossed, crossed[0]!]]).codes).toEqual(['ring-crossing']);
    const outside = one([[...wheel, wheel[0]!], square(0, 0, 3), square(200, 0, 3)]);
    expect(outside.codes).toEqual(['ring-crossing']);
    expect(outside.findings[0]?.message).toContain('is a hole outside its shell');
  });

  it('of many edges are repaired with their holes, as a second way of summing finds', () => {
    const n = 400;
    const round = (r: number, x: number): [number, number][] =>
      Array.from({ length: n }, (_, k) => [
        x + r * Math.cos((k * 2 * Math.PI) / n),
        r * Math.sin((k * 2 * Math.PI) / n),
      ]);
    const crossed = round(100, 0);
    [crossed[10], crossed[90]] = [crossed[90]!, crossed[10]!];
    const rings = [crossed, round(20, 0), round(10, 0), round(15, 60), round(15, 95)];
    const { table, codes, parts } = one(rings.map((ring) => [...ring, ring[0]!]));
    expect(codes).toEqual(['ring-crossing']);
    expect(parts.length).toBeGreaterThan(2);
    expect(areaOf(table.geometry, 0)).toBeCloseTo(evenOddArea(rings), 2);
  });

  it('that are a scribble are refused, with a finding', () => {
    let seed = 1;
    const random = (): number => {
      seed = (seed * 1664525 + 1013904223) % 2 ** 32;
      return seed / 2 ** 32;
    };
    const scribble = Array.from({ length: 1000 }, () => [random() * 1000, random() * 1000] as const);
    const { table, findings, parts } = one([[...scribble, scribble[0]!]]);
    expect(table.rejected.get(0)).toEqual(['ring-crossing']);
    expect(parts).toEqual([]);
    expect(findings[0]?.message).toContain('could not be repaired; the feature was not used');
  });
});
