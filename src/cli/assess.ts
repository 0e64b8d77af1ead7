// rootberth assess. In: options of the command line; out: files, a short table on stdout, findings on stderr, exit code.
// Terms: see model/. Everything is done by assessFiles and the writers; this file only translates.

import type {
  Assessment,
  BearingRef,
  ExistingUse,
  FormatName,
  LayerRole,
  LengthUnit,
  ShadeResult,
} from '../model/index.js';
import { type AssessFilesOptions, assessFiles } from '../node/index.js';
import type { FileReadOptions } from '../node/read/index.js';
import {
  anyKeptOver,
  assessmentPieces,
  checkWriteOptions,
  drain,
  formatOf,
  outputSystem,
  type WriteOptions,
  writeAssessment,
} from '../node/write/index.js';
import { isTable } from '../postgis/index.js';
import { shade } from '../shade/index.js';
import {
  facadePieces,
  findingsPieces,
  limbPieces,
  lotTablePieces,
  optionTablePieces,
  schedulePieces,
  shadeTablePieces,
  stakesPieces,
  summaryTable,
  type Units,
} from '../write/index.js';
import { progressBar } from './bar.js';
import { digest } from './digest.js';
import { type DrawingFlags, drawingOptions, writeDrawings } from './drawings.js';
import { printExplained } from './explain.js';
import { EXIT, type Io } from './io.js';
import { limbsOf } from './limb-values.js';
import { checkPlaces, type OutputFlags, stdoutTaker, writeText } from './outputs.js';
import { groundOf, type PlaceFlags, type StemFlags, stemOf } from './place-values.js';
import { type ShadeFlags, shadeSettings, wantsShade } from './shade-values.js';
import {
  boxesOf,
  clearanceOf,
  fieldsOf,
  layersOf,
  lengthOf,
  limitOf,
  optionOf,
  overdigOf,
  type ReadFlags,
  readOptionsOf,
  surveyAgeOf,
  threadsOf,
  usage,
  worksOf,
} from './values.js';

/** Options as commander hands them over. */
export interface AssessFlags
  extends ReadFlags,
    PlaceFlags,
    StemFlags,
    OutputFlags,
    Omit<ShadeFlags, 'shade' | 'shadeTable'>,
    Omit<DrawingFlags, 'units'> {
  readonly trees?: string;
  readonly works?: readonly string[];
  readonly option?: readonly string[];
  readonly existing?: readonly string[];
  readonly existingUse?: ExistingUse;
  readonly margins?: 'all' | 'none';
  readonly dbhAccuracy?: string;
  readonly lots?: string;
  readonly zones?: string;
  readonly crowns?: string;
  readonly crs?: string;
  readonly treesCrs?: string;
  readonly worksCrs?: string;
  readonly existingCrs?: string;
  readonly lotsCrs?: string;
  readonly zonesCrs?: string;
  readonly crownsCrs?: string;
  readonly rule?: readonly string[];
  readonly limit?: string;
  readonly dbhUnit?: LengthUnit;
  readonly field?: readonly string[];
  readonly overdig?: readonly string[];
  readonly surveyAge?: string;
  readonly today?: string;
  readonly clearance?: string;
  readonly limbs?: string;
  readonly limbBearing?: BearingRef;
  readonly declination?: string;
  readonly limbLimit?: string;
  readonly layer?: readonly string[];
  readonly bbox?: readonly string[];
  readonly format?: FormatName;
  readonly database?: string;
  readonly outFormat?: string;
  readonly outCrs?: string;
  readonly mitigation?: string;
  readonly workingSpace?: string;
  readonly postSpacing?: string;
  readonly units?: Units;
  readonly roles?: string;
  readonly prefix?: string;
  readonly failOn?: 'over-limit';
  readonly explain?: readonly string[];
  readonly quiet?: boolean;
  readonly threads?: string;
}

const OUT_WORDS = 'the file to write, or - for standard output';

