// Notebook -> positions. In: points, readings, outlines; out: adjusted positions with their accuracy, what every reading is off, what
// is probably wrong, and findings. The steps stand in `solveNotes`. Terms: see types.ts and adjust.ts.

import { signedArea } from '../geometry/index.js';
import { type Finding, type FindingCode, finding, InputError, type LengthUnit } from '../model/index.js';
import { counted, listOf } from '../text/index.js';
import { type Adjusted, adjust, type Network } from './adjust.js';
import { type Blunder, search } from './blunders.js';
import { type Closing, closings, compassCorners } from './closings.js';
import { type NotesPlane, planeOf } from './plane.js';
import { drawn } from './shapes.js';
import { FLAT_DEG, onLine, type Start, sharpest, startFrom, type Trouble } from './start.js';
import { CIRCLE_95, chiSquareUpper } from './statistics.js';
import type { Notebook, NotePoint, NotesOptions, Outline, Reading, Spread } from './types.js';
import { figureWords, lengthWords, readingWords, shownUnit } from './words.js';

/** A point and where it came to lie. */
export interface PlacedPoint extends NotePoint {
  /** Coordinates of the file (its unit, or degrees); null: not placed. */
  readonly at: readonly [number, number] | null;
  /** In metres, in the plane of the notes; NaN where it is not placed. */
  readonly xM: number;
  readonly yM: number;
  readonly spread: Spread | null;
  /** Within this of its true place in 95 of 100 cases at least, metres; NaN where nothing tells. */
  readonly accuracyM: number;
}

/** A reading beside what it should have been. */
export interface CheckedReading {
  readonly reading: Reading;
  readonly words: string;
  /** Adjusted less observed, metres or radians; NaN: it was not used. */
  readonly residual: number;
  readonly redundancy: number;
  readonly standardised: number;
  /** Left out as a blunder. */
  readonly isOut: boolean;
}

/** What comes of a notebook. */
export interface FieldNotes {
  readonly name: string;
  readonly system: Notebook['system'];
  readonly unit: LengthUnit;
  readonly points: readonly PlacedPoint[];
  readonly readings: readonly CheckedReading[];
  readonly outlines: readonly Outline[];
  readonly blunders: readonly Blunder[]; // suspects are indices of `readings`
  /** Readings too many. */
  readonly degrees: number;
  /** 1 where readings are as good as assumed; NaN where nothing is measured too often. */
  readonly variance: number;
  /** By how much standard errors were enlarged for a variance that chance does not explain; 1: not at all. */
  readonly enlarged: number;
  /** Tapes over known points, with its standard error; null where it can't be told. */
  readonly scale: { readonly value: number; readonly sigma: number } | null;
  readonly closings: readonly Closing[];
  readonly findings: readonly Finding[];
  /** A place in metres of the plane as coordinates of the file. */
  toNative(x: number, y: number): readonly [number, number];
}

/**
 * Computes a notebook.
 *
 * @throws InputError `notes-axis` (a local system without a distance to start from), and those of `planeOf`
 */
export function solveNotes(notes: Notebook, options: NotesOptions = {}): FieldNotes {
  const plane = planeOf(notes, options);
  const turned = { ...notes, readings: turnedReadings(notes, plane) };
  const begin = notes.system === 'local' ? localStart(turned) : { xy: plane.known, held: [], swing: plane.swing };
  const start = startFrom(turned, begin.xy, begin.swing, insideLots(notes.outlines));
  const net = networkOf(turned, start, begin);
  const searched = net.adjusted === null ? null : search(net.network, net.adjusted);
  const last = searched?.adjusted ?? null;
  const degrees = last === null ? 0 : last.degrees;
  const variance = last !== null && degrees > 0 ? last.squares / degrees : Number.NaN;
  const isPoor = last !== null && degrees > 0 && last.squares > chiSquareUpper(0.01, degrees);
  const enlarged = isPoor ? Math.sqrt(variance) : 1;
  const xy = net.network.xy.slice();
  if (last !== null) xy.set(last.xy);
  const byCompass = options.closing === 'compass';
  const compass = byCompass ? compassCorners(notes.outlines, xy) : new Map<number, number>();
  const points = notes.points.map((point, i) => placedPoint(point, i, xy, last, enlarged, plane, compass));
  const readings = checkedReadings(turned, net, searched?.isOut ?? null, last);
  const blunders = (searched?.blunders ?? []).map(({ suspects, ...more }) => ({
    ...more,
    suspects: suspects.map((suspect) => ({ ...suspect, reading: net.from[suspect.reading]! })),
  }));
  const scale = net.adjusted === null ? null : scaleOf(notes, net.network, searched?.isOut ?? null, degrees);
  const solved = { notes: turned, start: withoutLost(start, net.lost), points, readings, blunders, enlarged, xy, last };
  const closed = closings(notes.outlines, xy);
  return {
    name: notes.name,
    system: notes.system,
    unit: notes.unit,
    points,
    readings,
    outlines: notes.outlines,
    blunders,
    degrees,
    variance,
    enlarged,
    scale,
    closings: closed,
    findings: [...notes.findings, ...findingsOf(solved, scale, closed, byCompass)],
    toNative: plane.toNative,
  };
}

