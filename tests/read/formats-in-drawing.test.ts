// DXF -> Layer: entities, arcs against their exact areas, drawing layers and kinds, units, damage.

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkWorks } from '../../src/check/index.js';
import { placeLayers } from '../../src/crs/index.js';
import { bulgeArc, centreArc } from '../../src/geometry/curves/arc.js';
import { InputError } from '../../src/model/findings.js';
import type { Layer } from '../../src/model/index.js';
import { readDxf } from '../../src/read/dxf.js';
import { type ReadOptions, readLayer } from '../../src/read/index.js';
import { dxf, entity, type Group, lwpolyline } from '../support/dxf.js';
import { bytesOf, codesOf, coordinatesOf, kindOf } from '../support/layers.js';
import { runs } from '../support/runs.js';

const read = (text: string, options: Partial<ReadOptions> = {}): Layer =>
  readDxf(bytesOf(text), { name: 'site.dxf', ...options });
const refusal = (act: () => unknown): InputError => {
  try {
    act();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('nothing was refused');
};
const area = (ring: readonly (readonly number[])[]): number => {
  const [ox = 0, oy = 0] = ring[0] ?? [];
  let sum = 0;
  for (let i = 0; i < ring.length; i++) {
    const [ax = 0, ay = 0] = ring[i] ?? [];
    const [bx = 0, by = 0] = ring[(i + 1) % ring.length] ?? [];
    sum += (ax - ox) * (by - oy) - (bx - ox) * (ay - oy);
  }
  return sum / 2;
};
const ringOf = (layer: Layer, f: number): number[][] => (coordinatesOf(layer, f) as number[][][])[0]!;

describe('entities', () => {
  it('reads points, blocks with attributes, texts and lines with their properties', () => {
    const layer = read(
      dxf([
        entity('POINT', 'V-NODE', [10, 7650000.25], [20, 680000.5], [30, 312.4]),
        [
          ...entity(
            'INSERT',
            'V-TREE',
            [5, '2F'],
            [66, 1],
            [2, 'TREE'],
            [10, 7650010],
            [20, 680010],
            [30, 0],
            [50, 45],
          ),
          ...entity('ATTRIB', 'V-TREE', [1, '24'], [2, 'DBH_IN'], [10, 1], [20, 1]),
          ...entity('ATTRIB', 'V-TREE', [1, '0012'], [2, 'TAG'], [10, 1], [20, 1]),
          [0, 'SEQEND'],
        ],
        entity('TEXT', 'V-TEXT', [10, 1], [20, 2], [1, 'OAK 24%%d \\U+00E9'], [72, 1], [11, 5], [21, 6]),
        entity('MTEXT', 'V-TEXT', [10, 3], [20, 4], [3, '{\\fArial|b0;OAK}'], [1, '\\P24"']),
        entity('LINE', 'C-UTIL', [10, 1], [20, 2], [11, 5], [21, 6]),
      ]),
    );
    expect(Array.from({ length: 5 }, (_, f) => [kindOf(layer, f), coordinatesOf(layer, f)])).toEqual([
      ['point', [7650000.25, 680000.5, 312.4]],
      ['point', [7650010, 680010, 0]],
      ['point', [5, 6]],
      ['point', [3, 4]],
      [
        'line',
        [
          [1, 2],
          [5, 6],
        ],
      ],
    ]);
    expect([1, 2, 3].map((f) => layer.properties(f))).toEqual([
      { layer: 'V-TREE', entity: 'INSERT', handle: '2F', block: 'TREE', rotation: 45, DBH_IN: 24, TAG: '0012' },
      { layer: 'V-TEXT', entity: 'TEXT', text: 'OAK 24° é' },
      { layer: 'V-TEXT', entity: 'MTEXT', text: 'OAK\n24"' },
    ]);
    expect([layer.format, layer.crs, layer.findings, layer.setAside]).toEqual(['dxf', null, [], undefined]);
  });

  it('reads polylines of both kinds, closed ones as polygons; a constant width is named by the unit', () => {
    const square = [
      [0, 0],
      [4, 0],
      [4, 4],
      [0, 4],
    ];
    const heavy: Group[] = [
      ...entity('POLYLINE', 'A', [66, 1], [10, 0], [20, 0], [30, 9], [70, 1]),
      ...square.flatMap(([x = 0, y = 0]) => entity('VERTEX', 'A', [10, x], [20, y], [30, 0])),
      [0, 'SEQEND'],
      [8, 'A'],
    ];
    const layer = read(dxf([lwpolyline('A', square, true), heavy, lwpolyline('A', square, false, [43, 0.5])], 6));
    expect([0, 1, 2].map((f) => [kindOf(layer, f), coordinatesOf(layer, f)])).toEqual([
      ['polygon', [[...square, [0, 0]]]],
      ['polygon', [[...square, [0, 0]].map((p) => [...p, 9])]],
      ['line', square],
    ]);
    expect(layer.properties(2)).toEqual({ layer: 'A', entity: 'LWPOLYLINE', width_m: 0.5 });
    expect(read(dxf([lwpolyline('A', square, false, [43, 0.5])])).properties(0)).toHaveProperty('line_width', 0.5);
    expect(read(dxf([lwpolyline('A', [...square, [0, 0]], false)])).geometry.kind[0]).toBe(layer.geometry.kind[0]);
  });

  it('places each block of an array', () => {
    const layer = read(
      dxf([entity('INSERT', 'T', [2, 'TREE'], [10, 100], [20, 200], [50, 90], [70, 2], [71, 2], [44, 10], [45, 3])]),
    );
    const at = [0, 1, 2, 3].map((f) => (coordinatesOf(layer, f) as number[]).map((v) => Math.round(v * 1e9) / 1e9));
    expect(at).toEqual([
      [100, 200],
      [100, 210],
      [97, 200],
      [97, 210],
    ]);
  });

  it('mirrors what is drawn from behind, and refuses tilted planes', () => {
    const layer = read(
      dxf([
        lwpolyline(
          'A',
          [
            [0, 0, 1],
            [-2, 0],
          ],
          true,
          [210, 0],
          [220, 0],
          [230, -1],
        ),
        entity('CIRCLE', 'A', [10, 1], [20, 2], [40, 3], [210, 0.6], [220, 0], [230, 0.8]),
      ]),
    );
    const ring = ringOf(layer, 0);
    // In its own plane the arc runs anticlockwise from (0,0) to (-2,0), above; mirrored: from (0,0) to (2,0), above.
    expect(Math.max(...ring.map(([, y = 0]) => y))).toBeCloseTo(1, 2);
    expect(Math.min(...ring.map(([, y = 0]) => y))).toBe(0);
    expect(area(ring)).toBeCloseTo(-Math.PI / 2, 2);
    expect([kindOf(layer, 1), codesOf(layer)]).toEqual(['broken', ['geometry-broken', 'arc-chorded']]);
  });

  it('keeps kinds that are not read and layouts, set aside with one finding each', () => {
    const layer = read(
      dxf([
        entity('LEADER', 'A', [10, 1]),
        entity('LEADER', 'A', [10, 1]),
        entity('LINE', 'A', [67, 1], [10, 0], [20, 0], [11, 1], [21, 1]),
        entity('VIEWPORT', '0', [67, 1]),
        lwpolyline(
          'A',
          [
            [0, 0],
            [1, 0],
            [1, 1],
          ],
          true,
        ),
      ]),
    );
    expect([layer.count, codesOf(layer)]).toEqual([4, ['entity-unread', 'paper-space']]);
    expect([...(layer.setAside ?? [])]).toEqual([
      [0, 'entity-unread'],
      [1, 'entity-unread'],
      [2, 'paper-space'],
    ]);
    const { table, findings } = checkWorks([{ layer, kind: 'building' }]);
    expect([...table.rejected]).toEqual([
      [0, ['entity-unread']],
      [1, ['entity-unread']],
      [2, ['paper-space']],
    ]);
    expect(findings).toEqual([]);
  });
});

describe('arcs', () => {
  const sagitta = 0.001;

  it.each([
    // bulge, exact area of the segment between chord and arc for a chord of 2: r^2 (theta - sin theta) / 2
    [1, Math.PI / 2],
    [-1, -Math.PI / 2],
    [Math.tan(Math.PI / 8), (2 * (Math.PI / 2 - 1)) / 2], // a quarter circle: r = sqrt 2
    [Math.tan((3 * Math.PI) / 8), (2 * ((3 * Math.PI) / 2 + 1)) / 2], // three quarters
  ])('a bulge of %f bounds its exact area, on its right side', (bulge, exact) => {
    const layer = read(
      dxf(
        [
          lwpolyline(
            'A',
            [
              [0, 0, bulge],
              [2, 0],
            ],
            true,
          ),
        ],
        6,
      ),
    );
    const ring = ringOf(layer, 0);
    // Travelling from (0,0) to (2,0), a positive bulge lies to the right: below the x axis, so the ring is anticlockwise.
    expect(Math.sign(area(ring))).toBe(Math.sign(bulge));
    const length = Math.abs(4 * Math.atan(bulge)) * (1 / Math.abs(Math.sin(2 * Math.atan(bulge))));
    expect(Math.abs(exact) - Math.abs(area(ring))).toBeGreaterThan(0); // chords lie inside
    expect(Math.abs(exact) - Math.abs(area(ring))).toBeLessThan((2 / 3) * sagitta * length * 1.01);
    expect(layer.findings).toMatchObject([{ code: 'arc-chorded', severity: 'info', feature: 0 }]);
  });

  it('a circle keeps within 1 mm whatever the unit', () => {
    for (const [units, metres] of [
      [6, 1],
      [2, 0.3048],
      [4, 0.001],
    ] as const) {
      const radius = 5 / metres;
      const layer = read(dxf([entity('CIRCLE', 'A', [10, 2e6], [20, 7e5], [40, radius])], units));
      const ring = ringOf(layer, 0);
      expect(kindOf(layer, 0)).toBe('polygon');
      expect(ring[0]).toEqual(ring.at(-1));
      for (let i = 1; i < ring.length; i++) {
        const [ax = 0, ay = 0] = ring[i - 1] ?? [];
        const [bx = 0, by = 0] = ring[i] ?? [];
        const inside = radius - Math.hypot((ax + bx) / 2 - 2e6, (ay + by) / 2 - 7e5);
        expect(inside * metres).toBeLessThan(0.001001);
      }
      const lost =
        Math.PI * 25 - Math.abs(area(ring.map(([x = 0, y = 0]) => [(x - 2e6) * metres, (y - 7e5) * metres])));
      expect(lost).toBeGreaterThan(0);
      expect(lost).toBeLessThan((2 / 3) * 0.001 * 2 * Math.PI * 5 * 1.01);
    }
  });

  it('an arc entity runs anticlockwise between its angles', () => {
    const layer = read(dxf([entity('ARC', 'A', [10, 0], [20, 0], [40, 2], [50, 350], [51, 80])], 6));
    const line = coordinatesOf(layer, 0) as number[][];
    expect(kindOf(layer, 0)).toBe('line');
    for (const [x = 0, y = 0] of line) expect(Math.hypot(x, y)).toBeCloseTo(2, 12);
    expect(line[0]?.[1]).toBeCloseTo(2 * Math.sin((350 * Math.PI) / 180), 12);
    expect(Math.min(...line.map(([x = 0]) => x))).toBeCloseTo(2 * Math.cos((80 * Math.PI) / 180), 12);
  });

  it('both ways of giving an arc agree, at any place and size', () => {
    const size = fc.double({ min: -1000, max: 1000, noNaN: true });
    fc.assert(
      fc.property(
        size,
        size,
        size,
        size,
        fc.double({ min: 0.01, max: 20, noNaN: true }),
        fc.boolean(),
        (x0, y0, x1, y1, b, left) => {
          fc.pre(Math.hypot(x1 - x0, y1 - y0) * b > 0.03); // lower arcs are their chord, by whichever way they are given
          const bulge = left ? b : -b;
          const one: number[] = [];
          bulgeArc(x0, y0, x1, y1, bulge, 0.01, (x, y) => one.push(x, y));
          const h = (1 - bulge * bulge) / (4 * bulge);
          const centre = [(x0 + x1) / 2 - (y1 - y0) * h, (y0 + y1) / 2 + (x1 - x0) * h] as const;
          const radius = Math.hypot(x0 - centre[0], y0 - centre[1]);
          let worst = 0;
          for (let i = 0; i < one.length; i += 2) {
            const arm = Math.hypot((one[i] ?? 0) - centre[0], (one[i + 1] ?? 0) - centre[1]);
            worst = Math.max(worst, Math.abs(arm / radius - 1));
          }
          expect(worst).toBeLessThan(1e-9);
          const two: number[] = [];
          centreArc([x0, y0], [x1, y1], centre, bulge > 0, 0.01, (x, y) => two.push(x, y));
          expect(Math.abs(two.length - one.length)).toBeLessThanOrEqual(2); // rounding at a whole number of chords
          if (two.length === one.length)
            expect(Math.max(0, ...two.map((v, i) => Math.abs(v - (one[i] ?? 0))))).toBeLessThan(1e-6 * (1 + radius));
        },
      ),
      { numRuns: runs(200) },
    );
  });
});

describe('drawing layers', () => {
  const square = (layer: string, x: number) =>
    lwpolyline(
      layer,
      [
        [x, 0],
        [x + 4, 0],
        [x + 4, 4],
        [x, 4],
      ],
      true,
    );
  const drawing = dxf([square('A-BLDG', 0), square('C-DRIV', 10), square('A-GRID', 20), square('a-bldg', 30)]);

  it('maps layers to kinds; the others are kept and set aside, listed in one finding', () => {
    const layer = read(drawing, { layerKinds: { 'A-BLDG': 'building', 'C-DRIV': 'paving' } });
    expect([0, 1, 2, 3].map((f) => layer.properties(f).kind)).toEqual(['building', 'paving', undefined, 'building']);
    expect([...(layer.setAside ?? [])]).toEqual([[2, 'layer-not-mapped']]);
    expect(layer.findings).toMatchObject([
      { code: 'layer-not-mapped', feature: 2, message: expect.stringContaining('A-GRID (1)') },
    ]);
    const { table, findings } = checkWorks([{ layer }]);
    expect([...table.rejected]).toEqual([[2, ['layer-not-mapped']]]);
    expect(findings.map((f) => f.code)).toEqual(['depth-unknown']); // of the paving; nothing was assumed a building
  });

  it('picks one layer without a kind; without a choice it is asked for, and * is every layer', () => {
    const layer = read(drawing, { layer: 'c-driv' });
    expect([...(layer.setAside?.keys() ?? [])]).toEqual([0, 2, 3]);
    expect(read(drawing).setAside).toBeUndefined();
    const asked = refusal(() => checkWorks([{ layer: read(drawing) }]));
    expect([asked.code, asked.choices]).toEqual(['layer-several', ['A-BLDG', 'C-DRIV', 'A-GRID']]);
    const all = checkWorks([{ layer: read(drawing, { layer: '*' }) }]);
    expect(all.findings.map((f) => f.code)).toEqual(['kind-assumed']);
  });

  it('refuses layers of which none is there, and names those that are', () => {
    const error = refusal(() => read(drawing, { layerKinds: { 'A-BUILD': 'building' } }));
    expect([error.code, error.cure]).toEqual(['layer-missing', expect.stringContaining('A-BLDG, C-DRIV, A-GRID')]);
    const some = read(drawing, { layerKinds: { 'A-BUILD': 'building', 'C-DRIV': 'paving' } });
    expect(some.findings[0]).toMatchObject({ code: 'layer-not-mapped', message: expect.stringContaining('A-BUILD') });
  });
});

describe('units', () => {
  const conflicts = (insUnits: number | undefined, crs: string): string[] => {
    const layer = read(dxf([entity('POINT', 'A', [10, 7650000], [20, 680000])], insUnits));
    return placeLayers([{ role: 'works', layer }], { crs })
      .findings.filter((f) => f.code === 'crs-unit-conflict')
      .map((f) => f.message);
  };

  it('compares $INSUNITS with the coordinate system', () => {
    expect(conflicts(2, 'EPSG:2913')).toEqual([]); // feet, either
    expect(conflicts(undefined, 'EPSG:2913')).toEqual([]);
    expect(conflicts(0, 'EPSG:2913')).toEqual([]);
    expect(conflicts(1, 'EPSG:2913')).toEqual([expect.stringContaining('inches ($INSUNITS 1)')]);
    expect(conflicts(21, 'EPSG:2913')).toEqual([expect.stringContaining('US survey feet')]); // 2913: international
    expect(read(dxf([], 6)).unit).toEqual({ unit: 'm', metresPerUnit: 1, from: '$INSUNITS 6' });
  });
});

describe('damage', () => {
  const good = dxf([
    lwpolyline(
      'A',
      [
        [0, 0, 0.5],
        [4, 0],
        [4, 4],
      ],
      true,
    ),
    [
      ...entity('POLYLINE', 'A', [66, 1], [70, 0]),
      ...entity('VERTEX', 'A', [10, 0], [20, 0]),
      ...entity('VERTEX', 'A', [10, 1], [20, 1]),
      [0, 'SEQEND'],
    ],
    entity('POINT', 'A', [10, 1], [20, 2]),
  ]);

  it('refuses a drawing that is cut off anywhere in its entities, by line', () => {
    const lines = good.split('\r\n');
    const start = lines.indexOf('ENTITIES') + 1;
    const end = lines.lastIndexOf('ENDSEC');
    for (let n = start; n <= end - 1; n++) {
      const error = refusal(() => read(lines.slice(0, n).join('\r\n')));
      expect([error.code, error.layer]).toEqual(['dxf-truncated', 'site.dxf']);
    }
  });

  it('names the line where code and value got out of step', () => {
    const lines = good.split('\r\n');
    lines.splice(12, 1);
    const error = refusal(() => read(lines.join('\r\n')));
    expect([error.code, error.path]).toEqual(['dxf-broken', expect.stringMatching(/^line \d+$/)]);
  });

  it('keeps broken entities with a finding; a polyline without SEQEND does not hang', () => {
    const layer = read(
      dxf([
        entity('POINT', 'A', [10, 'x'], [20, 2]),
        entity('LINE', 'A', [10, 0], [20, 0]),
        entity('CIRCLE', 'A', [10, 0], [20, 0], [40, -1]),
        lwpolyline('A', [[0, 0]], true),
        entity('LWPOLYLINE', 'A', [90, 3], [10, 0], [20, 0], [10, 1], [20, 1]),
        [
          ...entity('POLYLINE', 'A', [66, 1]),
          ...entity('VERTEX', 'A', [10, 0], [20, 0]),
          ...entity('VERTEX', 'A', [10, 3], [20, 0]),
        ],
        entity('POINT', 'A', [10, 1], [20, 2]),
      ]),
    );
    expect(Array.from(layer.geometry.kind, (_, f) => kindOf(layer, f))).toEqual([
      'broken',
      'broken',
      'broken',
      'broken',
      'broken',
      'line',
      'point',
    ]);
    expect(layer.findings.map((f) => [f.code, f.feature])).toEqual([0, 1, 2, 3, 4].map((f) => ['geometry-broken', f]));
    for (const f of layer.findings) expect(f.path).toMatch(/at line \d+/);
  });

  it('refuses binary drawings and DWG by name', () => {
    expect(refusal(() => read('AutoCAD Binary DXF\r\n\u001a\0')).code).toBe('dxf-binary');
    expect(refusal(() => readLayer(bytesOf('AC1027\0\0\0 something'), { name: 'site.dwg' })).message).toContain('DWG');
    expect(refusal(() => read('  0\r\nSECTION\r\n  2\r\nTABLES\r\n  0\r\nENDSEC\r\n  0\r\nEOF\r\n')).code).toBe(
      'dxf-empty',
    );
  });

  it('survives any change of bytes: a layer or an InputError, no NaN', () => {
    const bytes = bytesOf(good);
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat(bytes.length - 1), fc.nat(255)), { minLength: 1, maxLength: 6 }),
        (changes) => {
          const copy = bytes.slice();
          for (const [at, value] of changes) copy[at] = value;
          try {
            const layer = readDxf(copy, { name: 'site.dxf', format: 'dxf' });
            expect(layer.geometry.xy.every(Number.isFinite)).toBe(true);
          } catch (error) {
            expect(error).toBeInstanceOf(InputError);
          }
        },
      ),
      { numRuns: runs(300) },
    );
  });
});
