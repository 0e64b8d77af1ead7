// The manifest of a split job: what every engine that runs tiles must know. In: a path; out: a Manifest, checked.
// Terms: manifest = one JSON file; its folder (F.json.d) holds a plan per tile, the results, and what the merge needs.
// docs/scale.md and data/manifest.schema.json publish both shapes.

import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { basename, dirname, join, relative, resolve, sep } from 'node:path';
import * as v from 'valibot';
import type { LayerRole, Rule } from '../../model/index.js';
import { InputError } from '../../model/index.js';
import { isTable } from '../../postgis/index.js';
import type { LayerFacts } from '../../tiles/index.js';
import type { Units } from '../../write/index.js';
import type { AssessFilesOptions } from '../assess-files.js';

/** Increased when a reader of the old shape could misread the new one. */
export const MANIFEST_VERSION = 1;

/** The job's options: those of `assessFiles`, with rule and mitigation as data and files as seen from the manifest's folder. */
export type ManifestJob = Omit<
  AssessFilesOptions,
  'rule' | 'mitigationFile' | 'treeFactsFile' | 'grids' | 'onStep' | 'onProgress' | 'signal' | 'threads'
> & { readonly rule?: readonly Rule[] };

/** An input as the manifest lists it. */
export interface ManifestInput {
  readonly role: LayerRole;
  readonly path: string; // as seen from the manifest's folder
  /** Which of the file's layers, where a job takes several of them. */
  readonly layer?: string | undefined;
  readonly sha256: string;
  readonly rows: number;
  /** How a tile reads it: `ranges` of bytes, `box` of coordinates, some rows of a `table` of a database, or the `whole` file. */
  readonly read: 'ranges' | 'box' | 'table' | 'whole';
  /** What only the whole layer shows. */
  readonly facts: LayerFacts;
  /** Text that stands before the ranges of a table: its delimiter and heading. */
  readonly head?: string | undefined;
}

/** A tile as the manifest lists it. */
export interface ManifestTile {
  readonly trees: number; // owned
  readonly works: number; // within reach
  readonly cost: number; // estimated, in trees without works
  readonly box: readonly number[] | null; // of the owned trees: west, south, east, north
  readonly plan: string; // file in the manifest's folder
  readonly sha256: string; // of that file
}

/** What a split job writes when it is merged, each on its own; paths. */
export interface OutputFiles {
  /** The annotated collection: GeoJSON; one feature a line where the name ends in .ndjson; tables: postgis:SCHEMA.NAME. */
  readonly out?: string | undefined;
  readonly schedule?: string | undefined;
  readonly findings?: string | undefined;
  readonly lotTable?: string | undefined;
}

export interface Manifest {
  readonly format: 'rootberth-manifest';
  readonly formatVersion: number;
  readonly rootberth: string; // the version that split it; tiles and merge need the same version
  readonly id: string; // hash of everything else here
  readonly job: ManifestJob;
  readonly written: {
    readonly units: Units;
    readonly prefix: string;
    readonly roles: readonly string[];
    readonly outCrs: string | null;
    /** Where the merge writes unless it gets other paths; a schedule named here is made by the tiles. */
    readonly files: OutputFiles;
  };
  /** Whether tiles find margins: settled for the whole job, not tile by tile. */
  readonly margins: boolean;
  /** Letters that the words of the whole survey settle, as `values` map them: a tile may not hold those words. */
  readonly letters?: Readonly<Record<string, string>> | undefined;
  /** Whether the merge has to read the inputs once more: lots, fences and mitigation look across tiles. */
  readonly whole: boolean;
  /** How far tiles look round their trees, metres: for works, and for lots and what exists. */
  readonly haloM: { readonly works: number; readonly ground: number };
  readonly inputs: readonly ManifestInput[];
  readonly grids: readonly (string | null)[]; // SHA-256 of the shift grids
  /** Output that does not depend on the tiles. */
  readonly front: {
    readonly file: string;
    readonly sha256: string;
    readonly works: number; // features in works.ndjson
    readonly existing: number;
    readonly scheduleHeading: string;
  };
  readonly trees: number;
  readonly tiles: readonly ManifestTile[];
}

