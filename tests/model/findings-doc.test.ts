// docs/findings.md against the code table: in: both; out: every code stands there once, with its own severity.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { FindingCode } from '../../src/model/findings.js';
import { FINDING_CODES } from '../../src/model/meanings.js';

const text = readFileSync(new URL('../../docs/findings.md', import.meta.url), 'utf8');
const rows = text
  .split('\n')
  .filter((line) => line.startsWith('| `'))
  .map((line) => line.split('|').map((cell) => cell.trim()))
  .filter((cells) => cells.length === 7); // five columns and the two outer edges

describe('docs/findings.md', () => {
  it('lists every finding once, with its severity, a meaning, an example and a cure', () => {
    const listed = rows.map((cells) => cells[1]?.replaceAll('`', '') ?? '');
    expect(listed.toSorted()).toEqual(Object.keys(FINDING_CODES).toSorted());
    for (const [, code = '', severity, meaning, example, cure] of rows) {
      expect(severity, code).toBe(FINDING_CODES[code.replaceAll('`', '') as FindingCode][0]);
      for (const cell of [meaning, example, cure]) expect(cell, code).not.toBe('');
    }
  });
});
