// Random and adversarial cases for the measuring kernel, against an integral over angle that shares no code with it.
// In: how many cases, a seed, and the number of the first case (to split a long run, or to make one case again);
// out: per family the worst difference of each figure in percentage points; every case over 1e-6 points as JSON on
// stderr, and exit code 1. The built kernel is measured: npm run build first.
// `scenes` measures works of several owners, hard ground, polygon zones and works drawn back instead.
// node scripts/fuzz-kernel.mjs [COUNT] [SEED] [FIRST] [scenes]
import { Meter } from '../build/geometry/kernel/meter.js';
import { PieceBuilder } from '../build/geometry/kernel/pieces.js';
import { compactParts } from '../build/geometry/kernel/subdivide.js';
import { FIGURES, fuzz } from './lib/kernel-fuzz.mjs';
import { fuzzScenes, SCENE_FIGURES } from './lib/scene-fuzz.mjs';

const [count = 20_000, seed = 1, first = 0] = process.argv.slice(2, 5).map(Number);
const isScenes = process.argv[5] === 'scenes';
const figures = isScenes ? SCENE_FIGURES : FIGURES;
const shown = 20;
let broken = 0;
const table = (isScenes ? fuzzScenes : fuzz)(
  { Meter, PieceBuilder, compactParts },
  count,
  seed,
  (found) => {
    if (++broken <= shown) process.stderr.write(`${JSON.stringify(found)}\n`);
  },
  first,
);

console.log(`| family | cases | ${figures.join(' | ')} |`);
console.log(`|---|---:|${'---:|'.repeat(figures.length)}`);
for (const [name, { cases, worst }] of table) {
  console.log(`| ${name} | ${cases} | ${figures.map((f) => worst[f].toExponential(1)).join(' | ')} |`);
}
console.log(`seed ${seed}, cases ${first} to ${first + count - 1}: ${broken} over the bound`);
process.exitCode = broken > 0 ? 1 : 0;
