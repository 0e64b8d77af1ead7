// rootberth assess. In: options of the command line; out: files, a short table on stdout, findings on stderr, exit code.
// Terms: see model/. Everything is done by assessFiles and the writers; this file only translates.

import type { Assessment, ShadeResult } from '../model/index.js';
import { assessFiles } from '../node/index.js';
import {
  anyKeptOver,
  assessmentPieces,
  checkStyleFolder,
  checkWriteOptions,
  drain,
  formatOf,
  type OutFormat,
  outputSystem,
  readLayerNames,
  type WriteOptions,
  writeAssessment,
  writeStyles,
  writeTables,
} from '../node/write/index.js';
import { isTable } from '../postgis/index.js';
import { type ReportOptions, toPlanSheets, toReport } from '../report/index.js';
import { shade } from '../shade/index.js';
import {
  facadePieces,
  findingsPieces,
  type GroundStake,
  inventoryPieces,
  inventorySheet,
  limbPieces,
  lotTablePieces,
  optionTablePieces,
  removalPieces,
  removalSheet,
  type Sheet,
  schedulePieces,
  shadeTablePieces,
  shownTrees,
  stakeOutPieces,
  stakesPieces,
  summaryTable,
  type Units,
} from '../write/index.js';
import { progressBar } from './bar.js';
import { ending } from './digest.js';
import { REPORT } from './drawing-values.js';
import { printExplained } from './explain.js';
import { EXIT, type Io } from './io.js';
import { JOB_FILE } from './job-file.js';
import { JOB, jobOf, needed } from './job-settings.js';
import { stakesOf } from './note-values.js';
import { checkPlaces, isWorkbook, stdoutTaker, writeText } from './outputs.js';
import { fencesFrom, PACKET, packetOf } from './packet-values.js';
import { SHADE, wantsShade } from './shade-values.js';
import type { AttributeOf, Flags, RowOf, Sinks } from './table/index.js';
import { type AllTakers, take } from './table/take.js';
import { rolesOf, usage, wordsOf } from './values.js';

/** Options as commander hands them over. */
export interface AssessFlags extends Flags<'assess'> {
  /** Set by the demo: what stands on everything. */
  readonly stamp?: string;
}

const TAKERS: AllTakers<'assess'> = {
  job: JOB,
  jobFile: JOB_FILE,
  shade: SHADE,
  report: REPORT,
  packet: PACKET,
  write: {
    units: (units) => ({ units }),
    prefix: (prefix) => ({ prefix }),
    roles: (roles) => ({ roles: rolesOf(roles) }),
    outCrs: (outCrs) => ({ outCrs }),
    only: (only) => ({ only: wordsOf('--only', only) }),
    figures: (figures) => ({ figures: wordsOf('--figures', [figures]) }),
    outFormat: (_, flags) => ({ format: formatFor(flags) }),
    simplestyle(simplestyle, flags) {
      only(flags, '--simplestyle', ['geojson', 'ndjson'], 'F.geojson');
      return { simplestyle };
    },
    dxfLayers(file, flags) {
      only(flags, '--dxf-layers', ['dxf'], 'F.dxf');
      return { dxfLayers: readLayerNames(file) };
    },
  },
  run: {
    quiet: (quiet) => ({ quiet }),
    explain: (explain) => ({ explain }),
    failOn: (failOn) => ({ failOn }),
  },
  notes: { noteStake: (stakes) => ({ stakes: stakesOf(stakes) }) },
  file: {
    out: (out) => ({ out }),
    style: (style) => ({ style }),
    schedule: (schedule) => ({ schedule }),
    lotTable: (lotTable) => ({ lotTable }),
    inventory: (inventory) => ({ inventory }),
    removals: (removals) => ({ removals }),
    limbSchedule: (limbSchedule) => ({ limbSchedule }),
    stakes: (stakes) => ({ stakes }),
    optionTable: (optionTable) => ({ optionTable }),
    findings: (findings) => ({ findings }),
    shade: (file) => ({ shade: file }),
    shadeTable: (shadeTable) => ({ shadeTable }),
    saveNotes: (saveNotes) => ({ saveNotes }),
    plan: (plan) => ({ plan }),
    report: (report) => ({ report }),
  },
};

const OUT_WORDS = 'the file to write, or - for standard output';

