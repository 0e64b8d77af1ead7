// Files -> Assessment. In: paths and options; out: the assessment of what is in them. Terms: see model/.
// Reads, picks the rule and calls `assess`: no logic of its own.

import './crs.js';

import { availableParallelism } from 'node:os';
import { basename } from 'node:path';
import { type AssessJob, assess } from '../assess/index.js';
import { findCrs } from '../crs/index.js';
import { parseTreeFactsText } from '../facts/index.js';
import type {
  Assessment,
  AssessOptions,
  Layer,
  LayerRole,
  Mitigation,
  Progress,
  Rule,
  StopSignal,
  TreeFacts,
  WorksInput,
} from '../model/index.js';
import { InputError } from '../model/index.js';
import { builtinMitigation, parseMitigationText } from '../plan/index.js';
import type { Database } from '../postgis/index.js';
import { builtinRule, parseRuleText } from '../rules/index.js';
import { counted } from '../text/index.js';
import { embeddedLayer, isEmbedded } from './read/embedded.js';
import { type FileReadOptions, readLayer } from './read/files.js';
import { type GradeFiles, readGrades } from './read/grade-files.js';
import { readGrid } from './read/grid-file.js';
import { textFile } from './read/text-file.js';
import { type WorksFile, withEachLayer } from './several-layers.js';
import { isWorthAThread, readInThread } from './threads/read-thread.js';
import { threadRunner } from './threads/threads.js';

/** A built-in id, a path that ends in .json, or a rule. */
export type RuleAsked = string | Rule;

/** What `assessFiles` is given; lengths in metres, shares 0..1, as in AssessOptions. */
export interface AssessFilesOptions extends AssessOptions {
  readonly trees: string;
  /** The proposed works; without any there are zones and no verdicts. */
  readonly works?: readonly (string | WorksFile)[] | undefined;
  readonly lots?: string | undefined;
  /** Hard surfaces and structures that stand today. */
  readonly existing?: readonly string[] | undefined;
  /** Zones and crowns that an arborist drew, joined to the trees by id. */
  readonly zones?: string | undefined;
  readonly crowns?: string | undefined;
  /** Surfaces of the ground as it is and as proposed. */
  readonly grades?: GradeFiles | undefined;
  /** A limb list: any table, coordinates or not. `limbs` gives what the table leaves out. */
  readonly limbList?: string | undefined;
  /**
   * A built-in id, a path that ends in .json, or a rule; of several the first makes the plain figures. Default:
   * foot-per-inch, with a finding that says so.
   */
  readonly rule?: RuleAsked | readonly RuleAsked[] | undefined;
  /** What replaces lost trees: a built-in id, or a path that ends in .json; see `mitigation` for a table as data. */
  readonly mitigationFile?: string | undefined;
  /** Published figures of one's own: a path that ends in .json; see `treeFacts` for them as data. */
  readonly treeFactsFile?: string | undefined;
  /** How to read the files of a role: coordinate columns, layer of a zip, ... */
  readonly read?: Readonly<Partial<Record<LayerRole, FileReadOptions>>> | undefined;
  /** Where the tables (`postgis:SCHEMA.TABLE` for a path) are; default: the variables PGHOST and so on. */
  readonly database?: Database | undefined;
  /** Shift grids: NTv2 or GeoTIFF files, or NAD27=FILE where the grid does not name the datum it is for. */
  readonly gridFiles?: readonly string[] | undefined;
  /** Called with the current step, for a progress line. */
  readonly onStep?: ((step: string) => void) | undefined;
  /** Called with the progress, for a bar. */
  readonly onProgress?: ((progress: Progress) => void) | undefined;
  /**
   * Stops the job; the promise is rejected with the signal's reason. Trees are measured in one go: a timer of this thread
   * takes effect before and after that, a `flagSignal` at any time.
   */
  readonly signal?: StopSignal | undefined;
  /** Threads that measure, and that read large files beside each other; default: as many as the machine offers. */
  readonly threads?: number | undefined;
}

/**
 * Reads the files and assesses every tree. `-` as one of the paths is standard input.
 *
 * @throws InputError when a file, the rule or an option can't be used (`usage`: wrong options, not bad files)
 * @example
 * const assessment = await assessFiles({ trees: 'survey.csv', works: ['plan.geojson'], crs: 'EPSG:2913' });
 * assessment.counts.verdicts['over-limit'];
 */
