// The page of licences is that of the lock file; a package without a licence fails here first.
import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
// @ts-expect-error a script
import { licencesPage } from '../../scripts/lib/licences.mjs';

const read = (name: string): string => readFileSync(new URL(`../../${name}`, import.meta.url), 'utf8');

test('docs/licences.md is not stale (node scripts/licences.mjs writes it)', () => {
  const lock = JSON.parse(read('package-lock.json'));
  expect(read('docs/licences.md')).toBe(licencesPage(lock));
  for (const name of Object.keys(JSON.parse(read('package.json')).dependencies)) {
    expect(read('docs/licences.md')).toContain(`| **${name}** |`);
  }
});

test('a package that states none is an error that says what to do', () => {
  const lock = {
    packages: { '': { dependencies: { bare: '1.0.0' } }, 'node_modules/bare': { version: '1.0.0' } },
  };
  expect(() => licencesPage(lock)).toThrow(/bare 1\.0\.0 states no licence/);
});

test('a direct dependency without a reason is an error', () => {
  const lock = {
    packages: { '': { dependencies: { bare: '1.0.0' } }, 'node_modules/bare': { version: '1.0.0', license: 'MIT' } },
  };
  expect(() => licencesPage(lock)).toThrow(/bare has no reason/);
});
