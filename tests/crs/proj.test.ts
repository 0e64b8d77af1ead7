// Side by side with PROJ (`cs2cs`): a sample of the table, the frames, and the table's own strings.
// The whole table is compared by scripts/check-crs-table.mjs.

import { describe, expect, it } from 'vitest';
import { datumRow, rows, unfold } from '../../src/crs/crs-table.js';
import { frameAt, transformFor } from '../../src/crs/index.js';
import { cs2cs } from '../support/geodesy.js';

const present = cs2cs('EPSG:4326', 'EPSG:3857', ['0 0']) !== null;

describe.skipIf(!present)('beside PROJ (skipped where cs2cs is not installed: apt-get install proj-bin)', () => {
  const projected = [...rows().values()].filter((row) => row.conversion >= 0);
  const sample = projected.filter((_, i) => i % 180 === 0);
  it('the sample is a fair one', () => {
    expect(projected.length).toBeGreaterThan(5000);
    expect(sample.length).toBeGreaterThan(25);
  });

  it.each(sample.map((row) => [`EPSG:${row.code}`, row] as const))('%s agrees within 1 mm', (_code, row) => {
    const crs = unfold(row);
    const base = datumRow(row.datum);
    if (base.pm !== '') return; // PROJ's input would count from another meridian; the script covers these
    const same = transformFor({ ...crs, proj: crs.proj.replace(/ \+towgs84=\S+/, '') });
    const [w, s, e, n] = crs.areaOfUse ?? [-100, -50, 100, 50];
    const span = e >= w ? e - w : e + 360 - w;
    const lonLat = new Float64Array(18);
    for (let i = 0; i < 9; i++) {
      const lon = w + span * (0.2 + 0.3 * (i % 3));
      lonLat[2 * i] = lon > 180 ? lon - 360 : lon;
      lonLat[2 * i + 1] = s + (n - s) * (0.2 + 0.3 * Math.floor(i / 3));
    }
    const lines = Array.from({ length: 9 }, (_, i) => `${lonLat[2 * i + 1]} ${lonLat[2 * i]}`);
    const theirs = cs2cs(`EPSG:${base.code}`, `EPSG:${row.code}`, lines);
    if (theirs === null) return; // a code newer than the PROJ installed
    const ours = lonLat.slice();
    same.fromLonLat(ours);
    const back = ours.slice();
    same.toLonLat(back);
    for (const [i, line] of theirs.entries()) {
      const [a = Number.NaN, b = Number.NaN] = line.split(/\s+/).map(Number);
      if (!Number.isFinite(a)) continue;
      const x = ours[2 * i]!;
      const y = ours[2 * i + 1]!;
      const miss = Math.min(Math.hypot(x - a, y - b), Math.hypot(x - b, y - a)); // EPSG's axis order may be the other
      expect(miss * crs.metresPerUnit).toBeLessThan(0.001);
      expect(Math.abs(back[2 * i + 1]! - lonLat[2 * i + 1]!)).toBeLessThan(3e-8);
    }
  });

  it('OSGB36 by its seven parameters agrees with PROJ within 1 mm of its own way', () => {
    const crs = unfold(rows().get(27700)!);
    const points = [
      [651409.903, 313177.27],
      [250000, 700000],
      [530000, 180000],
    ] as const;
    const to = '+proj=longlat +datum=WGS84 +no_defs';
    const theirs =
      cs2cs(
        crs.proj,
        to,
        points.map((p) => p.join(' ')),
        12,
      ) ?? [];
    const xy = Float64Array.from(points.flat());
    transformFor(crs).toLonLat(xy);
    for (const [i, line] of theirs.entries()) {
      const [lon = 0, lat = 0] = line.split(/\s+/).map(Number);
      expect(Math.hypot((xy[2 * i]! - lon) * 65_000, (xy[2 * i + 1]! - lat) * 111_270)).toBeLessThan(0.001);
    }
    expect(theirs.length).toBe(3);
  });

  it('the frame agrees with PROJ within a micrometre over the cell and 50 km round it', () => {
    const frame = frameAt(-122.7, 45.4);
    const points: [number, number][] = [];
    for (let i = 0; i < 9; i++)
      for (let j = 0; j < 9; j++) points.push([frame.lon0 - 0.8 + 0.2 * i, frame.lat0 - 0.6 + 0.15 * j]);
    const theirs =
      cs2cs(
        '+proj=longlat +ellps=WGS84 +no_defs',
        `+proj=tmerc +lat_0=${frame.lat0} +lon_0=${frame.lon0} +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m +no_defs`,
        points.map((p) => p.join(' ')),
      ) ?? [];
    expect(theirs.length).toBe(81);
    const xy = Float64Array.from(points.flat());
    frame.toFrame(xy, xy);
    for (const [i, line] of theirs.entries()) {
      const [x = 0, y = 0] = line.split(/\s+/).map(Number);
      expect(Math.hypot(xy[2 * i]! - x, xy[2 * i + 1]! - y)).toBeLessThan(1e-6);
    }
  });
});
