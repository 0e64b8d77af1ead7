// The scripts' reader of datum operations: signs, pivots and meridians against the worked examples of IOGP's Guidance Note
// 7-2 (EPSG's own), and against PROJ by its `cct` where it is installed.
import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { helmert, towgs84Of } from '../../scripts/lib/epsg-operations.mjs';

type Point = readonly [number, number, number];
const near = (ours: Point, theirs: readonly number[], limitM: number) => {
  for (const [i, value] of ours.entries()) expect(Math.abs(value - theirs[i]!)).toBeLessThan(limitM);
};
const moved = ({ turn, move }: ReturnType<typeof helmert>, [x, y, z]: Point): Point => {
  const row = (r: number) => turn[3 * r]! * x + turn[3 * r + 1]! * y + turn[3 * r + 2]! * z + move[r]!;
  return [row(0), row(1), row(2)];
};

// Guidance Note 7-2, 4.3.3.1 and 4.3.3.2: WGS 72 to WGS 84, the same figures with the rotation counted either way; 4.3.4:
// La Canoa to REGVEN (EPSG:1771), a coordinate frame turned about a point of its own.
const WGS72: Point = [3657660.66, 255768.55, 5201382.11];
const WGS84: Point = [3657660.78, 255778.43, 5201387.75];
const PIVOT = [2464351.59, -5783466.61, 974809.81];

describe('operations of EPSG', () => {
  it.each([
    ['position vector', { t: [0, 0, 4.5], r: [0, 0, 0.554], ppm: 0.219, sign: 1 }, WGS72, WGS84],
    ['coordinate frame', { t: [0, 0, 4.5], r: [0, 0, -0.554], ppm: 0.219, sign: -1 }, WGS72, WGS84],
    [
      'Molodensky-Badekas',
      { t: [-270.933, 115.599, -360.226], r: [-5.266, -1.238, 2.381], ppm: -5.109, sign: -1, pivot: PIVOT },
      [2550408.96, -5749912.26, 1054891.11],
      [2550138.46, -5749799.87, 1054530.82],
    ],
  ] as const)('%s gives the worked example within its own rounding', (_, values, from, to) => {
    const map = helmert(values);
    near(moved(map, from as Point), to, 0.006);
    // As a +towgs84 the map is the same: its pivot is in the translations, its rotations are a position vector's.
    const [x = 0, y = 0, z = 0, rx = 0, ry = 0, rz = 0, ppm = 0] = towgs84Of(map);
    const again = helmert({ t: [x, y, z], r: [rx, ry, rz], ppm, sign: 1 });
    near(moved(again, from as Point), to, 0.006);
  });

  const present = spawnSync('cct', ['-d', '6', '+proj=noop'], { input: '0 0 0 0\n' }).status === 0;
  it.skipIf(!present)(
    'agree with PROJ to a micrometre (skipped where cct is not installed: apt-get install proj-bin)',
    () => {
      const words = '+proj=molobadekas +x=-270.933 +y=115.599 +z=-360.226 +rx=-5.266 +ry=-1.238 +rz=2.381 +s=-5.109';
      const pivot = `+convention=coordinate_frame +px=${PIVOT[0]} +py=${PIVOT[1]} +pz=${PIVOT[2]}`;
      const run = spawnSync('cct', ['-d', '9', ...`${words} ${pivot}`.split(' ')], {
        input: '2550408.96 -5749912.26 1054891.11 0\n',
        encoding: 'utf8',
      });
      const theirs = run.stdout.trim().split(/\s+/).map(Number);
      const map = helmert({
        t: [-270.933, 115.599, -360.226],
        r: [-5.266, -1.238, 2.381],
        ppm: -5.109,
        sign: -1,
        pivot: PIVOT,
      });
      near(moved(map, [2550408.96, -5749912.26, 1054891.11]), theirs, 1e-6);
    },
  );
});