export async function assessFiles(job: AssessFilesOptions): Promise<Assessment> {
  return withJobFiles(job, (read) => {
    const { count } = read.trees;
    job.onStep?.(`assessing ${counted(count, 'tree')}`);
    return assess(read);
  });
}

/** Reads the files of a job and hands them to `use`, with a runner that is closed after it. */
export async function withJobFiles<R>(job: AssessFilesOptions, use: (read: AssessJob) => R | Promise<R>): Promise<R> {
  const {
    trees: treesPath,
    works: worksFiles = [],
    lots: lotsPath,
    existing: existingPaths = [],
    zones: zonesPath,
    crowns: crownsPath,
    limbList: limbsPath,
    grades: gradeFiles,
    rule: ruleAsked,
    read: readAsked,
    database,
    onStep,
    gridFiles,
    mitigationFile,
    treeFactsFile,
    onProgress,
    signal,
    threads = availableParallelism(),
    ...given
  } = job;
  refuseStdinTwice([
    ...[treesPath, ...worksFiles.map((file) => (typeof file === 'string' ? file : file.path)), ...existingPaths],
    ...[lotsPath, zonesPath, crownsPath, limbsPath, gradeFiles?.existing, gradeFiles?.proposed],
  ]);
  // Checked first: a wrong option should not cost the reading of large files.
  const rules = await rulesFrom(ruleAsked);
  const grids = [...(given.grids ?? []), ...(await Promise.all((gridFiles ?? []).map(readGrid)))];
  const options: AssessOptions = {
    ...given,
    ...(grids.length === 0 ? {} : { grids }),
    ...(mitigationFile === undefined ? {} : { mitigation: await mitigationFrom(mitigationFile) }),
    ...(treeFactsFile === undefined ? {} : { treeFacts: await treeFactsFrom(treeFactsFile) }),
  };
  for (const code of [options.crs, ...Object.values(options.crsFor ?? {})]) if (code !== undefined) findCrs(code);
  const { works: each = [], read } = await withEachLayer({ works: worksFiles, read: readAsked });
  const files = each.map((file): WorksFile => (typeof file === 'string' ? { path: file } : file));
  const crsOf = (role: LayerRole): string | undefined => options.crsFor?.[role] ?? options.crs;
  const reader: Reader = { read: read ?? {}, database, crsOf, onStep, onProgress, signal };
  // Large works are read beside the trees where there is a second thread for it.
  const ahead = threads < 2 ? null : aheadOf(files, reader);
  const trees = await readStep(treesPath, 'trees', reader);
  const works: WorksInput[] = [];
  for (const [i, { path, kind, option, layer: name }] of files.entries()) {
    const layer = i === ahead?.place ? await ahead.layer : await readStep(path, 'works', reader, name);
    works.push({ layer, ...(kind === undefined ? {} : { kind }), ...(option === undefined ? {} : { option }) });
  }
  refuseKindsOfNoDrawing(read, works);
  const optional = async (path: string | undefined, role: LayerRole): Promise<Layer | undefined> =>
    path === undefined ? undefined : readStep(path, role, reader);
  const lots = await optional(lotsPath, 'lots');
  const existing: Layer[] = [];
  for (const path of existingPaths) existing.push(await readStep(path, 'existing', reader));
  const zones = await optional(zonesPath, 'zones');
  const crowns = await optional(crownsPath, 'crowns');
  const limbs = await optional(limbsPath, 'limbs');
  const grades = gradeFiles && (await readGrades(gradeFiles, (path) => readStep(path, 'grades', reader), signal));
  const runner = threadRunner(Math.max(1, Math.floor(threads)));
  try {
    return await use({
      trees,
      works,
      ...(lots === undefined ? {} : { lots }),
      ...(zones === undefined ? {} : { zones }),
      ...(crowns === undefined ? {} : { crowns }),
      ...(limbs === undefined ? {} : { limbs }),
      ...(grades === undefined ? {} : { grades }),
      ...(rules.length === 0 ? {} : { rule: rules }),
      ...(existing.length === 0 ? {} : { existing }),
      options,
      runner,
      onProgress,
      signal,
    });
  } finally {
    runner.close();
  }
}

