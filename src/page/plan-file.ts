// A plan as a job file, and the browser's own copy of it. In: what lies on the page; out: rootberth.json with all layers in it,
// which the command line reads with --config; the same read again. Terms: kept = saved in this browser after each step, so that
// a reload loses nothing.

import type { Packet, Units } from '../core.js';
import { InputError } from '../core.js';
import type { Picture } from './backdrop.js';
import { type Desk, type Groups, NOTHING } from './desk.js';
import { ownName, type Source, sourceOf } from './files.js';
import type { Choices, Sources } from './job.js';
import { type Mapping, mappingFrom, textsOf } from './mapping/columns.js';
import { type Photo, photosIn } from './tree/photos.js';

interface LayerInFile {
  readonly name: string;
  readonly geojson: unknown;
  readonly kind?: string;
}

/** The keys of a job file that the page writes; each is an option of the command line. */
interface JobFile {
  readonly trees?: LayerInFile;
  readonly works?: readonly LayerInFile[];
  readonly existing?: readonly LayerInFile[];
  readonly lots?: LayerInFile;
  readonly crs?: string;
  readonly rule?: string;
  readonly limit?: string;
  readonly units?: string;
  readonly 'dbh-unit'?: string;
  readonly field?: unknown;
  readonly value?: unknown;
  readonly out?: string;
  readonly report?: string;
  readonly packet?: unknown;
  readonly page?: { readonly groups?: Groups; readonly picture?: Picture; readonly photos?: readonly Photo[] };
}

/** What a saved plan holds beside layers and choices. */
export interface Kept {
  readonly picture: Picture | null;
  readonly photos?: readonly Photo[];
  readonly packet?: Packet;
}

export interface OpenedPlan {
  readonly packet: unknown;
  readonly sources: Sources;
  readonly groups: Groups;
  readonly picture: Picture | null;
  readonly photos: ReturnType<typeof photosIn>;
  readonly settings: {
    readonly crs: string;
    readonly rule: string | undefined;
    readonly limit: string;
    readonly units: Units | undefined;
    readonly dbhUnit: string;
    readonly fields: Mapping;
    readonly values: Mapping;
  };
}

/** The plan as a job file's text. */
export async function planText(
  desk: Desk,
  choices: Choices,
  { picture, photos = [], packet }: Kept = { picture: null },
): Promise<string> {
  const { groups } = desk;
  const { trees, works, existing, lots } = desk.sources;
  const { of, local } = await desk.texts();
  const inFile = (source: Source): LayerInFile => ({
    name: `${ownName(source).replace(/\.[^.]*$/, '')}.geojson`,
    geojson: JSON.parse(of.get(source) ?? '{}'),
    ...(source.kind === undefined ? {} : { kind: source.kind }),
  });
  const crs = choices.crs === '' ? (local ?? '') : choices.crs;
  const job: JobFile = {
    ...(trees === null ? {} : { trees: inFile(trees) }),
    ...(works.length === 0 ? {} : { works: works.map(inFile) }),
    ...(existing.length === 0 ? {} : { existing: existing.map(inFile) }),
    ...(lots === null ? {} : { lots: inFile(lots) }),
    ...(crs === '' ? {} : { crs }),
    rule: choices.ruleFile?.name ?? choices.rule,
    ...(choices.limitText === '' ? {} : { limit: choices.limitText }),
    units: choices.units,
    ...(choices.dbhUnit === '' ? {} : { 'dbh-unit': choices.dbhUnit }),
    ...listed('field', choices.fields),
    ...listed('value', choices.values),
    out: 'assessed.geojson',
    report: 'report.html',
    ...(packet === undefined ? {} : { packet }),
    page: { groups, ...(picture === null ? {} : { picture }), ...(photos.length === 0 ? {} : { photos }) },
  };
  return `${JSON.stringify(job, null, 1)}\n`;
}

/** Kinds that differ are each layer's own: the one for all works that say none does not replace them. */
function withOwnKinds(works: readonly Source[]): readonly Source[] {
  const isOne = new Set(works.map(({ kind }) => kind)).size < 2;
  return isOne ? works : works.map((one) => (one.kind === undefined ? one : { ...one, ownKind: true }));
}

function listed(key: 'field' | 'value', mapping: Mapping = {}): Partial<Record<'field' | 'value', string[]>> {
  const texts = textsOf(mapping);
  return texts.length === 0 ? {} : { [key]: texts };
}