export async function runAssess(flags: AssessFlags, io: Io): Promise<number> {
  const job = jobOf(flags);
  // Explaining one tree needs no output file.
  const out = flags.explain === undefined ? needed(flags.out, '--out', OUT_WORDS) : flags.out;
  const roles = flags.roles?.split(',').map((role) => role.trim());
  const format = out === undefined || isTable(out) ? undefined : formatOf(out, flags.outFormat);
  const { units, prefix, outCrs, stamp, database } = flags;
  const options = { units, prefix, roles, format, outCrs, stamp, database };
  checkWriteOptions(out ?? '-', options); // wrong roles, prefix or system: say so before any file is read
  drawingOptions(flags);
  const settings = shadeSettings(flags);
  const taken = stdoutTaker(flags) !== undefined;
  await checkPlaces(flags);
  if (out !== undefined && isTable(out)) await (await import('../postgis/index.js')).checkTables(out, database);
  const say = flags.quiet === true ? () => undefined : (text: string) => io.err(text);
  const bar = await progressBar(process.stderr, flags.quiet === true);
  const assessment = await assessFiles({
    ...job,
    onProgress: bar.show,
    onStep(step) {
      bar.end();
      say(`${step}\n`);
    },
  }).finally(bar.end);
  const shaded = wantsShade(flags) ? shade(assessment, settings) : undefined;
  const wrote = (file: string): void => {
    bar.end();
    say(`wrote ${file}\n`);
  };
  const watch = { ...options, onProgress: bar.show };
  const late = await writeAll(assessment, shaded, out, flags, watch, io, wrote).finally(bar.end);
  say(digest([...assessment.findings, ...late], io.colour.err));
  if (flags.explain !== undefined) {
    await printExplained(assessment, flags.explain, flags.units, io);
    return exitOf(assessment, flags, io);
  }
  const table = summaryTable(assessment, { units: flags.units, colour: taken ? io.colour.err : io.colour.out });
  if (taken) say(table);
  else await io.out(table);
  return exitOf(assessment, flags, io);
}

/** The command line's words as a job. */
export function jobOf(flags: AssessFlags): AssessFilesOptions {
  const trees = needed(flags.trees, '--trees', 'the tree survey');
  const works = [...(flags.works ?? []).map(worksOf), ...(flags.option ?? []).map(optionOf)];
  if (works.length === 0) {
    throw usage('works-missing', 'no works are given', 'give the proposed works with --works F, or with --option A=F');
  }
  const { layers, kinds } = layersOf(flags.layer ?? []);
  const boxes = boxesOf(flags.bbox ?? []);
  const read = (role: LayerRole, path: string | undefined, own: ReadFlags): FileReadOptions => ({
    ...readOptionsOf(own, layers[role], role === 'works' ? kinds : {}, boxes[role]),
    ...(path === '-' && flags.format !== undefined ? { format: flags.format } : {}),
  });
  const salvage: ReadFlags = flags.salvage === true ? { salvage: true } : {};
  const crsFor = given({
    trees: flags.treesCrs,
    works: flags.worksCrs,
    existing: flags.existingCrs,
    lots: flags.lotsCrs,
    zones: flags.zonesCrs,
    crowns: flags.crownsCrs,
  });
  return {
    trees,
    works,
    existing: flags.existing,
    lots: flags.lots,
    zones: flags.zones,
    crowns: flags.crowns,
    limbList: flags.limbs,
    rule: flags.rule,
    database: flags.database,
    ...(flags.threads === undefined ? {} : { threads: threadsOf(flags.threads) }),
    // Coordinate columns and headers are the survey's: a CSV holds points only.
    read: {
      trees: read('trees', trees, flags),
      works: read('works', works.find((file) => file.path === '-')?.path, salvage),
      existing: read(
        'existing',
        flags.existing?.find((path) => path === '-'),
        salvage,
      ),
      lots: read('lots', flags.lots, salvage),
      zones: read('zones', flags.zones, salvage),
      crowns: read('crowns', flags.crowns, salvage),
    },
    ...given({ crs: flags.crs, dbhUnit: flags.dbhUnit, gridFiles: flags.grid, mitigationFile: flags.mitigation }),
    ...given({ existingUse: flags.existingUse }),
    ...(flags.margins === undefined ? {} : { margins: flags.margins === 'all' }),
    ...(flags.dbhAccuracy === undefined ? {} : { dbhAccuracyM: lengthOf('--dbh-accuracy', flags.dbhAccuracy, '1cm') }),
    ...given({ ground: groundOf(flags), stemAt: stemOf(flags) }),
    ...surveyAgeOf(flags),
    ...(Object.keys(crsFor).length === 0 ? {} : { crsFor }),
    ...(flags.limit === undefined ? {} : { limit: limitOf(flags.limit) }),
    ...(flags.field === undefined ? {} : { fields: fieldsOf(flags.field) }),
    ...limbsOf(flags),
    ...(flags.clearance === undefined ? {} : { clearanceM: clearanceOf(flags.clearance) }),
    ...given({ fences: fencesFor(flags) }),
    ...(flags.overdig === undefined ? {} : { overdigM: overdigOf(flags.overdig) }),
  };
}

