// Whether a ring comes to any of its places twice. In: a ring; out: yes or no. Most do not, and need no taking apart.
// Cost: the corners: places are looked for in a table by their bits.

import type { Ring } from './ring.js';

/** Coordinates and their bits. */
const NUMBERS = new Float64Array(2);
const BITS = new Int32Array(NUMBERS.buffer);

/**
 * Whether some corner of a ring comes again, to the last bit.
 *
 * @example
 * comesTwice([0, 0, 2, 0, 1, 1, 2, 2, 0, 2, 1, 1]); // true
 */
export function comesTwice(ring: Ring): boolean {
  const corners = ring.length >> 1;
  let size = 16;
  while (size < corners * 2) size *= 2;
  const table = new Int32Array(size); // a corner's number from 1 on; 0: free
  for (let i = 0; i < corners; i++) {
    const x = ring[i * 2]!;
    const y = ring[i * 2 + 1]!;
    NUMBERS[0] = x + 0; // -0 is 0
    NUMBERS[1] = y + 0;
    let hash = Math.imul(BITS[0]! ^ Math.imul(BITS[1]!, 0x85ebca6b), 0xc2b2ae35);
    hash = Math.imul(hash ^ (hash >>> 15) ^ BITS[2]!, 0x27d4eb2f);
    hash = Math.imul(hash ^ (hash >>> 13) ^ BITS[3]!, 0x165667b1);
    let at = (hash ^ (hash >>> 16)) & (size - 1);
    for (; table[at] !== 0; at = (at + 1) & (size - 1)) {
      const other = (table[at]! - 1) * 2;
      if (ring[other] === x && ring[other + 1] === y) return true;
    }
    table[at] = i + 1;
  }
  return false;
}