export async function runAssess(flags: AssessFlags, io: Io): Promise<number> {
  const job = jobOf(flags);
  const { quiet = false, explain, failOn } = take<'assess', 'run'>(flags, TAKERS.run);
  // Explaining one tree needs no output file.
  const out = explain === undefined ? needed(flags.out, '--out', OUT_WORDS) : flags.out;
  const { stamp, database } = flags;
  const options = { ...take<'assess', 'write'>(flags, TAKERS.write), format: formatFor(flags), stamp, database };
  if (flags.style !== undefined) checkStyleFolder(flags.style);
  checkWriteOptions(out ?? '-', options); // wrong roles, prefix or system: say so before any file is read
  const packet = await packetOf(take<'assess', 'packet'>(flags, TAKERS.packet));
  const drawing = { ...take<'assess', 'report'>(flags, TAKERS.report), ...packet, units: options.units, stamp };
  const settings = take<'assess', 'shade'>(flags, TAKERS.shade);
  const { stakes = [] } = take<'assess', 'notes'>(flags, TAKERS.notes);
  const taken = stdoutTaker(flags) !== undefined;
  await checkPlaces(flags);
  if (out !== undefined && isTable(out)) await (await import('../postgis/index.js')).checkTables(out, database);
  const say = quiet ? () => undefined : (text: string) => io.err(text);
  const bar = await progressBar(process.stderr, quiet);
  const assessment = await assessFiles({
    ...job,
    ...fencesFrom(job.fences, packet),
    onProgress: bar.show,
    onStep(step) {
      bar.end();
      say(`${step}\n`);
    },
  }).finally(bar.end);
  const shaded = wantsShade(flags) ? shade(assessment, settings) : undefined;
  const tell = (line: string): void => {
    bar.end();
    say(`${line}\n`);
  };
  const files = take<'assess', 'file'>(flags, TAKERS.file);
  // Once for every output; what is said of the run as a whole stays of all trees.
  const { only, ...writing } = options;
  const shown = shownTrees(assessment, { only, units: options.units, prefix: options.prefix });
  const made: Made = {
    assessment: shown,
    shaded,
    options: { ...writing, onProgress: bar.show },
    drawing,
    stakes,
    late: [],
  };
  const late = await writeAll(made, files, io, tell).finally(bar.end);
  const end = async (): Promise<void> => {
    await io.flush?.();
    const { findings: file, field } = flags;
    say(ending([...assessment.findings, ...late], { colour: io.colour.err, file, field }));
  };
  const { units } = options;
  const exit = (): number => exitOf(assessment, failOn, io);
  if (explain !== undefined) {
    await printExplained(assessment, explain, units, io);
    await end();
    return exit();
  }
  const table = summaryTable(shown, { units, colour: taken ? io.colour.err : io.colour.out });
  if (taken) say(table);
  else await io.out(table);
  await end();
  return exit();
}

/** The format asked for; undefined for tables, and where nothing is written. */
function formatFor({ out, outFormat }: Flags<'assess'>): OutFormat | undefined {
  return out === undefined || isTable(out) ? undefined : formatOf(out, outFormat);
}

/** An option of some formats is wrong usage beside another: passed over, it would leave its user believing it was heeded. */
function only(flags: Flags<'assess'>, option: string, formats: readonly OutFormat[], example: string): void {
  const format = formatFor(flags);
  if (format !== undefined && formats.includes(format)) return;
  const cure = `write ${example} with --out, or leave it out`;
  throw usage('option-lonely', `${option} does nothing for ${format ?? 'tables'}`, cure);
}

/** What there is to write. */
interface Made {
  readonly assessment: Assessment;
  readonly shaded: ShadeResult | undefined;
  readonly options: WriteOptions;
  readonly drawing: ReportOptions;
  readonly stakes: readonly GroundStake[];
  /** Findings of shade and writing. */
  readonly late: Assessment['findings'];
}

type Pieces = Generator<string, unknown, undefined>;

