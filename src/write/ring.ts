// One ring, flat. In: lon, lat, lon, lat, ...; out: the same rounded as written, its area, its text.
// Terms: flat = pairs in one array; open = without the closing vertex.

import { degree } from './numbers.js';

/** Rounded as written, without repeated neighbours and without the closing vertex. */
export function rounded(ring: readonly number[]): number[] {
  const flat: number[] = [];
  for (let i = 0; i < ring.length; i += 2) {
    const lon = degree(ring[i]!);
    const lat = degree(ring[i + 1]!);
    if (flat.length > 0 && lon === flat[flat.length - 2] && lat === flat[flat.length - 1]) continue;
    flat.push(lon, lat);
  }
  while (flat.length > 2 && flat[0] === flat[flat.length - 2] && flat[1] === flat[flat.length - 1]) flat.length -= 2;
  return flat;
}

/** Text of a rounded ring, turned the right way and closed; '' when it has no area. */
export function ringText(flat: readonly number[], anticlockwise: boolean): string {
  const area = flat.length < 6 ? 0 : twiceArea(flat);
  if (area === 0) return '';
  const n = flat.length / 2;
  const keep = area > 0 === anticlockwise;
  // Turned rings keep their first vertex, so that the text does not depend on which way the source ran.
  // Joined, not added up: a string grown by += holds on to every piece it was made of.
  const out: string[] = [];
  for (let k = 0; k <= n; k++) {
    const i = keep ? k % n : (n - k) % n;
    out.push(`[${flat[i * 2]},${flat[i * 2 + 1]}]`);
  }
  return `[${out.join(',')}]`;
}

/** Twice the signed area about the first vertex (positions far from zero lose no digits that way). */
export function twiceArea(flat: readonly number[]): number {
  const x0 = flat[0]!;
  const y0 = flat[1]!;
  let sum = 0;
  for (let i = 2; i + 3 < flat.length; i += 2) {
    const ax = flat[i]! - x0;
    const ay = flat[i + 1]! - y0;
    sum += ax * (flat[i + 3]! - y0) - (flat[i + 2]! - x0) * ay;
  }
  return sum;
}