const count = v.pipe(v.number(), v.integer(), v.minValue(0));
const file = v.optional(v.string());
const hash = v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/));

const inputSchema: v.GenericSchema<unknown, ManifestInput> = v.object({
  role: v.picklist(['trees', 'works', 'lots', 'existing', 'zones', 'crowns', 'limbs']),
  path: v.string(),
  layer: file,
  sha256: hash,
  rows: count,
  read: v.picklist(['ranges', 'box', 'table', 'whole']),
  facts: v.custom<LayerFacts>(isFacts, 'facts about the whole layer are missing'),
  head: v.optional(v.string()),
});

function isFacts(value: unknown): boolean {
  const { name, format, fields } = (value ?? {}) as Partial<LayerFacts>;
  return typeof name === 'string' && typeof format === 'string' && Array.isArray(fields);
}

const tileSchema: v.GenericSchema<unknown, ManifestTile> = v.object({
  trees: count,
  works: count,
  cost: v.number(),
  box: v.nullable(v.pipe(v.array(v.number()), v.length(4))),
  plan: v.string(),
  sha256: hash,
});

const manifestSchema: v.GenericSchema<unknown, Manifest> = v.object({
  format: v.literal('rootberth-manifest'),
  formatVersion: v.literal(MANIFEST_VERSION),
  rootberth: v.string(),
  id: hash,
  job: v.custom<ManifestJob>((value) => typeof value === 'object' && value !== null),
  written: v.object({
    units: v.picklist(['metric', 'us']),
    prefix: v.string(),
    roles: v.array(v.string()),
    outCrs: v.nullable(v.string()),
    files: v.object({ out: file, schedule: file, findings: file, lotTable: file }),
  }),
  margins: v.boolean(),
  letters: v.optional(v.record(v.string(), v.string())),
  whole: v.boolean(),
  haloM: v.object({ works: v.number(), ground: v.number() }),
  inputs: v.array(inputSchema),
  grids: v.array(v.nullable(v.string())),
  front: v.object({ file: v.string(), sha256: hash, works: count, existing: count, scheduleHeading: v.string() }),
  trees: count,
  tiles: v.array(tileSchema),
});

/** One tile's part of an input. */
export interface TileInput {
  readonly rows: readonly number[]; // runs (first, count) of the rows it loads
  readonly keys: readonly string[] | null; // the names of these rows in the whole job; null where the layer names no rows
  readonly ranges?: readonly number[]; // offset, length in bytes, in the order of the rows
  readonly boxes?: readonly TileBox[];
  readonly sha256?: string; // of the bytes of the ranges, one after another; of boxes, of what is in the rows
}

/** Rows of an input that is read by boxes: `found` are all that meet the box, in the order of the file; of null, those without a place. */
export interface TileBox {
  readonly box: readonly [number, number, number, number] | null;
  readonly found: readonly number[]; // runs
}

/** A tile's plan: F.json.d/tiles/000017.json. */
export interface TilePlan {
  readonly tile: number;
  readonly owned: readonly number[]; // runs of the rows of trees that are its own
  readonly inputs: readonly TileInput[]; // parallel to those of the manifest
}

/** The folder beside a manifest. */
export function folderOf(manifestPath: string): string {
  return join(dirname(manifestPath), `${basename(manifestPath)}.d`);
}

/** File name of a tile, by its number. */
export function tileName(index: number): string {
  return String(index).padStart(6, '0');
}

export function sha256Of(bytes: string | Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}

/** The id of a manifest: the hash of all else in it, so that results of another split are never mistaken for its own. */
export function idOf(manifest: Omit<Manifest, 'id'>): string {
  const { id: _, ...rest } = manifest as Manifest;
  return sha256Of(JSON.stringify(rest));
}

