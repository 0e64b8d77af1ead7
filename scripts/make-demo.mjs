// Writes the invented subdivision: in: nothing; out: the files of data/demo/ (or of a folder given), the same bytes every run.
// Terms: share = rough part of a tree's foot-per-inch zone that the works take, printed so that a person sees the spread.
//   node scripts/make-demo.mjs [DIR]
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { demoFiles } from './lib/demo-files.mjs';
import { demoTrees } from './lib/demo-trees.mjs';
import { demoLater, demoWorks } from './lib/demo-works.mjs';

const dir = process.argv[2] ?? fileURLToPath(new URL('../data/demo/', import.meta.url));
const lasting = demoWorks();
const trees = demoTrees(lasting);
const works = [...lasting, ...demoLater()];
mkdirSync(dir, { recursive: true });
for (const [name, content] of Object.entries(demoFiles(trees, works))) writeFileSync(join(dir, name), content);

const shares = trees.map((t) => t.share).filter((s) => s !== null);
const count = (test) => shares.filter(test).length;
console.log(
  `${trees.length} trees, ${works.length} works; of ${shares.length} zones (rough): ` +
    `${count((s) => s === 0)} untouched, ${count((s) => s > 0 && s <= 0.2)} up to 20 %, ${count((s) => s > 0.2)} above`,
);
