// The table of options: what is made of it is not stale, and what types can't hold of it holds.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { withOptionDocs } from '../../scripts/lib/option-docs.mjs';
import { checkNeeds } from '../../src/cli/needs.js';
import { attributeOf, nameOf, OPTION_TABLE, rowsOf } from '../../src/cli/table/index.js';
import { run } from '../support/cli.js';

const PAGE = fileURLToPath(new URL('../../docs/command-line.md', import.meta.url));
const COMMANDS = [...new Set(OPTION_TABLE.flatMap((row) => row.in))];

test('the page of the command line lists the options as they are', () => {
  const page = readFileSync(PAGE, 'utf8');
  expect(withOptionDocs(page, OPTION_TABLE)).toBe(page); // stale? npm run build && node scripts/make-option-docs.mjs
});

describe.each(COMMANDS)('%s', (command) => {
  const rows = rowsOf(command);

  test('has each option once, and its help lists them in the order of the table by group', async () => {
    const names = rows.map(nameOf);
    expect(new Set(names).size).toBe(names.length);
    const { out } = await run(command, '--help', 'all');
    const listed = [...out.matchAll(/^ {2}(?:-\w, )?--([a-z-]+)/gm)].map((match) => match[1]);
    expect([...names, 'help'].sort()).toEqual([...listed].sort());
  });

  test('says what an option needs, and what it can’t stand beside', () => {
    for (const { flag, needs, excludes, ...row } of rows) {
      const own = attributeOf({ flag, ...row });
      const check = (...given: string[]) => checkNeeds(command, (attribute) => given.includes(attribute));
      // what it needs may need something, too
      const needed = (needs?.anyOf ?? []).flatMap((one) => [
        one,
        ...(rows.find((other) => attributeOf(other) === one)?.needs?.anyOf ?? []),
      ]);
      if (needs === undefined) expect(() => check(own)).not.toThrow();
      else {
        const error = { code: 'option-lonely', usage: true, cure: needs.cure };
        expect(() => check(own)).toThrow(expect.objectContaining(error));
        expect(() => check(own, ...needed)).not.toThrow();
      }
      if (excludes === undefined) continue;
      const error = { code: 'option-conflict', usage: true, message: excludes.message };
      expect(() => check(own, ...needed, excludes.other)).toThrow(expect.objectContaining(error));
    }
  });
});