function refuseStdinTwice(paths: readonly (string | undefined)[]): void {
  if (paths.filter((path) => path === '-').length <= 1) return;
  throw new InputError('stdin-twice', 'standard input (-) is used more than once', {
    cure: 'give only one of the layers as -, the others as files',
    usage: true,
  });
}

/** Formats whose layers can be given kinds of works. */
const KINDED: ReadonlySet<Layer['format']> = new Set(['dxf', 'kml']);

function refuseKindsOfNoDrawing(read: AssessFilesOptions['read'], works: readonly WorksInput[]): void {
  if (read?.works?.layerKinds === undefined || works.some(({ layer }) => KINDED.has(layer.format))) return;
  throw new InputError('option-format', 'layers are mapped to kinds, but no works file holds layers', {
    cure: 'write --works paving=FILE for a whole file, or give features a kind',
    usage: true,
  });
}

interface Reader {
  readonly read: Readonly<Partial<Record<LayerRole, FileReadOptions>>>;
  readonly database: Database | undefined;
  readonly crsOf: (role: LayerRole) => string | undefined;
  readonly onStep: AssessFilesOptions['onStep'];
  readonly onProgress: AssessFilesOptions['onProgress'];
  readonly signal: StopSignal | undefined;
}

/** The largest file of works, read in a thread from now on; null when no file is worth a thread. */
function aheadOf(
  files: readonly WorksFile[],
  reader: Reader,
): { readonly place: number; readonly layer: Promise<Layer> } | null {
  const place = files.findIndex(({ path }) => isWorthAThread(path, reader.read.works));
  if (place < 0) return null;
  const layer = readInThread(files[place]!.path, reader.read.works);
  layer.catch(() => undefined); // the caller that awaits it gets the error
  return { place, layer };
}

/** @param within the one of the file's layers that is meant; it is named in findings as `site.gpkg (house)` */
async function readStep(path: string, role: LayerRole, reader: Reader, within?: string): Promise<Layer> {
  const { read, database, crsOf, onStep, onProgress, signal } = reader;
  signal?.throwIfAborted();
  const name = path === '-' ? 'standard input' : isEmbedded(path) ? embeddedLayer(path).name : basename(path);
  onStep?.(`reading ${name}`);
  const layer = await readLayer(path, {
    ...(role === 'limbs' ? { table: true } : {}),
    role,
    database,
    crs: crsOf(role),
    ...read[role],
    ...(within === undefined ? {} : { layer: within }),
    progress(done, total) {
      onProgress?.({ stage: 'read', name, done, total });
      signal?.throwIfAborted();
    },
  });
  return within === undefined ? layer : renamed(layer, `${layer.name} (${within})`);
}

/** A layer, and what was found in it, under another name. */
function renamed(layer: Layer, name: string): Layer {
  const findings = layer.findings.map((one) => (one.layer === layer.name ? { ...one, layer: name } : one));
  return Object.assign(layer, { name, findings });
}

async function rulesFrom(asked: RuleAsked | readonly RuleAsked[] | undefined): Promise<readonly Rule[]> {
  if (asked === undefined) return [];
  const list = Array.isArray(asked) ? (asked as readonly RuleAsked[]) : [asked as RuleAsked];
  return Promise.all(list.map(ruleFrom));
}

/** The rule by id, from a file, or as it is. */
export async function ruleFrom(asked: RuleAsked): Promise<Rule> {
  if (typeof asked !== 'string') return asked;
  if (!/\.json$/i.test(asked)) return builtinRule(asked);
  return parseRuleText(await textFile(asked, 'rule'), basename(asked));
}

/** Published figures from a file. */
async function treeFactsFrom(path: string): Promise<TreeFacts> {
  return parseTreeFactsText(await textFile(path, 'tree-facts'), basename(path));
}

/** The mitigation table by id or from a file. */
async function mitigationFrom(asked: string): Promise<Mitigation> {
  if (!/\.json$/i.test(asked)) return builtinMitigation(asked);
  return parseMitigationText(await textFile(asked, 'mitigation'), basename(asked));
}
