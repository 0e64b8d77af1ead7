// Works in several layers of one file (GeoPackage, zip, LandXML, workbook): in: a job; out: the same job with an entry a
// layer. Drawings and KML take several layers by themselves, so their entries stay.
// Terms: kinds = the names of layers, each with the kind of its works; `*` = every layer of the file.

import type { LayerRole, WorksKind } from '../model/index.js';
import { InputError } from '../model/index.js';
import { isTable } from '../postgis/index.js';
import { listOf } from '../text/index.js';
import { isEmbedded } from './read/embedded.js';
import { type FileReadOptions, readLayer } from './read/files.js';

const ALL = '*';
const LISTED = 20;

/** A file of works and what holds for all its features. */
export interface WorksFile {
  readonly path: string;
  readonly kind?: WorksKind | undefined;
  readonly option?: string | undefined; // design option
  /** Which of its layers; default: as the reader's options for works say. */
  readonly layer?: string | undefined;
}

/** The part of a job that says which works are read, and how. */
export interface WorksAsked {
  readonly works?: readonly (string | WorksFile)[] | undefined;
  readonly read?: Readonly<Partial<Record<LayerRole, FileReadOptions>>> | undefined;
}

/**
 * Gives every layer of works that is named with a kind (or all, by `*`) an entry of its own. Files are opened for their
 * list of layers only where something is asked of it.
 *
 * @throws InputError `layer-missing` where a name is in none of the files
 */
export async function withEachLayer<J extends WorksAsked>(job: J): Promise<J> {
  const { layer, layerKinds, ...rest } = job.read?.works ?? {};
  const files = (job.works ?? []).map((file): WorksFile => (typeof file === 'string' ? { path: file } : file));
  if (layer !== ALL && layerKinds === undefined) return job;
  const open = new Map(Object.entries(layerKinds ?? {}));
  const names = [...open.keys()];
  const works: WorksFile[] = [];
  const held: string[] = [];
  let others = false; // files that take the names themselves
  for (const file of files) {
    const inside = file.layer === undefined ? await layersWithin(file.path) : null;
    if (inside === null) {
      others ||= file.layer === undefined;
      works.push(file);
      continue;
    }
    held.push(...inside);
    const taken =
      layer === ALL ? inside.map((name) => ({ name, kind: file.kind })) : matched(names, inside, layerKinds);
    for (const { name, kind } of taken) works.push({ ...file, layer: name, ...(kind === undefined ? {} : { kind }) });
    for (const { asked } of taken as readonly Taken[]) if (asked !== undefined) open.delete(asked);
  }
  if (held.length === 0) return job;
  if (open.size > 0 && !others) throw noneCalled([...open.keys()], held);
  const read = {
    ...rest,
    ...(others && layer !== undefined ? { layer } : {}),
    ...(others && open.size > 0 ? { layerKinds: Object.fromEntries(open) } : {}),
  };
  return { ...job, works, read: { ...job.read, works: read } };
}

interface Taken {
  readonly name: string;
  readonly kind: WorksKind | undefined;
  readonly asked?: string;
}

/** The layers of a file that holds several by its make; null for any other, which is read as it is. */
async function layersWithin(path: string): Promise<readonly string[] | null> {
  if (path === '-' || isEmbedded(path) || isTable(path) || PLAIN.test(path)) return null;
  try {
    await readLayer(path, { layer: ALL, role: 'works' }); // a name that no layer has: the answer lists the names
    return null;
  } catch (error) {
    if (error instanceof InputError && MISSING.has(error.code) && error.choices.length > 0) return error.choices;
    return null; // what else is wrong is told when it is read
  }
}

const PLAIN = /\.(?:dxf|km[lz]|(?:geo)?json|csv|txt|fgb|parquet|shp)$/i;
const MISSING: ReadonlySet<string> = new Set(['layer-missing', 'zip-layer']);

function matched(
  names: readonly string[],
  inside: readonly string[],
  kinds: Readonly<Record<string, WorksKind>> | undefined,
): Taken[] {
  return names.flatMap((asked) => {
    const name = inside.find((one) => one === asked) ?? inside.find((one) => plain(one) === plain(asked));
    return name === undefined ? [] : [{ name, kind: kinds?.[asked], asked }];
  });
}

/** Names are told apart without regard to case, and a file of a zip without its extension. */
function plain(name: string): string {
  return name.toLowerCase().replace(/\.\w{2,8}$/, '');
}

function noneCalled(names: readonly string[], held: readonly string[]): InputError {
  const which = names.map((name) => JSON.stringify(name)).join(', ');
  return new InputError('layer-missing', `no works file holds a layer called ${which}`, {
    cure: `they hold ${listOf(held, LISTED, (name) => name)}`,
    choices: held,
  });
}
