// A job -> a manifest. In: the options of a job, how many tiles, where the manifest goes; out: the manifest and its folder.
// The one step that reads every input whole: it checks and places all rows, measures nothing, and cuts the trees into tiles.
// Terms: see manifest.ts; front = what does not wait for the tiles: works, what exists, findings, the head of the file.

import { mkdir, rm } from 'node:fs/promises';
import { dirname, join, resolve } from 'node:path';
import { type AssessJob, assess } from '../../assess/index.js';
import type { Assessment } from '../../model/index.js';
import { InputError, VERSION } from '../../model/index.js';
import { isTable } from '../../postgis/index.js';
import { boxesOf, partition, runsOf, treeCosts } from '../../tiles/index.js';
import { featureTexts, planOf, type Role, scheduleLines, tablesOf, toldOf, type WrittenAs } from '../../write/index.js';
import { type AssessFilesOptions, ruleFrom, withJobFiles } from '../assess-files.js';
import { withEachLayer } from '../several-layers.js';
import { outputSystem } from '../write/write-assessment.js';
import { writePieces } from '../write/write-file.js';
import { haloOf } from './halo.js';
import { inputOf, keysFrom, manifestInput, readsAlike, type SplitInput, tileInput } from './inputs.js';
import {
  folderOf,
  idOf,
  MANIFEST_VERSION,
  type Manifest,
  type ManifestJob,
  type ManifestTile,
  seenFrom,
  sha256Of,
  type TilePlan,
  tileName,
  withOutputs,
  withPaths,
} from './manifest.js';
import type { RoleFields } from './merged-tables.js';
import type { Front } from './reconcile.js';
import { refuseUnsplittable } from './refuse.js';
import type { SplitOptions } from './split-options.js';
import { type Rows, rowFinder } from './tile-rows.js';

/** Measures nothing: a split does not need figures. */
const UNMEASURED: NonNullable<AssessJob['runner']> = { shared: false, run: () => undefined };

/**
 * Splits a job into tiles and writes the manifest, with its folder `<manifest>.d` beside it. Reads every input once.
 *
 * @throws InputError of `assessFiles`; `split-stdin`, `split-tiles`, `split-unsplittable` (usage) for what tiles can't do
 * @example
 * const manifest = await splitJob({ trees: 'trees.geojson', works: ['plan.geojson'] }, { tiles: 64 }, 'job.json');
 */
export async function splitJob(
  asked: AssessFilesOptions,
  options: SplitOptions,
  manifestPath: string,
): Promise<Manifest> {
  refuseUnsplittable(asked, options);
  const rules = await rulesOf(asked);
  const job = await withEachLayer(asked);
  return withJobFiles({ ...job, threads: 1 }, async (read) => {
    const survey = assess({ ...read, runner: UNMEASURED });
    return new Splitter(job, rules, options, manifestPath, read, survey).write();
  });
}

async function rulesOf({ rule }: AssessFilesOptions): Promise<ManifestJob['rule']> {
  if (rule === undefined) return undefined;
  const list = Array.isArray(rule) ? rule : [rule];
  return list.length === 0 ? undefined : Promise.all(list.map(ruleFrom));
}

class Splitter {
  readonly #job: AssessFilesOptions;
  readonly #rules: ManifestJob['rule'];
  readonly #options: SplitOptions;
  readonly #path: string;
  readonly #folder: string;
  readonly #read: AssessJob;
  readonly #survey: Assessment;

  constructor(
    job: AssessFilesOptions,
    rules: ManifestJob['rule'],
    options: SplitOptions,
    path: string,
    read: AssessJob,
    survey: Assessment,
  ) {
    this.#job = job;
    this.#rules = rules;
    this.#options = options;
    this.#path = path;
    this.#folder = folderOf(path);
    this.#read = read;
    this.#survey = survey;
  }

