// Draws the plan of the invented subdivision for the README: in: data/demo/ and dist/; out: docs/demo-plan.svg.
// Terms: stale = the file is not what the library draws today; tests/plan/demo-plan.test.ts tells.
//   npm run build && node scripts/make-demo-plan.mjs
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { demoPlan } from './lib/demo-plan.mjs';

const library = await import('../dist/index.js');
const path = fileURLToPath(new URL('../docs/demo-plan.svg', import.meta.url));
const svg = demoPlan(library, (name) => readFileSync(new URL(`../data/demo/${name}`, import.meta.url)));
writeFileSync(path, svg);
console.log(`docs/demo-plan.svg: ${(svg.length / 1000).toFixed(0)} kB`);
