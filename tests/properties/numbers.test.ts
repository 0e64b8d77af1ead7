// What must hold of every number written: in: doubles of all sizes, rounded as the writers do; out: their text as bytes.
// The slow path is String(), the standard's own shortest text (ECMA-262, Number::toString).

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ByteText } from '../../src/write/byte-text.js';
import { degree, figure } from '../../src/write/numbers.js';
import { runs } from '../support/runs.js';

describe('numbers as bytes', () => {
  const out = new ByteText();
  const written = (value: number, decimals: 6 | 9): string => {
    out.rounded(value, decimals);
    return Buffer.from(out.take()).toString();
  };

  it('figures and degrees have the text that String() gives, whatever their size', () => {
    const sizes = fc.oneof(
      fc.double({ noNaN: true, noDefaultInfinity: true }),
      fc.double({ min: -1e4, max: 1e4, noNaN: true }),
      fc.integer({ min: -(2 ** 52), max: 2 ** 52 }).map((n) => n / 1e6),
      fc.integer({ min: -(2 ** 31), max: 2 ** 31 }).map((n) => n / 1e9),
    );
    fc.assert(
      fc.property(sizes, (value) => {
        const rounded = figure(value)!;
        if (Number.isFinite(rounded)) expect(written(rounded, 6)).toBe(String(rounded));
        const degrees = degree(value);
        if (Number.isFinite(degrees)) expect(written(degrees, 9)).toBe(String(degrees));
      }),
      { numRuns: runs(2000) },
    );
  });

  it('counts and texts with something before them', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 2 ** 31 - 1 }), fc.string({ unit: 'grapheme' }), (count, text) => {
        out.count(count);
        out.jsonOnce(text, 'tree:');
        expect(Buffer.from(out.take()).toString()).toBe(`${count}${JSON.stringify(`tree:${text}`)}`);
      }),
    );
  });
});
