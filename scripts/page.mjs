// Builds the page of src/page/ into page-out/ and serves it on this machine until Ctrl-C. In: nothing, or --build to build
// only; out: page-out/, which any static server can hand out. Terms: see lib/page.mjs.

import { fileURLToPath } from 'node:url';
import { buildPage, serveFolder } from './lib/page.mjs';

const out = fileURLToPath(new URL('../page-out', import.meta.url));
await buildPage(out);
if (!process.argv.includes('--build')) {
  const { url } = await serveFolder(out, Number(process.env.PORT ?? 0));
  console.log(`${url}  (Ctrl-C ends it)`);
} else console.log('page-out/ is built: copy it to any static server.');
