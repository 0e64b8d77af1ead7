// Ways from a datum to WGS 84: places held against PROJ 9.1.1, and a sample against PROJ itself where it is installed.
// The whole table is held against PROJ by scripts/check-datums.mjs; docs/coordinates.md has its result.
import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { type CrsRow, datumRow, rows, unfold } from '../../src/crs/crs-table.js';
import { findCrs, transformFor } from '../../src/crs/index.js';
import { inverse } from '../support/geodesy.js';

const RAD = Math.PI / 180;
function apartM([lon, lat]: readonly number[], [lon2, lat2]: readonly number[]): number {
  return Math.hypot((lon! - lon2!) * 111_320 * Math.cos(lat! * RAD), (lat! - lat2!) * 111_133);
}

// System, easting, northing; longitude, latitude by PROJ 9.1.1 with the operation named: `projinfo -s EPSG:x -t EPSG:4326
// --bbox ...`, its PROJ string through `cct -d 11`. The metres are what was wrong when they were not read so.
const PLACES: readonly (readonly [string, number, number, number, number])[] = [
  ['EPSG:5683', 3510000, 5600000, 9.14000601568, 50.53565941052], // DB_REF, EPSG:5826 and 1149; 178 m
  ['EPSG:2312', 400000, 1000000, 14.08900565478, 9.04554658343], // Garoua, by WGS 72BE, EPSG:8631; 25 m
  ['EPSG:2096', 250000, 500000, 129.56698218993, 38.00138716947], // Korean 1985, EPSG:5191; 20 m
  ['EPSG:8433', 20000, 20000, 113.53947169077, 22.21119963368], // Macao 1920, EPSG:8438; 36 m
  ['EPSG:3987', 90000, 223000, 26.99213967188, -11.50432493666], // Katanga 1955, EPSG:4068; 217 m
  ['EPSG:24718', 1000000, 1000000, -70.45746375427, 9.01510333336], // La Canoa, EPSG:1096; 183 m
  ['EPSG:20354', 500000, 7000000, 141.00123548766, -27.12086417071], // AGD84, EPSG:1669; 194 m
  ['EPSG:27572', 600000, 2200000, 2.33653360836, 46.79994878113], // NTF (Paris), EPSG:1763 and 1193; 50 m
  ['EPSG:31252', 0, 270000, 13.33258942684, 47.56874931184], // MGI (Ferro), EPSG:3895 and 1618; 186 m
  ['EPSG:21780', 50000, 50000, 8.10096347496, 47.39892497922], // Bern 1898 (Bern), EPSG:1765 and 1766
  ['EPSG:20790', 200000, 300000, -8.13310311, 39.66825776139], // Lisbon (Lisbon), EPSG:1756 and 1988
  ['EPSG:27393', 20000, 500000, 11.10565457079, 62.48815120729], // NGO 1948 (Oslo), EPSG:1762 and 1654
];

describe('a datum on its way to WGS 84', () => {
  it.each(PLACES)('%s at %d, %d', (code, east, north, lon, lat) => {
    expect(apartM(inverse(transformFor(findCrs(code)), east, north), [lon, lat])).toBeLessThan(0.003);
  });

  it('says how good the way is, or that nobody says', () => {
    for (const row of rows().values()) {
      const { operation, accuracyM } = datumRow(row.datum);
      if (operation.startsWith('unknown') || operation.endsWith('another place')) expect(accuracyM).toBeNull();
      else expect(accuracyM === null || accuracyM >= 0).toBe(true);
      expect(accuracyM).not.toBe(999); // EPSG's mark for "not known" is no accuracy
    }
  });
});

const run = (program: string, args: readonly string[], input = ''): string =>
  spawnSync(program, args, { input, encoding: 'utf8' }).stdout ?? '';
const present = run('projinfo', ['EPSG:4326', '-q', '-o', 'PROJ']).includes('+proj');

/** Where a PROJ pipeline from degrees, latitude first, puts a place given longitude first. */
function through(pipeline: string, [lon, lat]: readonly number[]): readonly number[] {
  const text = run('cct', ['-d', '12', ...pipeline.split(' ')], `${lat!.toFixed(12)} ${lon!.toFixed(12)} 0 0\n`);
  const [north, east] = text.trim().split(/\s+/).map(Number);
  return [east!, north!];
}

function middleOf(row: CrsRow): readonly [number, number] | null {
  const area = unfold(row).areaOfUse;
  if (area === null || area[2] < area[0]) return null;
  return [(area[0] + area[2]) / 2, (area[1] + area[3]) / 2];
}

describe.skipIf(!present)('beside PROJ (skipped where projinfo is not installed: apt-get install proj-bin)', () => {
  const oneOfEach = new Map<string, CrsRow>();
  for (const row of rows().values()) {
    const { shift, code, pm } = datumRow(row.datum);
    if (shift !== '' && pm === '' && !oneOfEach.has(`${code} ${shift}`)) oneOfEach.set(`${code} ${shift}`, row);
  }
  const sample = [...oneOfEach.values()].filter((_, i) => i % 14 === 0);

  it('the sample is a fair one', () => {
    expect(oneOfEach.size).toBeGreaterThan(300);
    expect(sample.length).toBeGreaterThan(20);
  });

  it.each(sample.map((row) => [datumRow(row.datum).operation, row] as const))('%s', (operation, row) => {
    const middle = middleOf(row);
    const codes = [...operation.matchAll(/\(EPSG:(\d+)\)/g)].map(([, code]) => `EPSG:${code}`);
    const steps = codes.map((code) =>
      run('projinfo', ['-k', 'operation', code, '-o', 'PROJ', '-q', '--single-line']).trim(),
    );
    if (middle === null || !steps.every((step) => step.startsWith('+proj=pipeline') || step === '+proj=noop')) return;
    const { ellipsoid, shift } = datumRow(row.datum);
    const proj = `+proj=longlat ${ellipsoid} +towgs84=${shift} +no_defs`;
    const own = Float64Array.from(middle);
    transformFor({ ...findCrs('EPSG:4326'), proj }).fromLonLat(own);
    let place: readonly number[] = [...own];
    for (const step of steps) if (step !== '+proj=noop') place = through(step, place);
    expect(apartM(place, middle)).toBeLessThan(0.003);
  });
});
