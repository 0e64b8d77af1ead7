// What is to be said of computed notes. In: points, readings, troubles, blunders; out: findings. Terms: see result.ts. Linear in
// points and readings, but for the crossings of each point.

import { type Finding, type FindingCode, finding } from '../model/index.js';
import { counted, listOf } from '../text/index.js';
import type { Adjusted } from './adjust.js';
import type { Blunder } from './blunders.js';
import type { Closing } from './closings.js';
import type { CheckedReading, FieldNotes, PlacedPoint } from './result.js';
import { drawn } from './shapes.js';
import { FLAT_DEG, onLine, type Start, sharpest, type Trouble } from './start.js';
import type { Notebook } from './types.js';
import { figureWords, lengthWords, readingWords, shownUnit } from './words.js';

export interface Solved {
  readonly notes: Notebook;
  readonly start: Start;
  readonly points: readonly PlacedPoint[];
  readonly readings: readonly CheckedReading[];
  readonly blunders: readonly Blunder[];
  readonly enlarged: number;
  readonly xy: Float64Array;
  readonly last: Adjusted | null;
}

type Say = (code: FindingCode, row: number, message: string, cure: string, id?: string) => void;

export function findingsOf(
  solved: Solved,
  scale: FieldNotes['scale'],
  closed: readonly Closing[],
  byCompass: boolean,
): Finding[] {
  const out: Finding[] = [];
  const { notes, enlarged } = solved;
  const say: Say = (code, row, message, cure, id) =>
    void out.push(finding(code, { layer: notes.name, path: `row ${row}`, id }, message, cure));
  for (const [p, trouble] of solved.start.troubles) sayTrouble(solved, p, trouble, say);
  for (const blunder of solved.blunders) sayBlunder(solved, blunder, say);
  if (enlarged > 1 && !solved.blunders.some(({ suspects }) => suspects.length > 1)) {
    const times = enlarged.toFixed(1);
    const worst = solved.readings.reduce((most, one) =>
      Math.abs(one.standardised || 0) > Math.abs(most.standardised || 0) ? one : most,
    );
    const message = `the readings differ by ${times} times what their accuracies allow, and no one of them explains it: all standard errors were enlarged so; farthest off is row ${worst.reading.row}, ${worst.words}`;
    const cure = 'look for a reading that is wrong, or give accuracies that fit the work (accuracy_ft, accuracy_m)';
    out.push(finding('note-variance', { layer: notes.name }, message, cure));
  }
  if (scale !== null && Math.abs(scale.value - 1) > 3 * scale.sigma && Math.abs(scale.value - 1) > 1e-4) {
    const message = `by the known points the tapes read ${scale.value.toFixed(5)} times the true lengths (give or take ${scale.sigma.toFixed(5)})`;
    const cure =
      'look for a foot of another kind, a stretched tape, slopes that were not noted, or a wrong known point; nothing was scaled';
    out.push(finding('note-scale', { layer: notes.name }, message, cure));
  }
  saySides(solved, say);
  for (const outline of notes.outlines) {
    const shape = drawn(outline, solved.xy, (p) => notes.points[p]!.name);
    if ('missing' in shape) say('note-outline', outline.row, shape.missing, shape.cure);
  }
  for (const one of closed) sayClosing(notes, one, byCompass, say);
  sayWeak(solved, say);
  return out;
}

function sayTrouble({ notes, points }: Solved, p: number, trouble: Trouble, say: Say) {
  const { name, row, isNoted, at } = points[p]!;
  if (!isNoted || at !== null) return; // it is told as unknown, or was placed by the compass rule
  const unit = shownUnit(notes);
  const nameOf = (at: number): string => points[at]!.name;
  if (trouble.why === 'loose') {
    const { loci } = trouble;
    const what =
      loci.length === 0
        ? 'nothing that is measured of it starts at a point whose place is known'
        : loci.length === 1
          ? `one reading only (${readingWords(notes, loci[0]!)})`
          : `its readings do not cross (${listOf(loci, 3, (reading) => readingWords(notes, reading))})`;
    const cure =
      'measure it from two points whose places are known: two ties, a baseline and an offset, or a bearing and a distance';
    return say('note-point-loose', row, `${name} can't be placed: ${what}`, cure, name);
  }
  if (trouble.why === 'apart') {
    const of = trouble.of.map((reading) => readingWords(notes, reading)).join('; ');
    const message = `${name} can't be placed: its distances do not meet, ${lengthWords(trouble.gapM, unit)} are missing (${of})`;
    return say(
      'note-no-meeting',
      row,
      message,
      'measure both again; look for a foot or a metre too few, or the wrong stake',
      name,
    );
  }
  const places = trouble.places.map(([x, y]) => `${lengthWords(x, unit)} east, ${lengthWords(y, unit)} north`);
  const where = notes.system === 'local' ? `of ${nameOf(originOf(points))}` : 'of the middle of the known points';
  const line =
    trouble.line === null ? 'the line between its stakes' : `${nameOf(trouble.line[0])}>${nameOf(trouble.line[1])}`;
  const message = `${name} can't be placed: its readings meet twice, and nothing tells which it is: ${places.join(', or ')} ${where}`;
  say(
    'note-side-missing',
    row,
    message,
    `say the side: base ${line} and side left or right; or measure from a third point`,
    name,
  );
}