/** Outputs beside --out, in the order they are written. */
const TEXTS: {
  readonly [F in Exclude<AttributeOf<RowOf<'assess', 'file'>>, 'out' | 'style'>]: (made: Made) => Pieces | undefined;
} = {
  schedule: ({ assessment, options }) => schedulePieces(assessment, options),
  lotTable: ({ assessment, options }) => lotTablePieces(assessment, options),
  inventory: ({ assessment, options }) => inventoryPieces(assessment, options),
  removals: ({ assessment, options }) => removalPieces(assessment, options),
  limbSchedule: ({ assessment, options }) => limbPieces(assessment, options),
  stakes: ({ assessment, options }) => stakesPieces(assessment, outputSystem(options)),
  saveNotes: ({ assessment, options, stakes }) => stakeOutPieces(assessment, stakes, outputSystem(options)),
  optionTable: ({ assessment, options }) => optionTablePieces(assessment, options),
  findings: ({ assessment, late }) => findingsPieces(assessment, late),
  shade: ({ shaded, options: { units, prefix } }) => shaded && facadePieces(shaded, { units, prefix }),
  shadeTable: ({ shaded, options: { units } }) => shaded && shadeTablePieces(shaded, { units }),
  plan: ({ assessment, drawing }) => whole(toPlanSheets(assessment, drawing)[0]?.svg ?? ''),
  report: ({ assessment, drawing, late, shaded }) =>
    whole(toReport(assessment, { ...drawing, more: late, shade: shaded })),
};

/** What the workbook of an output holds. */
const WORKBOOKS: Partial<Record<keyof typeof TEXTS, (assessment: Assessment, units: Units) => readonly Sheet[]>> = {
  inventory: (assessment, units) => [inventorySheet(assessment, units), removalSheet(assessment, units)],
  removals: (assessment, units) => [removalSheet(assessment, units)],
};

async function writeAll(
  made: Made,
  { out, style, ...others }: Partial<Sinks['file']>,
  io: Io,
  tell: (line: string) => void,
): Promise<Assessment['findings']> {
  const wrote = (file: string): void => tell(`wrote ${file}`);
  const { assessment, shaded, options } = made;
  let late: Assessment['findings'] = shaded?.findings ?? [];
  if (out === '-') {
    late = late.concat(await drain(assessmentPieces(assessment, options), (text) => io.out(text)));
  } else if (out !== undefined) {
    const written = await writeAssessment(out, assessment, options);
    late = late.concat(written.findings);
    written.files.forEach(wrote);
  }
  // Other files tell margins too, and may be written without the trees themselves.
  const tellsMargins = others.schedule !== undefined || others.report !== undefined;
  if (tellsMargins && !late.some(({ code }) => code === 'margin-not-found')) {
    late = late.concat(assessment.marginFindings);
  }
  if (style !== undefined && out !== undefined) {
    const { files } = await writeStyles(style, out, assessment, options);
    files.forEach(wrote);
    if (files.length === 1) tell('no MapLibre style: web maps show longitude and latitude, and this output is plane');
  }
  for (const key of Object.keys(TEXTS) as (keyof typeof TEXTS)[]) {
    const path = others[key];
    if (path === undefined) continue;
    const sheet = isWorkbook(path) ? WORKBOOKS[key] : undefined;
    if (sheet !== undefined) {
      await writeTables(path, assessment, sheet(assessment, options.units ?? 'metric'), options.units ?? 'metric');
      wrote(path);
      continue;
    }
    if (key === 'plan' && path !== '-') {
      for (const file of await writeSheets(path, made, io)) wrote(file);
      continue;
    }
    const pieces = TEXTS[key]({ ...made, late });
    if (pieces === undefined) continue;
    await writeText(path, pieces, io);
    if (path !== '-') wrote(path);
  }
  return late;
}

/** The sheets of the plan: F.svg, F-2.svg, F-3.svg, ... */
async function writeSheets(path: string, { assessment, drawing }: Made, io: Io): Promise<string[]> {
  const files: string[] = [];
  for (const { number, svg } of toPlanSheets(assessment, drawing)) {
    const file = number === 1 ? path : path.replace(/(\.[^./\\]*)?$/, `-${number}$1`);
    await writeText(file, whole(svg), io);
    files.push(file);
  }
  return files;
}

function* whole(text: string): Generator<string, void, undefined> {
  yield text;
}

function exitOf(assessment: Assessment, failOn: 'over-limit' | undefined, io: Io): number {
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
  return failOn === 'over-limit' && anyKeptOver(assessment) ? EXIT.failOn : EXIT.done;
}