  async write(): Promise<Manifest> {
    const { trees, treeLonLat, works, worksLonLat } = this.#survey.job;
    if (trees.count === 0) throw noTrees(trees.layer.name);
    await rm(this.#folder, { recursive: true, force: true });
    await mkdir(join(this.#folder, 'tiles'), { recursive: true });
    const halo = haloOf(this.#survey, this.#read);
    const boxes = boxesOf(works.geometry, worksLonLat);
    const costs = treeCosts(treeLonLat, { boxes, geometry: works.geometry });
    const tiling = partition(treeLonLat, costs, this.#tiles(trees.count));
    const inputs = await this.#inputs();
    const rowsOf = rowFinder(this.#survey, inputs, boxes, halo);
    const owned = rowsByTile(tiling.tileOf, tiling.count);
    const tiles: ManifestTile[] = [];
    for (let tile = 0; tile < tiling.count; tile++) {
      const own = owned[tile]!;
      const corners = [...tiling.boxes.subarray(tile * 4, tile * 4 + 4)];
      const box = corners.some(Number.isNaN) ? null : corners;
      const rows = rowsOf(own, box);
      if (tile === 0) await this.#settle(inputs, rows);
      const plan: TilePlan = {
        tile,
        owned: runsOf(own),
        inputs: await Promise.all(inputs.map((input, i) => tileInput(input, rows[i]!.rows, rows[i]!.apart))),
      };
      const text = `${JSON.stringify(plan)}\n`;
      const file = `tiles/${tileName(tile)}.json`;
      await writePieces(join(this.#folder, file), one(text));
      const near = inputs.reduce((sum, { role }, i) => sum + (role === 'works' ? rows[i]!.rows.length : 0), 0);
      const cost = tiling.costs[tile]!;
      tiles.push({ trees: own.length, works: near, cost, box, plan: file, sha256: sha256Of(text) });
    }
    return this.#manifest(inputs, halo, tiles);
  }

  #tiles(trees: number): number {
    const { tiles, treesPerTile } = this.#options;
    return tiles ?? Math.ceil(trees / (treesPerTile ?? trees));
  }

  /** Every input with its layer, in the order of the job: trees, works, lots, existing, zones, crowns. */
  async #inputs(): Promise<SplitInput[]> {
    const { trees, works, lots, existing } = this.#survey.job;
    const job = this.#job;
    const read = this.#read;
    const inputs: SplitInput[] = [];
    const add = async (
      role: SplitInput['role'],
      path: string | undefined,
      layer: SplitInput['layer'] | undefined,
      keyOf: SplitInput['keyOf'],
      within?: string,
    ) => {
      if (path === undefined || layer === undefined) return;
      const options = { database: job.database, crs: job.crsFor?.[role] ?? job.crs, ...job.read?.[role] };
      inputs.push(await inputOf(role, path, layer, options, keyOf, within));
    };
    await add('trees', job.trees, read.trees, keysFrom(trees.key, 0));
    let base = 0;
    for (const [i, file] of (job.works ?? []).entries()) {
      const layer = read.works?.[i]?.layer;
      const { path, layer: within } = typeof file === 'string' ? { path: file, layer: undefined } : file;
      await add('works', path, layer, keysFrom(works.key, base), within);
      base += layer?.count ?? 0;
    }
    if (lots !== null) await add('lots', job.lots, read.lots, keysFrom(lots.key, 0));
    base = 0;
    for (const [i, path] of (job.existing ?? []).entries()) {
      const layer = read.existing?.[i];
      if (existing !== null) await add('existing', path, layer, keysFrom(existing.works.key, base));
      base += layer?.count ?? 0;
    }
    await add('zones', job.zones, read.zones, null);
    await add('crowns', job.crowns, read.crowns, null);
    return inputs;
  }

  /** Inputs whose parts do not read as the whole does are read whole: tried on the first tile. */
  async #settle(inputs: SplitInput[], rows: readonly Rows[]): Promise<void> {
    for (const [i, input] of inputs.entries()) {
      const { rows: wanted, apart } = rows[i]!;
      if (await readsAlike(input, await tileInput(input, wanted, apart), wanted)) continue;
      inputs[i] = { ...input, located: { read: 'whole' } };
    }
  }

  async #manifest(
    inputs: readonly SplitInput[],
    haloM: Manifest['haloM'],
    tiles: Manifest['tiles'],
  ): Promise<Manifest> {
    const seen = seenFrom(dirname(resolve(this.#path)));
    const survey = this.#survey;
    const { units = 'metric', prefix = 'rb_', outCrs, files = {} } = this.#options;
    const output = outputSystem({ outCrs }) ?? undefined;
    const plan = planOf({ units, prefix, roles: this.#options.roles, output }, survey);
    const manifest: Omit<Manifest, 'id'> = {
      format: 'rootberth-manifest',
      formatVersion: MANIFEST_VERSION,
      rootberth: VERSION,
      job: withPaths(dataOf(this.#job, this.#rules, survey), seen),
      written: { units, prefix, roles: [...plan.roles], outCrs: outCrs ?? null, files: withOutputs(files, seen) },
      ...(survey.job.trees.letters === undefined ? {} : { letters: survey.job.trees.letters }),
      margins: this.#job.margins ?? survey.job.trees.count <= 1000,
      whole: this.#needsWhole(plan.roles) || files.lotTable !== undefined,
      haloM,
      inputs: inputs.map((input) => manifestInput(input, seen(input.path))),
      grids: (survey.options.grids ?? []).map(({ sha256 }) => sha256),
      front: await this.#front(
        { ...plan, output: plan.output === null ? null : { crs: plan.output.crs } },
        isTable(files.out ?? '') ? tablesOf(survey, plan).tables.map(({ role, fields }) => ({ role, fields })) : null,
      ),
      trees: survey.job.trees.count,
      tiles,
    };
    const whole: Manifest = { ...manifest, id: idOf(manifest) };
    await writePieces(this.#path, one(`${JSON.stringify(whole, null, 1)}\n`));
    return whole;
  }

  /** Fences may enclose trees of several tiles; figures of lots and replacement are sums over tiles. */
  #needsWhole(roles: readonly Role[]): boolean {
    const { job, options } = this.#survey;
    return roles.includes('fence') || (job.lots !== null && roles.includes('lot')) || options.mitigation !== undefined;
  }

  /** What the merge writes that no tile makes. */
  async #front(plan: WrittenAs, tables: readonly RoleFields[] | null): Promise<Manifest['front']> {
    const told: Front = {
      ...(tables === null ? {} : { tables }),
      ...toldOf(this.#survey, { roles: plan.roles.filter((role) => role !== 'fence'), stamp: plan.stamp }),
      plan,
    };
    const text = `${JSON.stringify(told)}\n`;
    await writePieces(join(this.#folder, 'front.json'), one(text));
    const lines = async (role: 'works' | 'existing'): Promise<number> => {
      let count = 0;
      const texts = featureTexts(this.#survey, { ...this.#options, roles: [role], output: this.#output() });
      await writePieces(
        join(this.#folder, `${role}.ndjson`),
        counted(texts, () => count++),
      );
      return count;
    };
    const { heading } = scheduleLines(this.#survey, { units: this.#options.units });
    return {
      file: 'front.json',
      sha256: sha256Of(text),
      works: await lines('works'),
      existing: await lines('existing'),
      scheduleHeading: heading,
    };
  }

  #output() {
    return outputSystem({ outCrs: this.#options.outCrs }) ?? undefined;
  }
}

function rowsByTile(tileOf: Uint32Array, count: number): Uint32Array[] {
  const sizes = new Uint32Array(count);
  for (const tile of tileOf) sizes[tile] = sizes[tile]! + 1;
  const rows = Array.from(sizes, (size) => new Uint32Array(size));
  const at = new Uint32Array(count);
  tileOf.forEach((tile, row) => {
    rows[tile]![at[tile]!] = row;
    at[tile] = at[tile]! + 1;
  });
  return rows;
}

/** The job as data: rules and mitigation themselves in place of their files. */
function dataOf(job: AssessFilesOptions, rule: ManifestJob['rule'], { options }: Assessment): ManifestJob {
  const { onStep: _1, onProgress: _2, signal: _3, threads: _4, rule: _5, mitigationFile: _6, grids: _7, ...rest } = job;
  const { database: _8, treeFactsFile: _9, ...data } = rest; // each machine has its own address and password for it
  const read = Object.fromEntries(
    Object.entries(data.read ?? {}).map(([role, { stdin: _stdin, progress: _progress, ...own } = {}]) => [role, own]),
  );
  return {
    ...data,
    read,
    ...(rule === undefined ? {} : { rule }),
    ...(options.mitigation === undefined ? {} : { mitigation: options.mitigation }),
    ...(options.treeFacts === undefined ? {} : { treeFacts: options.treeFacts }),
  };
}

function noTrees(layer: string): InputError {
  return new InputError('split-tiles', `${layer} holds no tree: there is nothing to split`, {
    layer,
    cure: 'check the file and how it is read',
  });
}

function* one(text: string): Generator<string, void, undefined> {
  yield text;
}

/** Texts as lines. */
function* counted(texts: Iterable<string>, each: () => void): Generator<string, void, undefined> {
  for (const text of texts) {
    each();
    yield `${text}\n`;
  }
}
