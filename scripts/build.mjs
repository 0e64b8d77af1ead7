// Makes all that is packed. In: src/; out: build/ (a module a file, for scripts, benches and tests) and dist/ (what is
// published). Terms: entry = a module that package.json, a thread or a queue loads by its path; room = a folder of src/, one
// file in dist/. `--js` leaves out the declarations, which take longest.

import { execFileSync } from 'node:child_process';
import { rmSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { bundleCode, bundleTypes } from './lib/bundle.mjs';

const root = fileURLToPath(new URL('../', import.meta.url));
for (const folder of ['build', 'dist']) rmSync(`${root}${folder}`, { recursive: true, force: true });
execFileSync(process.execPath, [`${root}node_modules/typescript/bin/tsc`, '-p', `${root}tsconfig.build.json`], {
  stdio: 'inherit',
});
await bundleCode(root);
if (!process.argv.includes('--js')) bundleTypes(root);