/**
 * Reads a job file whose layers lie in it.
 *
 * @throws InputError `plan-file` where it is none, or names files, which a page can't open
 */
export async function openPlan(text: string, file: string): Promise<OpenedPlan> {
  const job = jobIn(text, file);
  const one = (value: unknown): Promise<Source | null> =>
    value === undefined ? Promise.resolve(null) : layerFrom(value, file);
  const all = async (value: unknown): Promise<Source[]> => {
    const list = value === undefined ? [] : Array.isArray(value) ? (value as unknown[]) : [value];
    return Promise.all(list.map((layer) => layerFrom(layer, file)));
  };
  const { crs = '', rule, limit = '', units } = job;
  return {
    sources: {
      ...NOTHING,
      trees: await one(job.trees),
      works: withOwnKinds(await all(job.works)),
      existing: await all(job.existing),
      lots: await one(job.lots),
    },
    groups: job.page?.groups ?? {},
    packet: typeof job.packet === 'object' ? job.packet : undefined,
    picture: pictureIn(job.page?.picture),
    photos: photosIn(job.page?.photos),
    settings: {
      crs,
      rule,
      limit: String(limit),
      units: units === 'us' || units === 'metric' ? units : undefined,
      dbhUnit: job['dbh-unit'] ?? '',
      fields: mappingFrom(job.field, 'first'),
      values: mappingFrom(job.value, 'last'),
    },
  };
}

function jobIn(text: string, file: string): JobFile {
  try {
    const json: unknown = JSON.parse(text.replace(/^\uFEFF/, ''));
    if (typeof json === 'object' && json !== null && !Array.isArray(json)) return json as JobFile;
  } catch {
    // said below
  }
  throw new InputError('plan-file', `${file} is no saved plan: it is not a JSON object`, {
    layer: file,
    cure: 'open a file that this page or --save-config wrote',
  });
}

/** A picture of a saved plan; only what was drawn here is shown, never an address. */
function pictureIn(picture: Picture | undefined): Picture | null {
  const { data, width, height, placed } = picture ?? {};
  const isPlaced = placed !== undefined && [placed.a, placed.b, placed.x0, placed.y0].every(Number.isFinite);
  if (typeof data !== 'string' || !/^data:image\/(?:png|jpeg);base64,/.test(data) || !isPlaced) return null;
  return Number(width) > 0 && Number(height) > 0
    ? { data, width: Number(width), height: Number(height), placed }
    : null;
}

async function layerFrom(value: unknown, file: string): Promise<Source> {
  if (typeof value === 'string') {
    throw new InputError('plan-file', `${file} names the file ${value}, which a page can’t open by itself`, {
      layer: file,
      cure: `choose ${value} under “Files”`,
    });
  }
  const { name, geojson, kind } = value as LayerInFile;
  const source = await sourceOf(String(name), new TextEncoder().encode(JSON.stringify(geojson)));
  return kind === undefined ? source : ({ ...source, kind } as Source);
}

// ---------------------------------------------------------------- the browser's own copy

const [DATABASE, STORE, KEY] = ['rootberth', 'plans', 'last'];

function store(mode: IDBTransactionMode): Promise<IDBObjectStore> {
  return new Promise((resolve, reject) => {
    const open = indexedDB.open(DATABASE, 1);
    open.onupgradeneeded = () => open.result.createObjectStore(STORE);
    open.onerror = () => reject(open.error);
    open.onsuccess = () => resolve(open.result.transaction(STORE, mode).objectStore(STORE));
  });
}

/** Keeps a plan's text in this browser; false where the browser lets nothing be kept. */
export async function keepPlan(text: string): Promise<boolean> {
  try {
    const plans = await store('readwrite');
    return await new Promise((resolve) => {
      const put = plans.put(text, KEY);
      put.onsuccess = () => resolve(true);
      put.onerror = () => resolve(false);
    });
  } catch {
    return false;
  }
}

/** The plan that was kept last; null where there is none. */
export async function keptPlan(): Promise<string | null> {
  try {
    const plans = await store('readonly');
    return await new Promise((resolve) => {
      const get = plans.get(KEY);
      get.onsuccess = () => resolve(typeof get.result === 'string' ? get.result : null);
      get.onerror = () => resolve(null);
    });
  } catch {
    return null;
  }
}
