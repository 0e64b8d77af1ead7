import { describe, expect, it } from 'vitest';
import { assess, readLayer, readNotes } from '../../src/index.js';
import { stakeOutPieces } from '../../src/write/index.js';

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
const E0 = 7_650_000;
const N0 = 680_000;

function plan(): ReturnType<typeof assess> {
  const ring = [
    [40, 30],
    [88, 30],
    [88, 62],
    [60, 62],
    [60, 50],
    [40, 50],
    [40, 30],
  ].map(([x, y]) => [E0 + x!, N0 + y!]);
  const works = {
    type: 'FeatureCollection',
    features: [
      {
        type: 'Feature',
        properties: { id: 'H 1', kind: 'building' },
        geometry: { type: 'Polygon', coordinates: [ring] },
      },
    ],
  };
  return assess({
    trees: readLayer(bytes(`id,easting,northing,dbh_in\nT1,${E0 + 20},${N0 + 40},20\n`), { name: 'trees.csv' }),
    works: [{ layer: readLayer(bytes(JSON.stringify(works)), { name: 'works.geojson' }) }],
    options: { crs: 'EPSG:2913', fences: {} },
  });
}

const STAKES = [
  { name: 'A', easting: E0, northing: N0 },
  { name: 'B', easting: E0 + 130, northing: N0 + 4 },
  { name: 'C', easting: E0 + 10, northing: N0 + 110 },
];

describe('stake-out notes', () => {
  const text = [...stakeOutPieces(plan(), STAKES)].join('');
  const notes = readNotes(bytes(text), { name: 'stake-out.csv' });

  it('give, read back, the same corners to a millimetre', () => {
    const corners = notes.points.filter(({ name }) => name.startsWith('H-1:'));
    expect(corners.map(({ at }) => at!.map((v, i) => Number((v - [E0, N0][i]!).toFixed(2))))).toEqual([
      [40, 30],
      [88, 30],
      [88, 62],
      [60, 62],
      [60, 50],
      [40, 50],
    ]);
    const millimetre = 0.001 / 0.3048;
    const whole = [
      [40, 30],
      [88, 30],
      [88, 62],
      [60, 62],
      [60, 50],
      [40, 50],
    ];
    corners.forEach(({ at }, i) => {
      expect(Math.hypot(at![0] - E0 - whole[i]![0]!, at![1] - N0 - whole[i]![1]!)).toBeLessThan(millimetre);
    });
    expect(notes.outlines.map(({ name, kind }) => [name, kind])).toEqual([['H-1', 'building']]);
  });

  it('hold the corners of the fence and check diagonals', () => {
    const fence = notes.points.filter(({ name }) => /^F1-\d\d$/.test(name));
    expect(fence.length).toBeGreaterThan(3);
    expect(text).toMatch(/^H-1:3,,,,,H-1:1,\d/m);
    expect(notes.blunders).toEqual([]);
    expect(notes.degrees).toBeGreaterThan(20);
    expect(
      Math.max(...notes.readings.map(({ residual, reading }) => (reading.unit === 'deg' ? 0 : Math.abs(residual)))),
    ).toBeLessThan(1e-4);
  });

  it('need two stakes that reach the works', () => {
    expect(() => [...stakeOutPieces(plan(), STAKES.slice(0, 1))]).toThrow('two stakes or more');
    const twin = [STAKES[0]!, { ...STAKES[1]!, name: 'A' }];
    expect(() => [...stakeOutPieces(plan(), twin)]).toThrow('one name');
    const far = STAKES.map((stake) => ({ ...stake, northing: stake.northing + 3000 }));
    expect(() => [...stakeOutPieces(plan(), far)]).toThrow('within 100 m');
  });
});
