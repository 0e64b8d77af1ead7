// Tiles -> one result. In: a manifest whose tiles are done; out: the files one machine would have written, byte for byte.
// Fails unless everything agrees: every tile present and whole, no row missing or doubled, the inputs unchanged.
// Terms: see manifest.ts; light = a merge that only puts records in order; whole = one that reads the inputs once more.

import { dirname, join } from 'node:path';
import { assess, marginsNotFound } from '../../assess/index.js';
import type { Assessment, Counts } from '../../model/index.js';
import { type Finding, InputError, verdictCounts, verdictNumbered } from '../../model/index.js';
import type { Database } from '../../postgis/index.js';
import { isTable } from '../../postgis/index.js';
import { interleaved } from '../../tiles/index.js';
import {
  type CautionFacts,
  COLLECTION_END,
  collectionHead,
  DRAWN,
  featureTexts,
  findingsPieces,
  lotTablePieces,
  provenanceOf,
  type Role,
  type Told,
  TREE_ROLES,
  type TreeRole,
  toldOf,
  type WrittenAs,
} from '../../write/index.js';
import { withJobFiles } from '../assess-files.js';
import { epsgOf } from '../write/format.js';
import { outputSystem } from '../write/write-assessment.js';
import { writePieces } from '../write/write-file.js';
import { folderOf, type Manifest, type OutputFiles, placedIn, readManifest, withOutputs } from './manifest.js';
import { type RoleFields, tableOfRecords } from './merged-tables.js';
import { checkInputs, checkLayers, jobOf, readFront, recordsOf, unreconciled, verdictsOf } from './reconcile.js';
import { linesOf, SectionReader, type TileRecord } from './results.js';
import { checkVersion } from './run-tile.js';

export interface Merged {
  readonly counts: Counts;
  /** Whether works were given; without them no tree has a verdict. */
  readonly hasWorks: boolean;
  /** Trees to be kept that are over their limit, or in the works, under any of the rules. */
  readonly over: number;
  readonly findings: readonly Finding[];
  readonly files: readonly string[];
}

export interface MergeOptions {
  /** Where the tables of the job are; default: what the variables PGHOST and so on say. */
  readonly database?: Database | undefined;
}

/**
 * Puts the results of all tiles together. `asked` overrides the outputs that the split named, each on its own.
 *
 * @throws InputError `tiles-missing` (with their numbers), `tile-damaged`, `tiles-unreconciled`, `input-changed`,
 *   `tables-not-split`, those of writing tables,
 *   `manifest-*`, `version-differs`, `schedule-not-split`, and those of writing files
 * @example
 * const { counts } = await mergeTiles('job.json', { out: 'assessed.geojson' });
 * counts.verdicts['over-limit'];
 */
export async function mergeTiles(
  manifestPath: string,
  asked: OutputFiles = {},
  { database }: MergeOptions = {},
): Promise<Merged> {
  const manifest = await readManifest(manifestPath);
  const named = withOutputs(manifest.written.files, placedIn(dirname(manifestPath)));
  const files = { ...named, ...withOutputs(asked, (path) => path) };
  checkVersion(manifest, manifestPath);
  if (files.schedule !== undefined && manifest.written.files.schedule === undefined) {
    throw new InputError('schedule-not-split', 'the tiles made no rows of a schedule', {
      cure: 'split the job with --schedule',
      usage: true,
    });
  }
  const front = await readFront(manifestPath, manifest);
  if (isTable(files.out ?? '') && front.tables === undefined) {
    throw new InputError('tables-not-split', 'the split did not decide which columns tables have', {
      cure: 'split the job with --out postgis:SCHEMA.NAME',
      usage: true,
    });
  }
  const records = await recordsOf(manifestPath, manifest);
  await checkInputs(manifestPath, manifest, front, database);
  const verdicts = await verdictsOf(manifestPath, manifest, records);
  const merge = new Merge(manifestPath, manifest, records, { fields: front.tables ?? [], database });
  if (!manifest.whole && files.lotTable === undefined) {
    const counts = countsOf(front.counts, verdicts);
    const told = { ...front, counts, cautions: cautionsOf(front.cautions, counts, records) };
    return merge.write({ told, plan: front.plan, whole: null }, files);
  }
  return withJobFiles({ ...jobOf(manifestPath, manifest), database, threads: 1 }, (read) => {
    checkLayers(manifest, read);
    const whole = assess({ ...read, runner: { shared: false, run: () => undefined }, verdicts });
    const told = toldOf(whole, front.plan);
    const cautions = cautionsOf(told.cautions, told.counts, records);
    return merge.write({ told: { ...told, cautions }, plan: front.plan, whole }, files);
  });
}