/** Bearings counted from the y axis, known points in metres. */
function turnedReadings({ readings }: Notebook, plane: NotesPlane): Reading[] {
  return readings.map((reading) => {
    const { kind, value, p } = reading;
    if (kind === 'bearing') return { ...reading, value: value + plane.turn };
    if (kind === 'east') return { ...reading, value: plane.known[p * 2]! };
    if (kind === 'north') return { ...reading, value: plane.known[p * 2 + 1]! };
    return reading;
  });
}

interface Begin {
  readonly xy: Float64Array;
  readonly held: readonly number[]; // coordinates
  readonly swing: boolean;
}

/** The first two points as axis: the first at 0, 0; north up where a bearing starts there, else the second to the east. */
function localStart(notes: Notebook): Begin {
  const { points, readings, name } = notes;
  const xy = new Float64Array(points.length * 2).fill(Number.NaN);
  const tied = (p: number): Reading | undefined =>
    readings.find((r) => r.kind === 'distance' && (r.p === p || r.q === p));
  const origin = points.findIndex((_, p) => tied(p) !== undefined);
  const tie = origin < 0 ? undefined : tied(origin);
  if (tie === undefined) {
    throw new InputError(
      'notes-axis',
      `${name} has no known point, and no distance between two of its points to start from`,
      {
        layer: name,
        cure: 'measure from the first stake to the second, and write it as a row: the second as point, the first in from',
      },
    );
  }
  xy.set([0, 0], origin * 2);
  const bearings = readings.filter(({ kind }) => kind === 'bearing');
  const both = bearings.find(({ p, q }) =>
    readings.some((r) => r.kind === 'distance' && r.p === p && r.q === q && (p === origin || q === origin)),
  );
  if (both !== undefined) return { xy, held: [origin * 2, origin * 2 + 1], swing: false };
  const second = tie.p === origin ? tie.q : tie.p;
  xy.set([tie.value, 0], second * 2);
  return { xy, held: [origin * 2, origin * 2 + 1, second * 2 + 1], swing: bearings.length > 0 };
}

/** The inner side of an edge of a lot whose corners are all placed. */
function insideLots(outlines: readonly Outline[]): (a: number, b: number, xy: Float64Array) => number {
  const lots = outlines.filter(({ kind, corners }) => kind === 'lot' && corners.length >= 3);
  return (a, b, xy) => {
    for (const { corners } of lots) {
      const ring = corners.flatMap(({ point }) => [xy[point * 2]!, xy[point * 2 + 1]!]);
      const n = corners.length;
      const at = corners.findIndex(({ point }, i) => {
        const next = corners[(i + 1) % n]!.point;
        return (point === a && next === b) || (point === b && next === a);
      });
      if (at < 0 || ring.some(Number.isNaN)) continue;
      const isForward = corners[at]!.point === a;
      return signedArea(ring) > 0 === isForward ? 1 : -1;
    }
    return 0;
  };
}

interface Built {
  readonly network: Network;
  readonly adjusted: Adjusted | null; // null: there is nothing to adjust
  /** Index in the notebook of each reading of the network. */
  readonly from: readonly number[];
  /** Points that the readings do not fix after all. */
  readonly lost: ReadonlySet<number>;
}