function originOf(points: readonly PlacedPoint[]): number {
  return Math.max(
    0,
    points.findIndex(({ xM, yM }) => xM === 0 && yM === 0),
  );
}

function sayBlunder({ notes, readings }: Solved, { suspects, orKnown }: Blunder, say: Say) {
  const unit = shownUnit(notes);
  const told = suspects.map(({ reading, error, probably }) => {
    const { reading: of, words } = readings[reading]!;
    const by = figureWords(of, Math.abs(error), unit);
    const much = `${by} too ${error > 0 ? 'much' : 'little'}`;
    return {
      row: of.row,
      words: `row ${of.row}, ${words} is ${much}${probably === '' ? '' : ` (probably ${probably})`}`,
    };
  });
  const { row } = told[0]!;
  if (told.length === 1) {
    return say(
      'note-blunder',
      row,
      `${told[0]!.words}${orKnown ? ', or the coordinates of a known point are wrong' : ''}; the positions were computed without it`,
      'measure it again, and correct the row',
    );
  }
  const message = `one of ${counted(told.length, 'reading')} is wrong, and nothing tells which: ${told.map(({ words }) => words).join('; or ')}; all were used`;
  say('note-blunder', row, message, 'measure each of them again, or the point from one more stake');
}

/** Less than this off a line is on it, metres: either side is right. */
const ON_LINE_M = 0.1;

/** Sides that the readings contradict. */
function saySides({ notes, points, xy }: Solved, say: Say): void {
  for (const hint of notes.sides) {
    const [, offset] = onLine(xy, hint);
    if (!(Math.abs(offset) > ON_LINE_M) || offset > 0 === hint.left) continue;
    const { name, row } = points[hint.p]!;
    const line = `${points[hint.a]!.name}>${points[hint.b]!.name}`;
    const [said, found] = hint.left ? ['left', 'right'] : ['right', 'left'];
    const message = `${name} is said to be ${said} of ${line}, and its readings put it ${lengthWords(Math.abs(offset), shownUnit(notes))} to the ${found}`;
    say('note-conflict', row, message, 'look which of them is wrong: the side, the line or a reading', name);
  }
}

function sayClosing(notes: Notebook, { outline, row, error, perimeter }: Closing, byCompass: boolean, say: Say): void {
  const unit = shownUnit(notes);
  const ratio = error > 0 ? `1 in ${Math.round(perimeter / error)}` : 'exactly';
  const spread = byCompass
    ? 'it was spread by the compass rule'
    : 'it was spread by least squares with all other readings';
  const message = `the running dimensions of ${outline} close by ${lengthWords(error, unit)} in ${lengthWords(perimeter, unit)} (${ratio}); ${spread}`;
  say('note-closing', row, message, 'nothing to do if that is small; else measure the longest sides again');
}

/** Points that nothing checks, and crossings that are too flat. */
function sayWeak({ notes, points, readings, xy, last }: Solved, say: Say): void {
  if (last === null) return;
  const unit = shownUnit(notes);
  const used = readings.filter(
    ({ redundancy, residual, isOut }) => !isOut && (!Number.isNaN(residual) || redundancy > 0),
  );
  const checked = new Set(used.flatMap(({ reading, redundancy }) => (redundancy > 0.01 ? [reading.p, reading.q] : [])));
  const list = used.map(({ reading }) => reading);
  // Corners of works that are drawn, not measured: nothing checks them, and no one expects it.
  const planned = new Set(
    notes.outlines
      .flatMap(({ kind, corners }) => (kind === 'lot' || kind === 'existing' ? [] : corners))
      .map(({ point }) => point),
  );
  points.forEach(({ name, row, known, spread, accuracyM }, p) => {
    if (known !== null || spread === null || spread.majorM === 0) return;
    const round = `it lies within ${lengthWords(accuracyM, unit)} (95 of 100 cases), by ${lengthWords(spread.majorM, unit)} along ${spread.azimuthDeg.toFixed(0)} deg and ${lengthWords(spread.minorM, unit)} across (one standard error)`;
    const sine = sharpest(p, list, xy);
    if (spread.minorM > 0 && sine > 0 && sine < Math.sin((FLAT_DEG * Math.PI) / 180)) {
      const deg = ((Math.asin(sine) * 180) / Math.PI).toFixed(0);
      say(
        'note-crossing-flat',
        row,
        `${name}: its readings cross under ${deg} degrees; ${round}`,
        'measure it from a stake to the side as well',
        name,
      );
    } else if (!checked.has(p) && points[p]!.isNoted && !planned.has(p)) {
      say(
        'note-unchecked',
        row,
        `${name} is fixed by just enough readings: nothing checks it; ${round}`,
        'one more tie would show a slip',
        name,
      );
    }
  });
}
