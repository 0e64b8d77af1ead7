// Builds the page src/page/ and serves a folder on this machine alone. In: an empty folder; out: static files in it; a
// server with its address. Terms: loopback = reachable from this machine only.

import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { readdir, readFile, stat, writeFile } from 'node:fs/promises';
import { createServer } from 'node:http';
import { extname, join, normalize, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';

const SOURCE = fileURLToPath(new URL('../../src/page/', import.meta.url));

/** Libraries' own parts that no file of the page needs: each is 30 to 80 kB of every visitor's download. */
const LEFT_OUT = [
  // Shapefiles are read in their own coordinates; the second copy of proj4 would only be for their .prj.
  { name: 'proj4', within: 'shpjs', code: 'export default () => { throw new Error("no projection here"); };' },
  // Adaptors to a map library, which nothing here draws with.
  { name: './ol.js', within: 'flatgeobuf', code: 'export {};' },
  // Reading by pieces over a network: files come whole.
  {
    name: 'http-reader.js',
    within: 'flatgeobuf',
    code: 'export class HttpReader { static open() { throw new Error("no network here"); } } export class HttpRangeClient {}',
  },
  // Texts that state a system are read by src/crs/wkt/: proj4 gets PROJ strings only.
  {
    name: 'wkt-parser',
    within: 'proj4',
    code: 'export default () => { throw new Error("no WKT here"); };',
  },
  // Says which values of entities that a document declares are harmful. None are expanded here: all are called so.
  {
    name: 'is-unsafe',
    within: 'fast-xml-parser',
    code: 'export const isUnsafe = () => true; export const HTML = [], XML = [];',
  },
  // Military grid references: no system of the tables is one.
  {
    name: 'mgrs',
    within: 'proj4',
    code: 'const none = () => { throw new Error("no MGRS here"); }; export { none as forward, none as inverse, none as toPoint }; export default { forward: none, inverse: none, toPoint: none };',
  },
  // FlatGeobuf packed with Zstandard: no tool that the formats page names writes it.
  {
    name: 'seekable-zstd.js',
    within: 'flatgeobuf',
    code: 'export class SeekableZstdReader { static open() { throw new Error("packed with Zstandard"); } constructor() { throw new Error("packed with Zstandard"); } }',
  },
  {
    name: '@bokuweb/zstd-wasm',
    within: 'zstd',
    code: 'export const init = async () => { throw new Error("packed with Zstandard"); }; export const decompress = init;',
  },
];

function leaveOut() {
  return {
    name: 'leave-out',
    enforce: 'pre',
    resolveId(source, importer = '') {
      const found = LEFT_OUT.findIndex(
        ({ name, within }) => (source === name || source.endsWith(`/${name}`)) && importer.includes(within),
      );
      return found < 0 ? null : `\0left-out-${found}`;
    },
    load(id) {
      const found = /^\0left-out-(\d+)$/.exec(id);
      return found === null ? null : LEFT_OUT[Number(found[1])].code;
    },
  };
}

/** Builds the page into a folder, whose content is replaced. */
export async function buildPage(outDir) {
  await build({
    configFile: false,
    root: SOURCE,
    base: './',
    logLevel: 'error',
    plugins: [leaveOut()],
    build: {
      outDir,
      emptyOutDir: true,
      target: 'es2023',
      assetsInlineLimit: 0,
      modulePreload: false, // its helper needs a document, which a thread has not
      // The searching thread is an entry of the same build, so that it shares the page's chunks; it is loaded by its name.
      rollupOptions: {
        input: { index: join(SOURCE, 'index.html'), search: join(SOURCE, 'search/worker.ts') },
        output: {
          // What the tables of systems share: it is loaded with the first of them, and with nothing else.
          chunkFileNames: ({ name }) =>
            `assets/${{ systems: 'us-world-systems', 'systems-form': 'world-systems-form' }[name] ?? name}-[hash].js`,
          entryFileNames: ({ name }) => (name === 'search' ? 'assets/search.js' : 'assets/[name]-[hash].js'),
        },
      },
    },
  });
  await writeOffline(outDir);
}

/** The service worker: it keeps every file of this build, so that the page opens without a network. */
async function writeOffline(outDir) {
  const files = (await readdir(outDir, { recursive: true, withFileTypes: true }))
    .filter((entry) => entry.isFile() && entry.name !== 'offline.js')
    .map((entry) => relative(outDir, join(entry.parentPath, entry.name)).split(sep).join('/'))
    .sort();
  const hash = createHash('sha256');
  for (const file of files) hash.update(file).update(await readFile(join(outDir, file)));
  const build = hash.digest('hex').slice(0, 16);
  const source = await readFile(join(SOURCE, 'offline.js'), 'utf8');
  const list = JSON.stringify(['./', ...files.map((file) => `./${file}`)]);
  await writeFile(join(outDir, 'offline.js'), source.replace("'BUILD'", `'${build}'`).replace("['FILES']", list));
}

const TYPES = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.json': 'application/json',
  '.geojson': 'application/geo+json',
  '.csv': 'text/csv',
  '.wasm': 'application/wasm',
  '.svg': 'image/svg+xml',
  '.webmanifest': 'application/manifest+json',
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
