// Puts a table of results into docs/coordinates.md. In: the script's name and the lines of the table; out: the file, with
// them between the script's two marks. Costs one pass over the file.

import { readFileSync, writeFileSync } from 'node:fs';

const FILE = new URL('../../docs/coordinates.md', import.meta.url);

/** Writes `lines` between `<!-- table of NAME -->` and `<!-- end -->`. */
export function writeTable(name, lines) {
  const text = readFileSync(FILE, 'utf8');
  const between = new RegExp(`(<!-- table of ${name} -->\\n)[\\s\\S]*?(<!-- end -->)`);
  if (!between.test(text)) throw new Error(`docs/coordinates.md has no place for the table of ${name}`);
  writeFileSync(
    FILE,
    text.replace(between, (_, before, after) => `${before}${lines.join('\n')}\n${after}`),
  );
}