/** The counts of the front with the verdicts of the tiles. */
function countsOf(front: Counts, all: Uint8Array): Counts {
  const verdicts = verdictCounts(all, verdictNumbered);
  const notAssessed = verdicts['not-assessed'];
  return { ...front, trees: { in: all.length, assessed: all.length - notAssessed, notAssessed }, verdicts };
}

/** The facts that decide the cautions, with facts that only the tiles know. */
function cautionsOf(front: CautionFacts, { verdicts }: Counts, records: readonly TileRecord[]): CautionFacts {
  const over = verdicts['over-limit'] + verdicts['stem-in-works'] > 0;
  return { ...front, over, ringCut: records.some((record) => record.ringCut) };
}

interface Source {
  readonly told: Told;
  readonly plan: WrittenAs;
  /** The whole job without its figures, for outputs that need several tiles. */
  readonly whole: Assessment | null;
}

/** What tables need. */
interface Into extends MergeOptions {
  readonly fields: readonly RoleFields[];
}

class Merge {
  readonly #path: string;
  readonly #manifest: Manifest;
  readonly #records: readonly TileRecord[];
  readonly #into: Into;
  /** Found when fences were laid out. */
  #fenceFindings: readonly Finding[] = [];

  constructor(path: string, manifest: Manifest, records: readonly TileRecord[], into: Into) {
    this.#into = into;
    this.#path = path;
    this.#manifest = manifest;
    this.#records = records;
  }

