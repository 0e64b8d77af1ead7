// Whether a split job may be merged. In: a manifest and what its tiles left; out: their records and every tree's verdict, or an
// InputError that says what is missing or differs. Terms: see manifest.ts; reconcile = in equals out, hashes hold.

import { readFile, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import type { AssessJob } from '../../assess/index.js';
import type { Layer, LayerRole } from '../../model/index.js';
import { InputError } from '../../model/index.js';
import type { Database } from '../../postgis/index.js';
import { fromRuns } from '../../tiles/index.js';
import type { Told, WrittenAs } from '../../write/index.js';
import { hashOfInput } from '../read/files.js';
import {
  folderOf,
  type Manifest,
  manifestInvalid,
  placedIn,
  readManifest,
  readTilePlan,
  sha256Of,
  withPaths,
} from './manifest.js';
import type { RoleFields } from './merged-tables.js';
import { dataPath, isWhole, readTileRecord, type TileRecord } from './results.js';
import { changed } from './tile-layers.js';

/** What the split left for the merge. */
export type Front = Told & {
  readonly plan: WrittenAs;
  /** Where the merge writes tables: their fields. */
  readonly tables?: readonly RoleFields[];
};

export async function readFront(path: string, { front }: Manifest): Promise<Front> {
  const text = await readFile(join(folderOf(path), front.file), 'utf8').catch(() => null);
  if (text === null || sha256Of(text) !== front.sha256)
    throw manifestInvalid(basename(path), `does not match its ${front.file}`);
  return JSON.parse(text) as Front;
}

export function jobOf(path: string, { job }: Manifest): Manifest['job'] {
  return withPaths(job, placedIn(dirname(path)));
}

const NAMED = 10;

/** The records of all tiles, each with its data whole. */
export async function recordsOf(path: string, manifest: Manifest): Promise<readonly TileRecord[]> {
  const records: TileRecord[] = [];
  const missing: number[] = [];
  for (let index = 0; index < manifest.tiles.length; index++) {
    const record = await readTileRecord(path, manifest, index);
    if (record === null) missing.push(index);
    else if (await isWhole(path, record)) records.push(record);
    else {
      throw new InputError('tile-damaged', `the result of tile ${index} has changed since it was written`, {
        cure: `run it again: rootberth run --manifest ${basename(path)} --index ${index} --again`,
      });
    }
  }
  if (missing.length === 0) return records;
  const named = `${missing.slice(0, NAMED).join(', ')}${missing.length > NAMED ? ', ...' : ''}`;
  throw new InputError('tiles-missing', `${missing.length} of ${manifest.tiles.length} tiles are not done: ${named}`, {
    cure: 'run them; the others stay as they are',
  });
}

/**
 * The tiles that have to be run before the job can be merged: not done, or with data that is gone or cut short. The content
 * of the data is read only by the merge, which checks every byte against the record.
 *
 * @throws InputError `manifest-*`
 * @example
 * await missingTiles('job.json'); // [3, 17]
 */
export async function missingTiles(manifestPath: string): Promise<readonly number[]> {
  const manifest = await readManifest(manifestPath);
  const missing: number[] = [];
  for (let index = 0; index < manifest.tiles.length; index++) {
    const record = await readTileRecord(manifestPath, manifest, index);
    const bytes = (await stat(dataPath(manifestPath, index)).catch(() => null))?.size;
    if (record === null || record.bytes !== bytes) missing.push(index);
  }
  return missing;
}

/** Checks by hash that every input is unchanged. */
export async function checkInputs(
  path: string,
  manifest: Manifest,
  front: Front,
  database: Database | undefined,
): Promise<void> {
  const place = placedIn(dirname(path));
  for (const { path: file, sha256, facts } of manifest.inputs) {
    if ((await hashOfInput(place(file), database)) !== sha256) throw changed(facts.name);
  }
  const { limbList } = jobOf(path, manifest);
  const limbs = front.inputs.find(({ role }) => role === 'limbs');
  if (limbList !== undefined && (await hashOfInput(limbList, database)) !== limbs?.sha256)
    throw changed(basename(limbList));
}

/** Checks that a table has not changed between hashing and reading again. */
export function checkLayers({ inputs }: Manifest, read: AssessJob): void {
  const { trees, works, lots, existing = [], zones, crowns } = read;
  const of: Partial<Record<LayerRole, readonly (Layer | undefined)[]>> = {
    trees: [trees],
    works: (works ?? []).map(({ layer }) => layer),
    lots: [lots],
    existing,
    zones: [zones],
    crowns: [crowns],
  };
  const taken = new Map<LayerRole, number>();
  for (const { role, sha256, facts } of inputs) {
    const place = taken.get(role) ?? 0;
    taken.set(role, place + 1);
    const found = of[role]?.[place]?.sha256 ?? sha256;
    if (found !== sha256) throw changed(facts.name);
  }
}

/** The verdict of every tree, once each. */
export async function verdictsOf(
  path: string,
  manifest: Manifest,
  records: readonly TileRecord[],
): Promise<Uint8Array> {
  const unset = 255;
  const verdicts = new Uint8Array(manifest.trees).fill(unset);
  for (const record of records) {
    const rows = fromRuns((await readTilePlan(path, manifest, record.tile)).owned);
    const { trees } = record;
    if (
      rows.length !== trees.in ||
      record.verdicts.length !== trees.in ||
      trees.assessed + trees.notAssessed !== trees.in
    ) {
      throw unreconciled(`tile ${record.tile} owns ${rows.length} trees but counts ${trees.in}`);
    }
    const [main] = record.sections.filter(({ name }) => name === 'tree');
    if (main !== undefined && main.records !== trees.in) {
      throw unreconciled(`tile ${record.tile} owns ${rows.length} trees but wrote ${main.records}`);
    }
    rows.forEach((row, i) => {
      if (verdicts[row] !== unset) throw unreconciled(`tree ${row} is in two tiles`);
      verdicts[row] = Number(record.verdicts[i]);
    });
  }
  const lost = verdicts.indexOf(unset);
  if (lost >= 0) throw unreconciled(`tree ${lost} is in no tile`);
  return verdicts;
}

export function unreconciled(what: string): InputError {
  return new InputError('tiles-unreconciled', `counts in and out differ: ${what}`, { cure: 'split the job again' });
}
