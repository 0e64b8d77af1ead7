// The plane in which notes are computed. In: a notebook and what is said of its north; out: known points in metres near 0, the turn
// from the notes' north to the plane's y axis, and the way back. Terms: convergence = from true north clockwise to the y axis.

import { findCrs, frameAt, transformFor } from '../crs/index.js';
import { InputError, METRES_PER } from '../model/index.js';
import { degrees } from './accuracy.js';
import type { Notebook, NotesOptions } from './types.js';

export interface NotesPlane {
  /** Positions of known points, metres; NaN for the others. */
  readonly known: Float64Array;
  /** Added to a bearing of the notes it counts from the plane's y axis, radians. */
  readonly turn: number;
  /** Nothing says the turn: it is found from the readings. */
  readonly swing: boolean;
  /** A place in the plane in the coordinates of the file. */
  toNative(x: number, y: number): readonly [number, number];
}

/**
 * Lays the plane.
 *
 * @throws InputError `notes-north` (usage), `notes-orientation`, and those of `findCrs`
 */
export function planeOf(notes: Notebook, options: NotesOptions): NotesPlane {
  const { points, system } = notes;
  const known = new Float64Array(points.length * 2).fill(Number.NaN);
  const all = points.flatMap((point, i) => (point.known === null ? [] : [{ i, at: point.known }]));
  if (system === 'local') {
    const unit = METRES_PER[notes.unit];
    return { known, turn: 0, swing: false, toNative: (x, y) => [x / unit, y / unit] };
  }
  const bearings = notes.readings.some(({ kind }) => kind === 'bearing');
  if (all.length === 1 && !bearings) throw oneKnown(notes, points[all[0]!.i]!.name);
  if (bearings && options.north === undefined) throw noNorth(notes);
  const middle = [0, 1].map((k) => all.reduce((sum, { at }) => sum + at[k]!, 0) / all.length);
  const [mx, my] = [middle[0]!, middle[1]!];
  const swing = options.north === 'magnetic' && options.declinationDeg === undefined;
  if (swing && bearings && all.length === 1) throw noDeclination(notes);
  const declination = options.north === 'magnetic' ? (options.declinationDeg ?? 0) : 0;
  if (system === 'plane') {
    const unit = METRES_PER[notes.unit];
    for (const { i, at } of all) known.set([(at[0] - mx) * unit, (at[1] - my) * unit], i * 2);
    const turn =
      !bearings || options.north === 'grid' || swing ? 0 : declination - planeConvergence(notes, options, mx, my);
    return { known, turn: degrees(turn), swing: swing && bearings, toNative: (x, y) => [x / unit + mx, y / unit + my] };
  }
  if (bearings && options.north === 'grid') {
    throw new InputError(
      'notes-north',
      `${notes.name} has its known points in degrees: there is no grid to count bearings from`,
      {
        layer: notes.name,
        cure: 'give --note-north true or magnetic, or the known points as easting and northing',
        usage: true,
      },
    );
  }
  const frame = frameAt(mx, my);
  const at = Float64Array.of(mx, my);
  frame.toFrame(at, at);
  const [fx, fy] = [at[0]!, at[1]!];
  for (const { i, at: lonLat } of all) {
    const xy = Float64Array.from(lonLat);
    frame.toFrame(xy, xy);
    known.set([xy[0]! - fx, xy[1]! - fy], i * 2);
  }
  return {
    known,
    turn: degrees(declination - frame.convergence(fx, fy)),
    swing: swing && bearings,
    toNative(x, y) {
      const xy = Float64Array.of(x + fx, y + fy);
      frame.toLonLat(xy, xy);
      return [xy[0]!, xy[1]!];
    },
  };
}

function planeConvergence(notes: Notebook, options: NotesOptions, x: number, y: number): number {
  if (options.crs === undefined) {
    throw new InputError(
      'notes-north',
      `${notes.name} has bearings from ${options.north} north, and nothing says which grid its coordinates are in`,
      {
        layer: notes.name,
        cure: 'name the system with --crs EPSG:..., or give --note-north grid if the bearings are from the grid',
      },
    );
  }
  const crs = findCrs(options.crs);
  if (crs.kind === 'local') return 0;
  const transform = transformFor(crs);
  const at = Float64Array.of(x, y);
  transform.toLonLat(at);
  return transform.convergence(at[0]!, at[1]!);
}

function oneKnown(notes: Notebook, name: string): InputError {
  const message = `${notes.name} has one known point, ${name}, and no bearing: nothing says which way the rest lies from it`;
  return new InputError('notes-orientation', message, {
    layer: notes.name,
    cure: 'give a second known point, or one bearing',
  });
}

function noNorth(notes: Notebook): InputError {
  return new InputError(
    'notes-north',
    `${notes.name} has bearings and known points, and nothing says which north the bearings count from`,
    {
      layer: notes.name,
      cure: 'give --note-north true, grid or magnetic',
      usage: true,
    },
  );
}

function noDeclination(notes: Notebook): InputError {
  return new InputError(
    'notes-north',
    `${notes.name} has bearings from magnetic north and one known point: nothing says how far that is from true north`,
    {
      layer: notes.name,
      cure: 'give --note-declination 15.2E (as a map or a model of the earth’s field says for the place and year), or a second known point',
      usage: true,
    },
  );
}