/** Options of fences; asking for stakes asks for fences, in a system that stakes can be set out in. */
function fencesFor({ workingSpace, postSpacing, stakes, outCrs }: AssessFlags): AssessFilesOptions['fences'] {
  if (workingSpace === undefined && postSpacing === undefined && stakes === undefined) return undefined;
  return given({
    workingSpaceM: workingSpace === undefined ? undefined : lengthOf('--working-space', workingSpace, '1.5m'),
    postSpacingM: postSpacing === undefined ? undefined : lengthOf('--post-spacing', postSpacing, '10ft'),
    stakesInSurvey:
      stakes !== undefined && (outputSystem({ outCrs })?.crs.kind ?? 'geographic') === 'geographic' ? true : undefined,
  });
}

async function writeAll(
  assessment: Assessment,
  shaded: ShadeResult | undefined,
  out: string | undefined,
  flags: AssessFlags,
  options: WriteOptions,
  io: Io,
  wrote: (file: string) => void,
): Promise<Assessment['findings']> {
  let late: Assessment['findings'] = shaded?.findings ?? [];
  if (out === '-') {
    late = late.concat(await drain(assessmentPieces(assessment, options), (text) => io.out(text)));
  } else if (out !== undefined) {
    const written = await writeAssessment(out, assessment, options);
    late = late.concat(written.findings);
    written.files.forEach(wrote);
  }
  const units = { units: flags.units };
  const texts: (readonly [path: string | undefined, pieces: () => Generator<string, unknown, undefined>])[] = [
    [flags.schedule, () => schedulePieces(assessment, units)],
    [flags.lotTable, () => lotTablePieces(assessment, units)],
    [flags.limbSchedule, () => limbPieces(assessment, units)],
    [flags.stakes, () => stakesPieces(assessment, outputSystem(options))],
    [flags.optionTable, () => optionTablePieces(assessment, units)],
    [flags.findings, () => findingsPieces(assessment, late)],
  ];
  if (shaded !== undefined) {
    texts.push([flags.shade, () => facadePieces(shaded, { ...units, prefix: flags.prefix })]);
    texts.push([flags.shadeTable, () => shadeTablePieces(shaded, units)]);
  }
  const write = async (path: string, pieces: Generator<string, unknown, undefined>): Promise<void> => {
    await writeText(path, pieces, io);
    if (path !== '-') wrote(path);
  };
  for (const [path, pieces] of texts) if (path !== undefined) await write(path, pieces());
  await writeDrawings(assessment, flags, { more: late, shade: shaded }, write);
  return late;
}

function exitOf(assessment: Assessment, flags: AssessFlags, io: Io): number {
  const { trees } = assessment.counts;
  if (trees.assessed === 0) {
    const message =
      trees.in === 0
        ? 'the tree layer holds no tree'
        : trees.in === 1
          ? 'the one tree of the layer could not be assessed'
          : `none of the ${trees.in} trees could be assessed`;
    io.err(`error no-tree-assessed: ${message}\n    the findings say why, tree by tree\n`);
    return EXIT.unusableInput;
  }
  return flags.failOn === 'over-limit' && anyKeptOver(assessment) ? EXIT.failOn : EXIT.done;
}

function needed(value: string | undefined, option: string, what: string): string {
  if (value === undefined) throw usage('option-missing', `${option} is missing`, `give ${what} with ${option} F`);
  return value;
}

/** The entries that were given. */
function given<T extends Record<string, unknown>>(entries: T): { [K in keyof T]?: Exclude<T[K], undefined> } {
  return Object.fromEntries(Object.entries(entries).filter(([, value]) => value !== undefined)) as {
    [K in keyof T]?: Exclude<T[K], undefined>;
  };
}
