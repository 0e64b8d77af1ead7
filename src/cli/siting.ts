// rootberth siting. In: options of the command line; out: files, a short list on stdout, findings on stderr, exit code.
// Terms: see docs/siting.md. Everything is done by sitingFiles and the writers; this file only translates.

import type { Assessment, Setback, ShadeResult, Siting } from '../model/index.js';
import { sitingFiles } from '../node/index.js';
import { outputSystem } from '../node/write/index.js';
import { toReport, toSitingPlan } from '../report/index.js';
import { shade } from '../shade/index.js';
import { sitingSummary, sitingTablePieces, sitingText } from '../write/index.js';
import { ending } from './digest.js';
import { EXIT, type Io } from './io.js';
import { JOB_FILE } from './job-file.js';
import { JOB, jobOf } from './job-settings.js';
import { stdoutTaker, writeText } from './outputs.js';
import type { Flags } from './table/index.js';
import { type AllTakers, take } from './table/take.js';
import { lengthOf, usage } from './values.js';

/** Options as commander hands them over. */
export interface SitingFlags extends Flags<'siting'> {
  /** Set by the demo: what stands on everything. */
  readonly stamp?: string;
}

const TAKERS: AllTakers<'siting'> = {
  job: JOB,
  jobFile: JOB_FILE,
  siting: {
    move: (move) => ({ move }),
    mirror: (mirror) => ({ mirror }),
    setback: (setback, { front }) => ({ setback: setbackOf(setback, front) }),
    front: (front, { setback }) => ({ setback: setback === undefined ? undefined : setbackOf(setback, front) }),
    shift: (shift) => ({ shiftM: lengthOf('--shift', shift, '15m') }),
    turn: (turn) => ({ turnDeg: turnOf(turn) }),
    buildable: (buildableFile) => ({ buildableFile }),
  },
  write: {
    units: (units) => ({ units }),
    prefix: (prefix) => ({ prefix }),
    outCrs: (outCrs) => ({ outCrs }),
  },
  file: {
    out: (out) => ({ out }),
    table: (table) => ({ table }),
    findings: (findings) => ({ findings }),
    plan: (plan) => ({ plan }),
    report: (report) => ({ report }),
  },
  report: { title: (title) => ({ title }) },
  run: {
    quiet: (quiet) => ({ quiet }),
    failOn: (failOn) => ({ failOn }),
  },
};

export async function runSiting(flags: SitingFlags, io: Io): Promise<number> {
  const { out, table, findings, plan, report } = take<'siting', 'file'>(flags, TAKERS.file);
  if (out === undefined && table === undefined) {
    throw usage('option-missing', 'neither --out nor --table is given', 'give the file to write with --out F.geojson');
  }
  if (out !== undefined && out !== '-' && !/\.(geo)?json$/i.test(out)) {
    throw usage('format-unknown', `${out}: sitings are written as GeoJSON`, 'give --out a name that ends in .geojson');
  }
  if ((flags.rule?.length ?? 0) > 1) {
    throw usage('siting-one-rule', 'a footprint is sited under one rule', 'give --rule once, or run it for each');
  }
  const { buildableFile, ...options } = take<'siting', 'siting'>(flags, TAKERS.siting);
  const job = jobOf(flags);
  if ((job.works ?? []).length === 0) {
    throw usage(
      'works-missing',
      'no works are given, so nothing can be sited',
      'give the proposed works with --works F',
    );
  }
  const { quiet, failOn } = take<'siting', 'run'>(flags, TAKERS.run);
  const { units = 'metric', prefix, outCrs } = take<'siting', 'write'>(flags, TAKERS.write);
  const taken = stdoutTaker(flags) !== undefined;
  const say = quiet === true ? () => undefined : (text: string) => io.err(text);
  const found = await sitingFiles({
    ...job,
    // Cards show margins; tables and maps do not.
    ...(report === undefined ? {} : { margins: true }),
    siting: options,
    buildableFile,
    onStep: (step) => say(`${step}\n`),
  });
  const write = async (path: string | undefined, pieces: () => Generator<string, void, undefined>): Promise<void> => {
    if (path === undefined) return;
    await writeText(path, pieces(), io);
    if (path !== '-') say(`wrote ${path}\n`);
  };
  const output = outputSystem({ outCrs }) ?? undefined;
  await write(out, () => sitingText(found, { units, ...(prefix === undefined ? {} : { prefix }), output }));
  await write(table, () => sitingTablePieces(found, units));
  const all = [...found.before.findings, ...found.findings];
  await write(findings, () => findingsText(found, all));
  const drawing = { units, stamp: flags.stamp, ...take<'siting', 'report'>(flags, TAKERS.report) };
  await write(plan, () => one(toSitingPlan(found, drawing)));
  const sited = found.sitings[0]?.after ?? found.before;
  const about = { ...drawing, siting: found, more: found.findings };
  await write(report, () => one(toReport(sited, { ...about, shade: shadeOf(sited, found) })));
  const list = sitingSummary(found, units);
  if (taken) say(list);
  else await io.out(list);
  await io.flush?.();
  say(ending(all, { colour: io.colour.err, file: findings, field: flags.field }));
  const keepsAll = found.status === 'in-place' || found.status === 'sited';
  return failOn === 'over-limit' && !keepsAll ? EXIT.failOn : EXIT.done;
}

