// Notebook -> positions. In: points, readings, outlines; out: adjusted positions with their accuracy, what every reading is off, what
// is probably wrong, and findings. The steps stand in `solveNotes`. Terms: see types.ts and adjust.ts.

import { signedArea } from '../geometry/index.js';
import { InputError } from '../model/index.js';
import { type Adjusted, adjust, type Network } from './adjust.js';
import { search } from './blunders.js';
import { closings, compassCorners } from './closings.js';
import { levelsOf } from './level-result.js';
import { type NotesPlane, planeOf } from './plane.js';
import type { CheckedReading, FieldNotes, PlacedPoint } from './result.js';
import { type Start, startFrom } from './start.js';
import { CIRCLE_95, chiSquareUpper } from './statistics.js';
import { findingsOf } from './told.js';
import type { Notebook, NotePoint, NotesOptions, Outline, Reading, Spread } from './types.js';
import { readingWords } from './words.js';

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
  const levels = levelsOf(notes);
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
    levels,
    findings: [...notes.findings, ...findingsOf(solved, scale, closed, byCompass), ...(levels?.findings ?? [])],
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
  // A book of levels alone has heights and no places.
  if (tie === undefined && notes.levels.readings.length > 0 && !points.some(({ isNoted }) => isNoted)) {
    return { xy, held: [], swing: false };
  }
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
