// One tile of a split job. In: a manifest, a tile's number; out: its result in the manifest's folder.
// Deterministic and idempotent: the same bytes on any machine, however often it runs; a tile that is done is not run again.
// Terms: see manifest.ts and results.ts; own = the trees a tile writes, in contrast to witnesses.

import { basename, dirname } from 'node:path';
import { type AssessJob, assess } from '../../assess/index.js';
import {
  type Assessment,
  InputError,
  type Layer,
  type LayerRole,
  type TreeResult,
  treeViews,
  VERDICTS,
  VERSION,
  verdictNumber,
  type WorksInput,
} from '../../model/index.js';
import type { Database } from '../../postgis/index.js';
import { fromRuns } from '../../tiles/index.js';
import { isRingCut, TREE_ROLES, treeRecords } from '../../write/index.js';
import { readGrid } from '../read/grid-file.js';
import { isKeptOver } from '../write/over.js';
import { outputSystem } from '../write/write-assessment.js';
import {
  type Manifest,
  manifestInvalid,
  placedIn,
  readManifest,
  readTilePlan,
  type TilePlan,
  withPaths,
} from './manifest.js';
import { isWhole, readTileRecord, type Section, type TileRecord, writeTile } from './results.js';
import { changed, tileLayers } from './tile-layers.js';
import '../crs.js';

export interface RunTileOptions {
  /** Run it although its result exists. */
  readonly again?: boolean | undefined;
  /** Called with the number of trees measured. */
  readonly onProgress?: ((done: number, total: number) => void) | undefined;
  readonly signal?: AbortSignal | undefined;
  /** Where the tables of the job are; default: what the variables PGHOST and so on say. */
  readonly database?: Database | undefined;
}

/** The result of a tile. */
export interface TileRun {
  readonly record: TileRecord;
  /** It was done before: nothing was measured. */
  readonly isOld: boolean;
}

/**
 * Runs one tile and writes its result, under another name until it is whole.
 *
 * @throws InputError `tile-unknown` (usage), `manifest-*`, `input-changed`, `version-differs`, and those of writing files
 * @example
 * const { record } = await runTile('job.json', 17);
 * record.trees.in; // 10234
 */
export async function runTile(manifestPath: string, index: number, options: RunTileOptions = {}): Promise<TileRun> {
  const manifest = await readManifest(manifestPath);
  checkVersion(manifest, manifestPath);
  const plan = await readTilePlan(manifestPath, manifest, index);
  const old = options.again === true ? null : await readTileRecord(manifestPath, manifest, index);
  if (old !== null && (await isWhole(manifestPath, old))) return { record: old, isOld: true };
  const layers = await tileLayers(manifestPath, manifest, plan, options.database);
  options.signal?.throwIfAborted();
  const assessment = assess(await jobOf(manifestPath, manifest, layers, options));
  return { record: await written(manifestPath, manifest, plan, assessment), isOld: false };
}

/** Tiles of another version could differ in their last digits: they are not merged. */
export function checkVersion(manifest: Manifest, path: string): void {
  if (manifest.rootberth === VERSION) return;
  throw new InputError(
    'version-differs',
    `the manifest ${basename(path)} was split by rootberth ${manifest.rootberth}, this is ${VERSION}`,
    { layer: basename(path), cure: 'use the same version on every machine, or split the job again' },
  );
}

