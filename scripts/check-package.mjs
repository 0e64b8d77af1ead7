// The package as others get it: packed, looked into, installed into an empty project, used from TypeScript and JavaScript.
// In: dist (npm run build); out: a line per check; exit 1 at the first that fails. Registry traffic: what the cache lacks.
import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../', import.meta.url));
const MOST_PACKED = 1_300_000; // bytes
const MOST_UNPACKED = 4_500_000;
const MOST_FILES = 79;
const MOST_INSTALLED = 60; // packages, this one left out
const MOST_STARTUP = 2.5; // processor time of `rootberth rules`, times that of an empty Node

const dir = mkdtempSync(join(tmpdir(), 'package-'));
const app = join(dir, 'app');
const npm = (args, cwd) =>
  execFileSync('npm', args, {
    cwd,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'pipe'],
    env: { ...process.env, NO_UPDATE_NOTIFIER: '1' },
  });
const node = (...args) => execFileSync(process.execPath, args, { cwd: app, encoding: 'utf8' });

function check(what, holds, told = '') {
  console.log(`${holds ? 'ok  ' : 'FAIL'} ${what}${told === '' ? '' : `: ${told}`}`);
  if (!holds) throw new Error(what);
}

/** What may be in it; everything else is a slip. */
const MEANT = [
  /^dist\/.+\.(js|d\.ts)$/,
  /^data\/demo\/[\w.-]+\.(csv|geojson|json|zip|md)$/,
  /^data\/engines\/([\w.-]+\.(sh|yaml)|Dockerfile)$/,
  /^data\/(rootberth|manifest)\.schema\.json$/,
  /^(README\.md|LICENSE|CHANGELOG\.md|package\.json)$/,
];

function content() {
  const [pack] = JSON.parse(npm(['pack', '--json', '--ignore-scripts', '--pack-destination', dir], ROOT));
  const odd = pack.files.map((file) => file.path).filter((path) => !MEANT.some((one) => one.test(path)));
  check('nothing is packed but what is meant', odd.length === 0, odd.slice(0, 5).join(', '));
  const paths = pack.files.map((file) => file.path);
  for (const path of [
    'dist/index.js',
    'dist/index.d.ts',
    'dist/node.js',
    'dist/cli.js',
    'dist/overlap-worker.js',
    'dist/job-thread.js',
    'dist/read-worker.js',
    'dist/processor.js',
    'LICENSE',
    'data/demo/survey.zip',
    'data/engines/slurm-array.sh',
  ]) {
    check(`${path} is in it`, paths.includes(path));
  }
  check(
    'its size',
    pack.size < MOST_PACKED && pack.unpackedSize < MOST_UNPACKED && pack.entryCount <= MOST_FILES,
    `${pack.size} bytes packed, ${pack.unpackedSize} unpacked, ${pack.entryCount} files`,
  );
  return join(dir, pack.filename);
}

const BODY = `
const bytes = (value) => new TextEncoder().encode(JSON.stringify(value));
const point = { type: 'Point', coordinates: [-122.7, 45.5] };
const trees = readLayer(bytes({ type: 'Feature', properties: { id: 'oak', dbh_in: 24 }, geometry: point }), { name: 'trees.geojson' });
const ring = [[-122.69995, 45.4999], [-122.6998, 45.4999], [-122.6998, 45.5001], [-122.69995, 45.5001], [-122.69995, 45.4999]];
const house = readLayer(bytes({ type: 'Feature', properties: { id: 'house' }, geometry: { type: 'Polygon', coordinates: [ring] } }), { name: 'house.geojson' });
const assessment = assess({ trees, works: [{ layer: house, kind: 'building' }] });
console.log(assessment.trees[0]?.overlapPct?.toFixed(1), toGeoJSON(assessment).features.length > 3, explain(assessment, 0).length > 20);
`;
const IMPORT = "import { assess, explain, readLayer, toGeoJSON } from 'rootberth';";
const TYPED = `${IMPORT}
import type { Assessment, Rule, TreeResult } from 'rootberth';
import { assessFiles, type AssessFilesOptions } from 'rootberth/node';
${BODY.replace('(value)', '(value: unknown)')}
export const worst = (of: Assessment): TreeResult | undefined => of.trees.toSorted((a, b) => (b.overlapPct ?? 0) - (a.overlapPct ?? 0))[0];
export const title = (rule: Rule): string => rule.title;
const options: AssessFilesOptions = { trees: 't.csv', works: [{ path: 'w.geojson', kind: 'paving' }] };
export const run = (): Promise<Assessment> => assessFiles(options);
// @ts-expect-error a kind that there is none of
export const wrong: AssessFilesOptions = { trees: 't.csv', works: [{ path: 'w.geojson', kind: 'house' }] };
`;