/**
 * Reads a manifest.
 *
 * @throws InputError `manifest-unreadable`, `manifest-invalid` (not one, of another version, or changed by hand)
 */
export async function readManifest(path: string): Promise<Manifest> {
  const name = basename(path);
  let text: string;
  try {
    text = await readFile(path, 'utf8');
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : String(error);
    throw new InputError('manifest-unreadable', `the manifest ${name} can't be read (${code})`, {
      layer: name,
      cure: 'check its name and folder; rootberth split writes one',
    });
  }
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    throw manifestInvalid(name, 'is not JSON');
  }
  const checked = v.safeParse(manifestSchema, json);
  if (!checked.success) {
    const [issue] = checked.issues;
    throw manifestInvalid(name, `has a fault at ${v.getDotPath(issue) ?? 'its start'}: ${issue.message}`);
  }
  const manifest = checked.output;
  if (idOf(json as Manifest) !== manifest.id) throw manifestInvalid(name, 'was changed after it was written');
  return manifest;
}

export function manifestInvalid(name: string, what: string): InputError {
  return new InputError('manifest-invalid', `the manifest ${name} ${what}`, {
    layer: name,
    cure: 'split the job again with this version of rootberth',
  });
}

/**
 * A tile's plan.
 *
 * @throws InputError `tile-unknown` (usage), `manifest-invalid` when the plan is not the one the manifest names
 */
export async function readTilePlan(path: string, manifest: Manifest, index: number): Promise<TilePlan> {
  const tile = manifest.tiles[index];
  if (tile === undefined) {
    throw new InputError('tile-unknown', `there is no tile ${index}`, {
      cure: `tiles of this manifest are 0 to ${manifest.tiles.length - 1}`,
      usage: true,
    });
  }
  const bytes = await readFile(join(folderOf(path), tile.plan)).catch(() => null);
  if (bytes === null) throw manifestInvalid(basename(path), `lacks the file ${tile.plan} in its folder`);
  if (sha256Of(bytes) !== tile.sha256) throw manifestInvalid(basename(path), `does not match its ${tile.plan}`);
  return JSON.parse(bytes.toString()) as TilePlan;
}

/** A path as seen from another folder, for a manifest; a table has the same name everywhere. */
export function seenFrom(folder: string): (path: string) => string {
  return (path) => (isTable(path) ? path : relative(folder, resolve(path)).split(sep).join('/'));
}

/** A path of a manifest in the folder where that stands. */
export function placedIn(folder: string): (path: string) => string {
  return (path) => (isTable(path) ? path : join(folder, path));
}

/** Calls a function on every path of outputs. */
export function withOutputs(files: OutputFiles, change: (path: string) => string): OutputFiles {
  const given = Object.entries(files).filter((entry): entry is [string, string] => entry[1] !== undefined);
  return Object.fromEntries(given.map(([name, path]) => [name, change(path)]));
}

/** Calls a function on every path of a job. */
export function withPaths<J extends Pick<AssessFilesOptions, 'trees' | 'works'> & Partial<AssessFilesOptions>>(
  job: J,
  change: (path: string) => string,
): J {
  const maybe = (path: string | undefined): string | undefined => (path === undefined ? undefined : change(path));
  const gridOf = (text: string): string => {
    const at = /^[\w:]+=/.exec(text)?.[0].length ?? 0; // NAD27=FILE
    return text.slice(0, at) + change(text.slice(at));
  };
  const entries = {
    trees: change(job.trees),
    works: job.works?.map((file) =>
      typeof file === 'string' ? { path: change(file) } : { ...file, path: change(file.path) },
    ),
    lots: maybe(job.lots),
    existing: job.existing?.map(change),
    zones: maybe(job.zones),
    crowns: maybe(job.crowns),
    limbList: maybe(job.limbList),
    gridFiles: job.gridFiles?.map(gridOf),
  };
  return { ...job, ...Object.fromEntries(Object.entries(entries).filter(([, value]) => value !== undefined)) };
}
