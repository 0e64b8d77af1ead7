// One ring, flat. In: lon, lat, lon, lat, ...; out: the same rounded as written, its text.
// Terms: flat = pairs in one array; open = without the closing vertex.

import { twiceArea } from '../geometry/index.js';
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