/** The sun on what has moved, where it is sited; undefined where its place on the earth is not known. */
function shadeOf(sited: Assessment, { moved }: Siting): ShadeResult | undefined {
  if (sited.job.treeTransform?.crs.kind === 'local') return undefined;
  return shade(sited, {}, moved);
}

function* one(text: string): Generator<string, void, undefined> {
  yield text;
}

function* findingsText({ before }: Siting, findings: Siting['findings']): Generator<string, void, undefined> {
  const { version, inputs, counts } = before;
  yield `${JSON.stringify({ version, inputs, counts, rule: before.rule.id, findings }, null, 1)}\n`;
}

/** `15deg`, `15°` or `15`. */
function turnOf(text: string): number {
  const turn = Number(/^(\d+(?:\.\d+)?)\s*(?:deg|°)?$/.exec(text.trim())?.[1]);
  if (turn >= 0 && turn <= 180) return turn;
  throw usage('turn-invalid', `--turn ${text} is not an angle from 0 to 180 degrees`, 'write --turn 15deg');
}

const SIDES = ['front', 'side', 'rear'] as const;

/** `3m`, or `front=6m,side=1.5m,rear=3m` with the bearing that the front faces. */
function setbackOf(text: string, front: string | undefined): Setback {
  if (!text.includes('=')) {
    if (front === undefined) return lengthOf('--setback', text, '3m');
    throw usage(
      'setback-invalid',
      '--front is for setbacks that differ by side',
      'write --setback front=6m,side=1.5m,rear=3m',
    );
  }
  const given = new Map<string, number>();
  for (const part of text.split(',')) {
    const [side = '', length = ''] = part.split('=').map((one) => one.trim());
    if (!SIDES.some((one) => one === side)) {
      throw usage(
        'setback-invalid',
        `--setback ${text}: "${side}" is not a side of a lot`,
        `choose from ${SIDES.join(', ')}`,
      );
    }
    given.set(side, lengthOf('--setback', length, 'front=6m,side=1.5m,rear=3m'));
  }
  const bearing = Number(/^(\d+(?:\.\d+)?)\s*(?:deg|°)?$/.exec((front ?? '').trim())?.[1]);
  if (!(bearing >= 0 && bearing <= 360)) {
    const cure = 'give the bearing that the lot’s front faces, clockwise from true north: --front 180';
    throw usage('setback-invalid', 'setbacks by side need to know which side is the front', cure);
  }
  const of = (side: (typeof SIDES)[number]): number => given.get(side) ?? 0;
  return { frontM: of('front'), sideM: of('side'), rearM: of('rear'), frontBearing: bearing };
}
