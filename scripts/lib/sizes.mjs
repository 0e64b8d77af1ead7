// How much of the library reaches a web page. In: what a page imports; out: bytes, minified and gzipped, of what a bundler
// makes of it. Terms: apart = packages left out of the sum, named with it. By hand:  node scripts/sizes.mjs

import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { build } from 'vite';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const ENTRY = `${ROOT}size-probe.js`; // never on disk
const APART = ['proj4', 'clipper2-ts'];

const CORE = `export { assess, readLayer, toGeoJSON } from './dist/web.js';`;

/**
 * What is measured: a title (as docs/browser.md has it), what a page writes, packages left out, and at most how many kB;
 * where it is measured as what comes on top of other code (`beside`), that.
 */
export const CASES = [
  {
    title: 'zones, exact overlap and verdicts alone (no coordinates, no files)',
    code: `export { Meter } from './build/geometry/kernel/meter.js'; export { zones } from './build/rules/zone/zone.js';
      export { overlaps } from './build/overlap/overlap.js'; export { judgeAll } from './build/rules/judge/judge.js';`,
    apart: APART,
    mostKb: 60,
  },
  {
    title: '`assess`, without proj4 and clipping',
    code: `export { assess } from './dist/web.js';`,
    apart: APART,
    mostKb: 120,
  },
  { title: '`assess`, with all it needs', code: `export { assess } from './dist/web.js';`, apart: [], mostKb: 137 },
  {
    title: '`assess`, `readLayer`, `toGeoJSON`',
    code: CORE,
    apart: [],
    mostKb: 170,
  },
  {
    title: 'the same, tables, findings, systems and formats on demand',
    code: `export { assess, readLayerAsync, geojsonText, toSchedule, toFindings, findCrs, registerCrs } from './dist/web.js';`,
    apart: [],
    mostKb: 177,
  },
  {
    title: 'the same and `toReport`',
    code: `export { assess, readLayerAsync, geojsonText, toSchedule, toFindings, findCrs, registerCrs, toReport } from './dist/web.js';`,
    apart: [],
    mostKb: 231,
  },
  { title: 'every public name', code: `export * from './dist/web.js';`, apart: [], mostKb: 403 },
  ...['us', 'europe', 'oceania', 'world'].map((name) => ({
    title: `rootberth/crs/${name}`,
    code: `${CORE} export { ${name} } from './dist/web-${name}.js';`,
    beside: CORE,
    apart: [],
    mostKb: { us: 70, europe: 58, oceania: 43, world: 140 }[name],
  })),
];

/** Bundles; gives gzipped bytes of what is loaded at once, and the modules in it. */
export async function measure({ code, apart, beside }) {
  const own = await bundled(code, apart);
  return beside === undefined ? own : { ...own, bytes: own.bytes - (await bundled(beside, apart)).bytes };
}

const made = new Map();

/** The same bundle is asked for by each table that comes beside it. */
function bundled(code, apart) {
  const key = JSON.stringify([code, apart]);
  if (!made.has(key)) made.set(key, bundle(code, apart));
  return made.get(key);
}

async function bundle(code, apart) {
  const isApart = (id) => apart.some((name) => id === name || id.startsWith(`${name}/`));
  const probe = {
    name: 'size-probe',
    enforce: 'pre',
    resolveId: (id) => (id === 'size-probe' ? ENTRY : isApart(id) ? { id, external: true } : undefined),
    load: (id) => (id === ENTRY ? code : undefined),
  };
  const { output } = await build({
    configFile: false,
    root: ROOT,
    logLevel: 'error',
    plugins: [probe],
    build: {
      write: false,
      target: 'es2023',
      minify: true,
      modulePreload: { polyfill: false },
      rolldownOptions: { input: 'size-probe', preserveEntrySignatures: 'strict', output: { format: 'es' } },
    },
  });
  const chunks = new Map(output.filter((one) => one.type === 'chunk').map((one) => [one.fileName, one]));
  const atOnce = new Set();
  const walk = (name) => {
    const chunk = chunks.get(name);
    if (chunk === undefined || atOnce.has(chunk)) return;
    atOnce.add(chunk);
    chunk.imports.forEach(walk);
  };
  walk([...chunks.values()].find((one) => one.isEntry).fileName);
  const text = [...atOnce].map((chunk) => chunk.code).join('\n');
  const modules = [...atOnce].flatMap((chunk) => Object.keys(chunk.modules));
  return { bytes: gzipSync(text, { level: 9 }).length, modules };
}
