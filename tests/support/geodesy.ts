// For tests of coordinates: transformations on a system's own datum, degrees from minutes and seconds, PROJ if present.

import { spawnSync } from 'node:child_process';
import { findCrs, transformFor } from '../../src/crs/index.js';
import type { Crs, CrsTransform } from '../../src/model/index.js';

/** Degrees from degrees, minutes, seconds; the sign is that of the first argument's hemisphere letter. */
export function dms(hemisphere: 'N' | 'S' | 'E' | 'W', d: number, m = 0, s = 0): number {
  return (hemisphere === 'N' || hemisphere === 'E' ? 1 : -1) * (d + m / 60 + s / 3600);
}

/** A system's transformation without its datum shift: published grid examples give positions on the own datum. */
export function onOwnDatum(code: string): CrsTransform {
  const crs: Crs = findCrs(code);
  return transformFor({ ...crs, proj: crs.proj.replace(/ \+towgs84=\S+/, '') });
}

export function forward(transform: CrsTransform, lon: number, lat: number): [number, number] {
  const xy = Float64Array.of(lon, lat);
  transform.fromLonLat(xy);
  return [xy[0]!, xy[1]!];
}

export function inverse(transform: CrsTransform, x: number, y: number): [number, number] {
  const xy = Float64Array.of(x, y);
  transform.toLonLat(xy);
  return [xy[0]!, xy[1]!];
}

/** Lines through `cs2cs`; null when it is not installed. */
export function cs2cs(from: string, to: string, lines: readonly string[], digits = 9): string[] | null {
  // PROJ strings go in word by word, with +to between them; codes as they are.
  const pair = from.startsWith('+') ? [...from.split(' '), '+to', ...to.split(' ')] : [from, to];
  const run = spawnSync('cs2cs', ['-f', `%.${digits}f`, ...pair], { input: `${lines.join('\n')}\n`, encoding: 'utf8' });
  return run.status === 0 ? run.stdout.trim().split('\n') : null;
}