/** The job of a tile: the options of the whole one, with the tile's layers. */
async function jobOf(
  manifestPath: string,
  manifest: Manifest,
  layers: readonly Layer[],
  { onProgress, signal }: RunTileOptions,
): Promise<AssessJob> {
  const job = withPaths(manifest.job, placedIn(dirname(manifestPath)));
  const {
    trees: _trees,
    works: files,
    lots: _lots,
    existing: _existing,
    zones: _zones,
    crowns: _crowns,
    limbList: _limbs,
    rule,
    read: _read,
    gridFiles = [],
    ...options
  } = job;
  const grids = await Promise.all(gridFiles.map(readGrid));
  grids.forEach(({ sha256, name }, i) => {
    if (sha256 !== manifest.grids[i]) throw changed(name);
  });
  const of = (role: LayerRole): Layer[] => layers.filter((_, i) => manifest.inputs[i]?.role === role);
  const [trees] = of('trees');
  if (trees === undefined) throw manifestInvalid(basename(manifestPath), 'names no trees');
  const works = of('works').map((layer, i): WorksInput => {
    const file = files?.[i];
    if (file === undefined || typeof file === 'string') return { layer };
    const { kind, option } = file;
    return { layer, ...(kind === undefined ? {} : { kind }), ...(option === undefined ? {} : { option }) };
  });
  const [lots] = of('lots');
  const [zones] = of('zones');
  const [crowns] = of('crowns');
  const existing = of('existing');
  return {
    trees,
    works,
    ...(lots === undefined ? {} : { lots }),
    ...(zones === undefined ? {} : { zones }),
    ...(crowns === undefined ? {} : { crowns }),
    ...(existing.length === 0 ? {} : { existing }),
    ...(rule === undefined ? {} : { rule }),
    options: {
      ...options,
      ...(grids.length === 0 ? {} : { grids }),
      ...(manifest.letters === undefined ? {} : { values: { ...manifest.letters, ...options.values } }),
      margins: manifest.margins,
    },
    signal,
    onProgress: onProgress && (({ done, total }) => onProgress(done, total)),
  };
}

async function written(
  manifestPath: string,
  manifest: Manifest,
  plan: TilePlan,
  assessment: Assessment,
): Promise<TileRecord> {
  const rows = assessment.job.trees.layer.part!.rows;
  const own = ownTrees(assessment, rows, plan);
  const verdicts: number[] = [];
  let over = 0;
  let ringCut = false;
  for (const [, tree] of own()) {
    verdicts.push(verdictNumber(tree.verdict));
    if (isKeptOver(assessment, tree)) over++;
    ringCut ||= isRingCut(assessment, tree);
  }
  const notAssessed = verdicts.filter((index) => index === VERDICTS.indexOf('not-assessed')).length;
  return writeTile(
    manifestPath,
    {
      manifest: manifest.id,
      tile: plan.tile,
      trees: { in: verdicts.length, assessed: verdicts.length - notAssessed, notAssessed },
      verdicts: verdicts.join(''),
      over,
      ringCut,
    },
    sectionsOf(manifest, assessment, own),
  );
}

/** The tile's own trees, each with its row in the whole job; witnesses are skipped. */
type OwnTrees = () => Generator<readonly [row: number, tree: TreeResult]>;

function ownTrees(assessment: Assessment, rows: Uint32Array, plan: TilePlan): OwnTrees {
  const owned = new Set(fromRuns(plan.owned));
  return function* () {
    for (const tree of treeViews(assessment)) {
      const row = rows[tree.row]!;
      if (owned.has(row)) yield [row, tree];
    }
  };
}

function* keysOf(trees: Iterable<readonly [row: number, tree: TreeResult]>): Generator<readonly [number, string]> {
  for (const [row, { key, reasons }] of trees) if (reasons.includes('margin-not-found')) yield [row, key];
}

/** Per role its features, then the findings of drawing them, with the rows of the whole job. */
function* sectionsOf(manifest: Manifest, assessment: Assessment, own: OwnTrees): Generator<Section> {
  const { units, prefix, roles, outCrs, files } = manifest.written;
  const schedule = files.schedule !== undefined;
  const output = outputSystem(outCrs === null ? {} : { outCrs }) ?? undefined;
  const options = { units, prefix, roles, output };
  const names = [...TREE_ROLES.filter((role) => roles.includes(role)), ...(schedule ? (['schedule'] as const) : [])];
  // Whose margins were given up: the merge tells it once for all tiles.
  const givenUp = names.includes('tree') || schedule ? own() : [];
  yield { name: 'margin-not-found', entries: keysOf(givenUp) };
  for (const name of names) {
    const records = treeRecords(assessment, options, name);
    const told: (readonly [row: number, text: string])[] = [];
    const entries = function* (): Generator<readonly [row: number, text: string]> {
      for (const [row, tree] of own()) {
        const before = records.findings.length;
        for (const text of records.of(tree)) yield [row, text];
        for (const one of records.findings.slice(before)) told.push([row, JSON.stringify({ ...one, feature: row })]);
      }
    };
    yield { name, entries: entries() };
    yield { name: `${name}-findings`, entries: told };
  }
}
