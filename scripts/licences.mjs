// Writes docs/licences.md from package-lock.json; a test says when it is stale.
import { readFileSync, writeFileSync } from 'node:fs';
import { licencesPage } from './lib/licences.mjs';

const root = new URL('../', import.meta.url);
const lock = JSON.parse(readFileSync(new URL('package-lock.json', root), 'utf8'));
writeFileSync(new URL('docs/licences.md', root), licencesPage(lock));
