// Builds the page src/page/ and serves a folder on this machine alone. In: an empty folder; out: static files in it; a
// server with its address. Terms: loopback = reachable from this machine only.

import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import { createServer } from 'node:http';
import { extname, join, normalize, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';

const SOURCE = fileURLToPath(new URL('../../src/page/', import.meta.url));

/** Builds the page into a folder, whose content is replaced. */
export async function buildPage(outDir) {
  await build({
    configFile: false,
    root: SOURCE,
    base: './',
    logLevel: 'error',
    build: { outDir, emptyOutDir: true, target: 'es2023', assetsInlineLimit: 0, modulePreload: { polyfill: false } },
  });
}

const TYPES = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.json': 'application/json',
  '.geojson': 'application/geo+json',
  '.csv': 'text/csv',
  '.wasm': 'application/wasm',
};

/** Serves a folder on loopback at a free port, or at the one given. */
export async function serveFolder(folder, port = 0) {
  const server = createServer(async (request, response) => {
    const path = decodeURIComponent(new URL(request.url ?? '/', 'http://localhost').pathname);
    const file = normalize(join(folder, path.endsWith('/') ? `${path}index.html` : path));
    const inside = file.startsWith(normalize(folder) + sep);
    const found = inside && request.method === 'GET' && (await stat(file).catch(() => null))?.isFile();
    if (!found) {
      response.writeHead(404).end();
      return;
    }
    response.writeHead(200, { 'content-type': TYPES[extname(file)] ?? 'application/octet-stream' });
    createReadStream(file).pipe(response);
  });
  await new Promise((done, fail) => server.once('error', fail).listen(port, '127.0.0.1', done));
  return {
    url: `http://127.0.0.1:${server.address().port}/`,
    close: () =>
      new Promise((done) => {
        server.close(done);
        server.closeAllConnections();
      }),
  };
}
