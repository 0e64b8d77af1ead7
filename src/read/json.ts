// JSON text -> value: in: a text; out: the parsed value, or where it stops being JSON (RFC 8259).
// The engine parses. Only a text that it refuses is read again here to find the place,
// because engines word their errors differently and some give no position.

import { InputError } from '../model/index.js';
import { lineAndColumn } from './text.js';

/**
 * Parses JSON.
 *
 * @throws InputError `not-json` naming line, column and what stands there
 * @example
 * parseJson('{"a": 1}', 'trees.geojson');
 */
export function parseJson(text: string, layer: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    const at = jsonErrorAt(text);
    const { line, column } = lineAndColumn(text, at);
    const what =
      at >= text.length ? 'the file ends too early' : `unexpected ${JSON.stringify(text.slice(at, at + 12))}`;
    throw new InputError('not-json', `${layer} is not valid JSON: line ${line}, column ${column}: ${what}`, {
      layer,
      path: `line ${line}, column ${column}`,
      cure:
        at >= text.length
          ? 'the file looks cut off; export or download it again'
          : 'fix that line, or export the file again as GeoJSON',
    });
  }
}

const NUMBER = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y;
const WORD = /true|false|null/y;
const SPACE = /[ \t\n\r]*/y;

/** Position of the first character at which a text is no longer JSON; its length when it ends too early. */
export function jsonErrorAt(text: string): number {
  let at = 0;
  const take = (pattern: RegExp): boolean => {
    pattern.lastIndex = at;
    if (!pattern.test(text)) return false;
    at = pattern.lastIndex;
    return true;
  };
  const open: string[] = []; // '[' or '{' per level: no recursion, so depth cannot overflow the stack
  let expect: 'value' | 'value-or-end' | 'key' | 'key-or-end' | 'after' = 'value';
  for (;;) {
    take(SPACE);
    const c = text[at];
    if (c === undefined) return at;
    if (expect === 'after') {
      const inside = open.at(-1);
      if (inside === undefined) return at; // something follows the value
      if (c === ',') expect = inside === '{' ? 'key' : 'value';
      else if (c === (inside === '{' ? '}' : ']')) open.pop();
      else return at;
      at++;
    } else if ((expect === 'value-or-end' && c === ']') || (expect === 'key-or-end' && c === '}')) {
      open.pop();
      at++;
      expect = 'after';
    } else if (expect === 'key' || expect === 'key-or-end') {
      if (c !== '"') return at;
      const end = stringEnd(text, at);
      if (end.broken) return end.at;
      at = end.at;
      take(SPACE);
      if (text[at] !== ':') return at;
      at++;
      expect = 'value';
    } else if (c === '[' || c === '{') {
      open.push(c);
      at++;
      expect = c === '[' ? 'value-or-end' : 'key-or-end';
    } else if (c === '"') {
      const end = stringEnd(text, at);
      if (end.broken) return end.at;
      at = end.at;
      expect = 'after';
    } else {
      if (!take(NUMBER) && !take(WORD)) return at;
      expect = 'after';
    }
  }
}

/** The position after a string that opens at `start`, or where it breaks off (RFC 8259, section 7). */
function stringEnd(text: string, start: number): { at: number; broken: boolean } {
  for (let i = start + 1; i < text.length; i++) {
    const c = text.charCodeAt(i);
    if (c === 0x22) return { at: i + 1, broken: false };
    if (c < 0x20) return { at: i, broken: true }; // a control character may not stand there as it is
    if (c === 0x5c) {
      const escaped = /^(?:["\\/bfnrt]|u[\dA-Fa-f]{4})/.exec(text.slice(i + 1, i + 6));
      if (escaped === null) return { at: i, broken: true };
      i += escaped[0].length;
    }
  }
  return { at: text.length, broken: true };
}
