// Builds the page of docs/try/ into try-out/ and serves it on this machine until Ctrl-C. In: nothing, or --build to build
// only; out: try-out/, which any static server can hand out. Terms: see lib/try-page.mjs.

import { fileURLToPath } from 'node:url';
import { buildTry, serveFolder } from './lib/try-page.mjs';

const out = fileURLToPath(new URL('../try-out', import.meta.url));
await buildTry(out);
if (!process.argv.includes('--build')) {
  const { url } = await serveFolder(out, Number(process.env.PORT ?? 0));
  console.log(`${url}  (Ctrl-C ends it)`);
} else console.log('try-out/ is built: copy it to any static server.');
