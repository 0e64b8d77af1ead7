// Zip archive -> the parts of one layer. In: the archive, in memory or by its path, and caps; out: named parts.
// Terms: entry = a file in the archive; ratio = inflated bytes per packed byte; cap = a limit against zip bombs.
// The directory is read first and judged; only the entries of the chosen layer are inflated, counted as they come.

import { Buffer } from 'node:buffer';
import { readFile } from 'node:fs/promises';
import { type Entry, fromBufferPromise, openPromise, type ZipFile } from 'yauzl';
import { type Finding, InputError } from '../../model/index.js';
import type { ShapefilePart } from '../../read/index.js';
import { archivesIn, candidatesOf, type Member, matching, theOne } from '../../read/index.js';
import type { ScratchFile } from './parts.js';
import { Budget, inflate, type ZipCaps } from './zip-inflate.js';
import { salvagedMembers } from './zip-salvage.js';

export type { ZipCaps } from './zip-inflate.js';

/** One layer of an archive: a shapefile with its parts, or a single file. */
export interface ZipLayer {
  /** File name within the archive, without folders: 'trees.shp', 'trees.geojson'. */
  readonly name: string;
  /** Extension in lower case -> its content; one member unless it is a shapefile. */
  readonly parts: ReadonlyMap<string, ShapefilePart>;
  /** What was damaged (salvage only). */
  readonly findings: readonly Finding[];
  /** Deletes scratch files; the parts can't be read afterwards. */
  dispose(): void;
}

/**
 * Reads the one layer of an archive, or the one that `layer` names (with or without extension, or by its path).
 * Where the archive itself holds none, the archives in it are searched, one level deep and under the same caps.
 * `dispose` has to be called when the parts have been read.
 *
 * @param archive the bytes, or the path of a file that is too large to be held
 * @param salvage a damaged archive is read as far as it goes
 * @throws InputError `zip-broken`, `zip-caps`, `zip-encrypted`, `zip-empty`, `zip-several` (lists the layers), `zip-layer`
 * @example
 * const { parts } = await readZip(bytes, 'trees.zip');
 * parts.get('shp');
 */
export async function readZip(
  archive: Uint8Array | string,
  name: string,
  layer?: string,
  caps: ZipCaps = {},
  salvage: boolean = false,
): Promise<ZipLayer> {
  try {
    return await readSound(archive, name, layer, new Budget(name, caps));
  } catch (error) {
    if (!salvage || !(error instanceof InputError) || error.code !== 'zip-broken') throw error;
    return readDamaged(typeof archive === 'string' ? await readFile(archive) : archive, name, layer, caps);
  }
}

async function readSound(
  archive: Uint8Array | string,
  name: string,
  layer: string | undefined,
  budget: Budget,
): Promise<ZipLayer> {
  const open: ZipFile[] = [];
  const scratch: ScratchFile[] = [];
  const dispose = (): void => {
    for (const file of scratch) file.dispose();
  };
  try {
    const members = await membersOf(archive, '', budget, open, scratch);
    const outer = candidatesOf(members);
    const all = [...outer];
    if (matching(outer, layer).length === 0) {
      for (const inner of archivesIn(members)) {
        const bytes = (await inner.open(false)) as Uint8Array;
        all.push(...candidatesOf(await membersOf(bytes, `${inner.path}/`, budget, open, scratch)));
      }
    }
    return { ...(await partsOf(all, name, layer)), findings: [], dispose };
  } catch (error) {
    dispose();
    throw error instanceof InputError ? error : broken(name, error);
  } finally {
    for (const zip of open) zip.close();
  }
}

async function membersOf(
  archive: Uint8Array | string,
  prefix: string,
  budget: Budget,
  open: ZipFile[],
  scratch: ScratchFile[],
): Promise<Member[]> {
  const entries = await entriesOf(archive, budget, open);
  const zip = open.at(-1)!;
  return entries.map((entry) => ({
    path: prefix + entry.fileName,
    open: (large) => inflate(zip, entry, budget, scratch, large),
  }));
}

/** Opens an archive (it is added to `open`) and reads its directory. */
async function entriesOf(archive: Uint8Array | string, budget: Budget, open: ZipFile[]): Promise<Entry[]> {
  const options = { lazyEntries: true, decodeStrings: true, validateEntrySizes: true, autoClose: false } as const;
  const zip =
    typeof archive === 'string'
      ? await openPromise(archive, options)
      : await fromBufferPromise(Buffer.from(archive.buffer, archive.byteOffset, archive.byteLength), options);
  open.push(zip);
  budget.takeEntries(zip.entryCount);
  const entries: Entry[] = [];
  for await (const entry of zip.eachEntry()) {
    entries.push(entry);
    if (entries.length > zip.entryCount) budget.takeEntries(1);
  }
  return entries;
}

async function partsOf(
  all: Parameters<typeof theOne>[0],
  archive: string,
  layer: string | undefined,
): Promise<Pick<ZipLayer, 'name' | 'parts'>> {
  const chosen = theOne(all, archive, layer);
  const parts = new Map<string, ShapefilePart>();
  const inBlocks = chosen.members.has('shp');
  for (const [extension, member] of chosen.members) parts.set(extension, await member.open(inBlocks));
  return { name: chosen.name, parts };
}

async function readDamaged(
  bytes: Uint8Array,
  name: string,
  layer: string | undefined,
  caps: ZipCaps,
): Promise<ZipLayer> {
  const findings: Finding[] = [];
  const members = salvagedMembers(bytes, new Budget(name, caps), findings);
  if (members.length === 0) throw broken(name, 'its contents cannot be found');
  const { name: inner, parts } = await partsOf(candidatesOf(members), name, layer);
  // Half a .prj states nothing. Without it, the user can give the coordinate system.
  const damaged = (part: string): boolean => findings.some((f) => f.path?.toLowerCase().endsWith(`.${part}`) === true);
  const kept = new Map([...parts].filter(([part]) => part !== 'prj' || !damaged(part)));
  return { name: inner, parts: kept, findings, dispose: () => undefined };
}

function broken(archive: string, error: unknown): InputError {
  const reason = error instanceof Error ? error.message : String(error);
  return new InputError('zip-broken', `${archive} can't be unpacked: ${reason}`, {
    layer: archive,
    cure: 'download or copy it again; if that does not help, unpack it and pack it again; --salvage reads what is left',
  });
}
