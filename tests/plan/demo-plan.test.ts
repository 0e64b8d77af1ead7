// The README's picture is what the library draws today.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { demoPlan } from '../../scripts/lib/demo-plan.mjs';
import * as library from '../../src/core.js';

test('docs/demo-plan.svg is not stale: else npm run build && node scripts/make-demo-plan.mjs', () => {
  const root = join(import.meta.dirname, '../..');
  const drawn = demoPlan(library, (name: string) => readFileSync(join(root, 'data/demo', name)));
  expect(drawn === readFileSync(join(root, 'docs/demo-plan.svg'), 'utf8')).toBe(true);
});