  async write(source: Source, { out, schedule, findings, lotTable }: OutputFiles): Promise<Merged> {
    const files: string[] = [];
    const put = async (
      path: string | undefined,
      pieces: () => Generator<string | Uint8Array, unknown, undefined>,
    ): Promise<void> => {
      if (path === undefined) return;
      await writePieces(path, pieces());
      files.push(path);
    };
    if (out !== undefined && isTable(out)) files.push(...(await this.#tables(out, source)));
    else await put(out, () => (isLines(out) ? this.#lines(source) : this.#collection(source)));
    if (out !== undefined && isLines(out)) await put(`${out}.rootberth.json`, () => sidecar(source));
    const late = this.#late();
    await put(schedule, () => this.#schedule());
    await put(findings, () => findingsPieces(source.told, late));
    const { whole } = source;
    if (whole !== null) await put(lotTable, () => lotTablePieces(whole, { units: this.#manifest.written.units }));
    const over = this.#records.reduce((sum, record) => sum + record.over, 0);
    const hasWorks = (this.#manifest.job.works ?? []).length > 0;
    return { counts: source.told.counts, hasWorks, over, findings: [...source.told.findings, ...late], files };
  }

  *#collection(source: Source): Generator<string | Uint8Array, void, undefined> {
    yield* collectionHead(source.told, source.plan);
    yield* gathered(this.#features(source), ',\n', '\n');
    yield COLLECTION_END;
  }

  /** All roles in one transaction; read from the tiles while they are written. */
  async #tables(out: string, source: Source): Promise<readonly string[]> {
    const { putTables } = await import('../../postgis/index.js');
    const crs = source.plan.output?.crs ?? null;
    const writing = { database: this.#into.database, crs, epsg: epsgOf(crs) };
    const { files } = await putTables(out, writing, () => ({
      tables: this.#into.fields.map((of) => tableOfRecords(of, () => this.#role(of.role, source))),
      findings: () => [], // reported with those of the tiles
      job: provenanceOf(source.told, source.plan),
    }));
    return files;
  }

  *#lines(source: Source): Generator<Uint8Array, void, undefined> {
    yield* gathered(this.#features(source), '\n', '');
    yield Uint8Array.of(0x0a);
  }

  /** The features of all roles, in their order. */
  *#features(source: Source): Generator<Uint8Array, void, undefined> {
    for (const role of source.plan.roles) yield* this.#role(role, source);
  }

  *#role(role: Role, { whole }: Source): Generator<Uint8Array, void, undefined> {
    if (TREE_ROLES.includes(role as TreeRole)) yield* this.#section(role);
    else if (role === 'works' || role === 'existing') yield* this.#ready(role);
    else if (whole !== null) {
      const { units, prefix, outCrs } = this.#manifest.written;
      const output = outputSystem(outCrs === null ? {} : { outCrs }) ?? undefined;
      const texts = featureTexts(whole, { units, prefix, roles: [role], output });
      const encoder = new TextEncoder();
      for (let step = texts.next(); ; step = texts.next()) {
        if (step.done === true) {
          this.#fenceFindings = [...this.#fenceFindings, ...step.value];
          return;
        }
        yield encoder.encode(step.value);
      }
    }
  }

  #section(name: string): Generator<Uint8Array, void, undefined> {
    return interleaved(this.#records.map((record) => new SectionReader(this.#path, record, name)));
  }

  /** The features that the split wrote. */
  *#ready(role: 'works' | 'existing'): Generator<Uint8Array, void, undefined> {
    let count = 0;
    for (const line of linesOf(join(folderOf(this.#path), `${role}.ndjson`))) {
      yield line;
      count++;
    }
    if (count !== this.#manifest.front[role])
      throw unreconciled(`${role}: ${this.#manifest.front[role]} in, ${count} out`);
  }

  *#schedule(): Generator<string | Uint8Array, void, undefined> {
    yield this.#manifest.front.scheduleHeading;
    yield* gathered(this.#section('schedule'), '', '');
  }

  /** Findings of drawing, role by role in the order of writing, then fences, then margins. */
  #late(): Finding[] {
    const roles = DRAWN.filter((role) => this.#manifest.written.roles.includes(role));
    const drawn = roles.flatMap((role) =>
      [...this.#section(`${role}-findings`)].map((bytes) => JSON.parse(Buffer.from(bytes).toString()) as Finding),
    );
    const givenUp = [...this.#section('margin-not-found')].map((key) => Buffer.from(key).toString());
    return [...drawn, ...this.#fenceFindings, ...marginsNotFound(givenUp)];
  }
}

function* sidecar({ told, plan }: Source): Generator<string, void, undefined> {
  yield* provenanceOf(told, plan);
  yield '\n';
}

function isLines(path: string | undefined): boolean {
  return /\.(ndjson|geojsonl|geojsons|jsonl)$/i.test(path ?? '');
}

/** Bytes with a separator between, gathered into large pieces. */
function* gathered(
  records: Iterable<Uint8Array>,
  between: string,
  first: string,
): Generator<Uint8Array, void, undefined> {
  const encoder = new TextEncoder();
  const [mark, start] = [encoder.encode(between), encoder.encode(first)];
  let held: Uint8Array[] = [];
  let size = 0;
  let isFirst = true;
  for (const record of records) {
    held.push(isFirst ? start : mark, record);
    isFirst = false;
    size += record.length + mark.length;
    if (size < 1 << 20) continue;
    yield Buffer.concat(held);
    held = [];
    size = 0;
  }
  if (held.length > 0) yield Buffer.concat(held);
}
