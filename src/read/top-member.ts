// One member of a GeoJSON document beside its features. In: UTF-8 bytes and the member's name; out: its value, or undefined.
// Terms: top = of the outermost object; RFC 7946 calls a member that it does not name foreign. One pass over the bytes;
// nothing is made of what is not asked for.

import { CLOSE_BRACE, JsonCursor, OPEN_BRACE } from './json-cursor.js';
import { bomLength } from './text.js';

/**
 * The member's value; undefined where the document has none of that name, or is not one JSON object.
 *
 * @example
 * topMember(new TextEncoder().encode('{"a":1,"features":[]}'), 'a'); // 1
 */
export function topMember(bytes: Uint8Array, name: string): unknown {
  const cursor = new JsonCursor();
  cursor.open(bytes, bomLength(bytes));
  const wanted = new TextEncoder().encode(name);
  try {
    if (!cursor.enter(OPEN_BRACE, CLOSE_BRACE)) return undefined;
    do {
      cursor.key();
      const isWanted = cursor.keyIs(wanted);
      const from = cursor.pos;
      cursor.skip();
      if (isWanted) return JSON.parse(new TextDecoder().decode(bytes.subarray(from, cursor.pos)));
    } while (cursor.another(CLOSE_BRACE));
  } catch {
    return undefined; // the reader of the layer says what is wrong with it
  }
  return undefined;
}