/** The network of what is placed; a point that nothing fixes is taken out of it. */
function networkOf(notes: Notebook, start: Start, { held, swing }: Begin): Built {
  const xy = start.xy.slice();
  const lost = new Set<number>();
  for (;;) {
    const isPlaced = (p: number): boolean => p < 0 || !Number.isNaN(xy[p * 2]!);
    const from = notes.readings.flatMap(({ p, q, a, b }, i) => ([p, q, a, b].every(isPlaced) ? [i] : []));
    const readings = from.map((i) => notes.readings[i]!);
    const heldAt = new Uint8Array(xy.length);
    for (const coordinate of held) heldAt[coordinate] = 1;
    const usesSwing = swing && readings.some(({ kind }) => kind === 'bearing');
    const network: Network = {
      xy,
      held: heldAt,
      readings,
      sign: from.map((i) => start.sign[i]!),
      swing: usesSwing,
      scale: false,
    };
    if (readings.length === 0) return { network, adjusted: null, from, lost };
    const adjusted = adjust(network);
    if (!('point' in adjusted)) return { network: { ...network, xy: adjusted.xy }, adjusted, from, lost };
    if (adjusted.point < 0) return { network, adjusted: null, from, lost };
    lost.add(adjusted.point);
    xy.fill(Number.NaN, adjusted.point * 2, adjusted.point * 2 + 2);
  }
}

function withoutLost(start: Start, lost: ReadonlySet<number>): Start {
  const troubles = new Map(start.troubles);
  for (const point of lost) troubles.set(point, { why: 'loose', loci: [] });
  return { ...start, troubles };
}

function placedPoint(
  point: NotePoint,
  i: number,
  xy: Float64Array,
  adjusted: Adjusted | null,
  enlarged: number,
  plane: NotesPlane,
  compass: ReadonlyMap<number, number>,
): PlacedPoint {
  const [xM, yM] = [xy[i * 2]!, xy[i * 2 + 1]!];
  if (Number.isNaN(xM)) return { ...point, at: null, xM, yM, spread: null, accuracyM: Number.NaN };
  const at = plane.toNative(xM, yM);
  const ofCompass = compass.get(i);
  if (ofCompass !== undefined) return { ...point, at, xM, yM, spread: null, accuracyM: ofCompass };
  if (adjusted === null) return { ...point, at, xM, yM, spread: null, accuracyM: Number.NaN };
  const spread = spreadOf(adjusted, i, enlarged);
  return { ...point, at, xM, yM, spread, accuracyM: spread.majorM * CIRCLE_95 };
}

/** Standard errors and ellipse: the roots of the 2 x 2 block of cofactors. */
export function spreadOf({ cofactor }: Adjusted, point: number, enlarged: number): Spread {
  const [east, north] = [point * 2, point * 2 + 1];
  const [xx, yy, xy] = [cofactor(east, east), cofactor(north, north), cofactor(east, north)];
  const middle = (xx + yy) / 2;
  const reach = Math.hypot((xx - yy) / 2, xy);
  const azimuth = (Math.atan2(2 * xy, yy - xx) / 2) * (180 / Math.PI);
  return {
    eastM: enlarged * Math.sqrt(Math.max(xx, 0)),
    northM: enlarged * Math.sqrt(Math.max(yy, 0)),
    majorM: enlarged * Math.sqrt(Math.max(middle + reach, 0)),
    minorM: enlarged * Math.sqrt(Math.max(middle - reach, 0)),
    azimuthDeg: azimuth < 0 ? azimuth + 180 : azimuth,
  };
}

function checkedReadings(
  notes: Notebook,
  net: Built,
  isOut: Uint8Array | null,
  last: Adjusted | null,
): CheckedReading[] {
  const out: CheckedReading[] = notes.readings.map((reading) => ({
    reading,
    words: readingWords(notes, reading),
    residual: Number.NaN,
    redundancy: 0,
    standardised: Number.NaN,
    isOut: false,
  }));
  if (last === null) return out;
  let k = 0;
  net.from.forEach((i, j) => {
    if (isOut?.[j] === 1) {
      out[i] = { ...out[i]!, isOut: true };
      return;
    }
    const [residual, redundancy, standardised] = [last.residual[k]!, last.redundancy[k]!, last.standardised[k]!];
    out[i] = { ...out[i]!, residual, redundancy, standardised };
    k++;
  });
  return out;
}

/** A scale of the tapes as one unknown more, where several known points and enough readings tell it. */
function scaleOf(notes: Notebook, net: Network, isOut: Uint8Array | null, degrees: number): FieldNotes['scale'] {
  if (notes.points.filter(({ known }) => known !== null).length < 2 || degrees < 1) return null;
  const kept = net.readings.map((_, i) => i).filter((i) => isOut?.[i] !== 1);
  const adjusted = adjust({
    ...net,
    readings: kept.map((i) => net.readings[i]!),
    sign: kept.map((i) => net.sign[i]!),
    scale: true,
  });
  if ('point' in adjusted) return null;
  return { value: adjusted.scale, sigma: adjusted.scaleSigma };
}

interface Solved {
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

function findingsOf(
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
