// The published files. In: build/, as tsc leaves it; out: dist/. Terms: see ../build.mjs; on demand = loaded when a file of
// its format, or its command, comes up: such a module stays out of its room's file.

import { chmodSync, writeFileSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { generateDtsBundle } from 'dts-bundle-generator';
import { rolldown } from 'rolldown';
import ts from 'typescript';

/** Tables of coordinate systems: one file each, which everything else loads by its name. */
const REGIONS = ['us', 'europe', 'oceania', 'world'];
const TABLES = Object.fromEntries(REGIONS.map((name) => [`crs-${name}`, `crs/tables/${name}.js`]));

/** Name in dist/ -> module of build/. What package.json names, then what is loaded by a path of its own. */
const ENTRIES = {
  index: 'index.js',
  web: 'web.js',
  node: 'node.js',
  queue: 'queue.js',
  postgis: 'postgis.js',
  cli: 'cli.js',
  ...Object.fromEntries(REGIONS.map((name) => [`web-${name}`, `web/${name}.js`])),
  'job-thread': 'cli/job-thread.js',
  'overlap-worker': 'node/threads/overlap-worker.js',
  'read-worker': 'node/threads/read-worker.js',
  processor: 'node/queue/processor.js',
};

/** Entries that have declarations: those that package.json names. */
const TYPED = ['index', 'node', 'queue', 'postgis', 'crs-us', 'crs-europe', 'crs-oceania', 'crs-world'];

/** Packages whose types ours name: imported, not copied. */
const TYPES_OF_OTHERS = ['geojson', 'bullmq', 'ioredis', 'pg'];

/** What does not go to its room's file: it is loaded on demand, or is a part of a large room that is used by itself. */
const PARTS = [
  [/^(overlap|crown)\//, 'geometry'],
  [/^style\//, 'write'],
  [/^packet\//, 'report'],
  [/^facts\//, 'rules'], // data beside data
  [/^(model|text)\/|^geometry\/column$/, 'model'],
  [/^(explain|describe|compare)\//, 'explain'],
  [/^(siting|shade)\//, 'siting'],
  [/^(assess|plan|check|worth)\//, 'assess'],
  [/^read\/(geopackage|workbook|wkb|base64|peer)$/, 'read-shapes'],
  [/^read\/(arcs|rings)$|^geometry\/curves\/(clothoid|spline)$/, 'read-shapes'],
  [/^read\/(on-demand|surfaces)$/, 'read-on-demand'],
  [/^read\/(zip-choose|crc32)$/, 'read'],
  [/^read\/archive$/, null],
  [/^read\/notes$/, 'notes'],
  [/^read\/(shapefile|shp|dbf|encoding|kml|landxml|xml|dxf|xml-formats)(-\w+)?$/, null],
  [/^crs\/tables\/(all|world)$/, 'crs-all'],
  [
    /^node\/(read|threads)\/(?!.*-worker$)|^node\/(assess-files|siting-files|compare-files|several-layers)$/,
    'node-files',
  ],
  [/^node\/crs$/, 'node-crs'],
  [/^node\/write\//, 'node-write'],
  [/^node\/tiles\/|^tiles\//, 'node-tiles'],
  [/^node\/queue\/(coordinate|redis|worker)$/, 'node-queue'],
  [/^cli\/(io|digest|help|options|stoppable|main|examples)$|^cli\/table\/|^node\/temporaries\//, 'cli-parts'],
  [/^cli\/(clashes|values|place-values|outputs|job-keys|manifest-values|needs)$/, 'cli-values'],
  [/^(node|postgis|web|cli)\//, null],
];

/** Fronts that hold code of their own. */
const OWN_CODE = new Set(['assess/index', 'node/temporaries/index', 'cli/table/index', 'notes/index']);

/** The file that a module goes to; null: where it is needed. */
function chunkOf(build, id) {
  const path = relative(build, id).split(sep).join('/').replace(/\.js$/, '');
  if (path.startsWith('..') || !path.includes('/') || (path.endsWith('/index') && !OWN_CODE.has(path))) return null;
  const part = PARTS.find(([fits]) => fits.test(path));
  return part === undefined ? path.slice(0, path.indexOf('/')) : part[1];
}

/** Writes dist/*.js. Rooms stay files of their own, so that a page's bundler can leave out a whole one. */
export async function bundleCode(root) {
  const build = join(root, 'build');
  const acts = sideEffects(root);
  const at = (entries) => Object.fromEntries(Object.entries(entries).map(([name, file]) => [name, join(build, file)]));
  const common = { platform: 'node', external: (id) => !/^[./]/.test(id), logLevel: 'silent' };
  const output = {
    dir: join(root, 'dist'),
    format: 'es',
    entryFileNames: '[name].js',
    chunkFileNames: '[name].js',
    minifyInternalExports: false,
  };
  for (const [name, file] of Object.entries(at(TABLES))) {
    const table = await rolldown({ ...common, input: { [name]: file } });
    await table.write(output);
    await table.close();
  }
  const tableFiles = new Map(Object.entries(at(TABLES)).map(([name, file]) => [file, `table:${name}`]));
  const bundle = await rolldown({
    ...common,
    input: at(ENTRIES),
    preserveEntrySignatures: 'allow-extension',
    treeshake: { moduleSideEffects: acts },
    plugins: [
      {
        name: 'droppable',
        transform: (code, id) => (id.startsWith(build) && !acts(id) ? { code: droppable(code, id), map: null } : null),
      },
      {
        name: 'tables-apart',
        resolveId(source, importer) {
          if (importer === undefined || !source.startsWith('.')) return null;
          const id = tableFiles.get(resolve(dirname(importer), source));
          return id === undefined ? null : { id, external: true };
        },
      },
    ],
  });
  await bundle.write({
    ...output,
    paths: (id) => id.replace(/^table:(.*)$/, './$1.js'),
    codeSplitting: {
      includeDependenciesRecursively: false,
      groups: [{ name: (id) => chunkOf(build, id), debugName: 'rooms' }],
    },
  });
  await bundle.close();
  chmodSync(join(root, 'dist/cli.js'), 0o755);
}

/**
 * A constant that is computed when its module is loaded, written so that bundlers can drop it where it is not used: in a
 * file of many modules they can't know otherwise that computing it does nothing else.
 */
export function droppable(code, name) {
  const source = ts.createSourceFile(name, code, ts.ScriptTarget.ES2023, true);
  const edits = [];
  for (const statement of source.statements) {
    if (!ts.isVariableStatement(statement)) continue;
    for (const { name: bound, initializer } of statement.declarationList.declarations) {
      if (initializer !== undefined && ts.isIdentifier(bound) && isComputed(initializer)) edits.push(initializer);
    }
  }
  return edits.reverse().reduce((text, one) => {
    const at = one.getStart(source);
    const isPlain =
      ts.isNewExpression(one) && ts.isIdentifier(one.expression) && !(one.arguments ?? []).some(isComputed);
    if (isPlain) return `${text.slice(0, at)}/* @__PURE__ */ ${text.slice(at)}`;
    return `${text.slice(0, at)}/* @__PURE__ */ (() => (${text.slice(at, one.end)}))()${text.slice(one.end)}`;
  }, code);
}

/** Whether an expression calls, makes or reads something, outside of functions. */
function isComputed(node) {
  if (ts.isFunctionLike(node) || ts.isClassLike(node)) return false;
  if (ts.isCallExpression(node) || ts.isNewExpression(node) || ts.isTaggedTemplateExpression(node)) return true;
  if (ts.isPropertyAccessExpression(node) || ts.isElementAccessExpression(node) || ts.isSpreadElement(node))
    return true;
  return ts.forEachChild(node, (child) => isComputed(child) || undefined) ?? false;
}

/** Modules that do something by being loaded: they register tables and projections, or are programs. */
function sideEffects(root) {
  const kept =
    /^(cli|index|web|node|queue|postgis)\.js$|^node\/crs\.js$|^web\/|^node\/threads\/.*-worker\.js$|^cli\/job-thread\.js$|^node\/queue\/processor\.js$/;
  const build = join(root, 'build');
  return (id) => kept.test(relative(build, id).split(sep).join('/'));
}

/** Writes dist/*.d.ts, one for each entry. */
export function bundleTypes(root) {
  const texts = generateDtsBundle(
    TYPED.map((name) => ({
      filePath: join(root, 'build', { ...ENTRIES, ...TABLES }[name].replace(/\.js$/, '.d.ts')),
      output: { noBanner: true, exportReferencedTypes: false },
      libraries: { importedLibraries: TYPES_OF_OTHERS },
    })),
    { preferredConfigPath: join(root, 'tsconfig.json') },
  );
  TYPED.forEach((name, i) => {
    writeFileSync(join(root, 'dist', `${name}.d.ts`), texts[i]);
  });
}