function install(tarball) {
  mkdirSync(app);
  writeFileSync(join(app, 'package.json'), JSON.stringify({ name: 'app', private: true, type: 'module' }));
  npm(['install', '--prefer-offline', '--no-audit', '--no-fund', '--omit=optional', tarball], app);
  check('installs into an empty project', existsSync(join(app, 'node_modules/rootberth/dist/index.js')));
  const { packages } = JSON.parse(readFileSync(join(app, 'package-lock.json'), 'utf8'));
  const installed = Object.keys(packages).filter((one) => one !== '' && !packages[one].optional).length - 1;
  check(`installs at most ${MOST_INSTALLED} packages`, installed <= MOST_INSTALLED, String(installed));
}

function use() {
  const expected = '17.7 true true\n';
  writeFileSync(join(app, 'plain.mjs'), `${IMPORT}\n${BODY}`);
  check('plain JavaScript (ESM)', node('plain.mjs') === expected);
  writeFileSync(
    join(app, 'plain.cjs'),
    `(async () => {\nconst { assess, explain, readLayer, toGeoJSON } = await import('rootberth');\n${BODY}})();\n`,
  );
  check('plain JavaScript (CommonJS, import())', node('plain.cjs') === expected);
  writeFileSync(join(app, 'typed.ts'), TYPED);
  for (const [module, moduleResolution] of [
    ['nodenext', 'nodenext'],
    ['esnext', 'bundler'],
  ]) {
    const config = {
      compilerOptions: {
        strict: true,
        noEmit: moduleResolution === 'bundler',
        outDir: 'out',
        target: 'es2023',
        lib: ['es2023', 'dom'],
        module,
        moduleResolution,
        types: [],
        exactOptionalPropertyTypes: true,
      },
      files: ['typed.ts'],
    };
    writeFileSync(join(app, 'tsconfig.json'), JSON.stringify(config));
    const { status, stdout } = spawnSync(process.execPath, [join(ROOT, 'node_modules/typescript/bin/tsc'), '-p', '.'], {
      cwd: app,
      encoding: 'utf8',
    });
    check(
      `TypeScript, ${moduleResolution}, its declarations checked too`,
      status === 0,
      stdout.split('\n').slice(0, 6).join('\n'),
    );
  }
  check('what TypeScript emitted runs', node('out/typed.js') === expected);
  const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8'));
  const bin = join(app, 'node_modules/.bin/rootberth');
  check('the command', execFileSync(bin, ['--version'], { encoding: 'utf8' }) === `${version}\n`);
  execFileSync(bin, ['demo', 'out-demo'], { cwd: app, stdio: 'ignore' });
  check(
    'its demo',
    existsSync(join(app, 'out-demo/assessed.geojson')) && existsSync(join(app, 'out-demo/report.html')),
  );
}

const SAY_CPU =
  'data:text/javascript,process.on("exit",()=>{const{user,system}=process.cpuUsage();process.stderr.write(String((user+system)/1000))})';

/** Processor time, the least of several runs in turn: what the program costs, and not what else the machine does. */
function startup() {
  const cost = (...args) =>
    Number(spawnSync(process.execPath, ['--import', SAY_CPU, ...args], { encoding: 'utf8' }).stderr);
  const cli = join(app, 'node_modules/rootberth/dist/cli.js');
  let empty = Infinity;
  let ours = Infinity;
  for (let i = 0; i < 9; i++) {
    empty = Math.min(empty, cost('-e', '0'));
    ours = Math.min(ours, cost(cli, 'rules'));
  }
  const told = `${Math.round(ours)} ms, ${Math.round(empty)} ms of processor`;
  check(`rules takes at most ${MOST_STARTUP} times an empty Node`, ours < MOST_STARTUP * empty, told);
}

try {
  const tarball = content();
  install(tarball);
  use();
  startup();
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 1;
} finally {
  rmSync(dir, { recursive: true, force: true });
}
