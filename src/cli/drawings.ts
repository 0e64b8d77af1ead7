// --report, --plan and their options. In: words of the command line, an assessment; out: files. Terms: see report/report.ts.
// Faults in the options are reported before any file is read.

import type { Assessment } from '../model/index.js';
import { type ReportOptions, scaleNamed, sheetsNamed, toPlan, toReport } from '../report/index.js';
import type { Units } from '../write/index.js';
import { usage } from './values.js';

export interface DrawingFlags {
  readonly report?: string;
  readonly plan?: string;
  readonly sheet?: string;
  readonly scale?: string;
  readonly title?: string;
  readonly cards?: string;
  readonly units?: Units;
  /** Set by the demo: what stands on everything. */
  readonly stamp?: string;
}

/** Checks what can be checked without an assessment. */
export function drawingOptions(flags: DrawingFlags): ReportOptions {
  if (flags.sheet !== undefined) sheetsNamed(flags.sheet);
  if (flags.scale !== undefined) scaleNamed(flags.scale);
  const { units, sheet, scale, title, stamp } = flags;
  return { units, sheet, scale, title, stamp, cards: flags.cards === undefined ? undefined : cardsOf(flags.cards) };
}

function cardsOf(text: string): number {
  const cards = text === 'all' ? Number.MAX_SAFE_INTEGER : /^\d+$/.test(text) ? Number(text) : Number.NaN;
  if (!Number.isSafeInteger(cards))
    throw usage('cards-unreadable', `"${text}" is not a number of cards`, 'write --cards 50, or --cards all');
  return cards;
}

/** Writes what was asked for. */
export async function writeDrawings(
  assessment: Assessment,
  flags: DrawingFlags,
  late: Pick<ReportOptions, 'more' | 'shade'>,
  write: (file: string, pieces: Generator<string, void, undefined>) => Promise<void>,
): Promise<void> {
  const options = drawingOptions(flags);
  if (flags.plan !== undefined) await write(flags.plan, whole(toPlan(assessment, options)));
  if (flags.report !== undefined) await write(flags.report, whole(toReport(assessment, { ...options, ...late })));
}

function* whole(text: string): Generator<string, void, undefined> {
  yield text;
}
