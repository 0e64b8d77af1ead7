// Field notes as records. In: nothing; out: types. Terms: reading = one figure that was measured; point = a stake, a tree, a
// corner; line = the way from point a to point b. Lengths are metres, angles radians clockwise, x east and y north.

import type { Finding, LengthUnit, Properties } from '../model/index.js';
import type { LevelReading } from './level-book.js';

/** What a reading says; `east` and `north` are the coordinates of a known point. */
export type ReadingKind = 'distance' | 'bearing' | 'angle' | 'along' | 'offset' | 'east' | 'north';

/**
 * One figure. `distance`: from q to p; `bearing`: of the way from q to p, from the north of the notes; `angle`: of that way,
 * right of the line a to b; `along`, `offset` (left is positive): of p on the line a to b.
 */
export interface Reading {
  readonly kind: ReadingKind;
  readonly row: number; // as a spreadsheet counts, from 1
  readonly p: number;
  readonly q: number; // -1 where the kind has none
  readonly a: number;
  readonly b: number;
  readonly value: number;
  readonly sigma: number; // standard error, as the row says or as is usual for its kind
  readonly text: string; // as written
  readonly unit: LengthUnit | 'deg';
  /** Level metres for one unit as written: its length, less what a slope takes. 1 for angles. */
  readonly perUnit: number;
  /** An offset whose side no one says: left or right is to be found out. */
  readonly eitherSide: boolean;
}

/** Which side of a line a point is on, where a row says so. */
export interface SideHint {
  readonly p: number;
  readonly a: number;
  readonly b: number;
  readonly left: boolean;
}

/** What the notes say of a point beside its readings. */
export interface NotePoint {
  readonly name: string;
  readonly row: number; // where it is named first
  /** Columns that are no readings. */
  readonly properties: Properties;
  readonly isTree: boolean;
  /** Whether a row has it in the column `point`. */
  readonly isNoted: boolean;
  /** Native coordinates of a known point. */
  readonly known: readonly [x: number, y: number] | null;
}

/** A corner of an outline, and how its edge from the corner before it bends. */
export interface Corner {
  readonly number: number;
  readonly point: number;
  /** An arc from the corner before this one; the rise or the radius, bent to the left or right of the way. */
  readonly arc: { readonly by: 'radius' | 'rise'; readonly length: number; readonly left: boolean } | null;
}

/** One leg of running dimensions: so far from the corner before, after a turn (right is positive) from the leg before that. */
export interface Leg {
  readonly row: number;
  readonly from: number; // corner numbers
  readonly to: number;
  readonly length: number;
  readonly turn: number;
  /** The line it is turned from, in place of the leg before. */
  readonly line: readonly [a: number, b: number] | null;
}

export interface Outline {
  readonly name: string;
  readonly row: number;
  readonly corners: readonly Corner[]; // by number
  readonly legs: readonly Leg[];
  readonly properties: Properties;
  readonly kind: string; // '' where no row says
  readonly isLine: boolean; // a width is given: the corners are its centre line
}

/** A notebook, read and not yet computed. */
export interface Notebook {
  readonly name: string;
  readonly points: readonly NotePoint[];
  readonly readings: readonly Reading[];
  readonly sides: readonly SideHint[];
  readonly outlines: readonly Outline[];
  /** Readings of a level, and the names of its set-ups. */
  readonly levels: { readonly readings: readonly LevelReading[]; readonly setups: readonly string[] };
  /** Where known points are: in a plane (easting, northing), in degrees, or nowhere. */
  readonly system: 'plane' | 'degrees' | 'local';
  /** Of plane coordinates, and of what is shown: feet where the first distance is in feet. */
  readonly unit: LengthUnit;
  readonly findings: readonly Finding[];
}

/** How notes are to be taken. */
export interface NotesOptions {
  /** Which north the bearings count from; without it, bearings beside known points are refused. */
  readonly north?: 'true' | 'grid' | 'magnetic' | undefined;
  /** Of magnetic north from true north, degrees, east positive. */
  readonly declinationDeg?: number | undefined;
  /** Running dimensions round an outline: readings as all others (default), or their closing error spread by the compass rule. */
  readonly closing?: 'least-squares' | 'compass' | undefined;
  /** The system of plane coordinates: needed where bearings count from true or magnetic north. */
  readonly crs?: string | undefined;
}

/** Standard errors and error ellipse of a point, one standard error (39 % in the plane). */
export interface Spread {
  readonly eastM: number;
  readonly northM: number;
  readonly majorM: number;
  readonly minorM: number;
  readonly azimuthDeg: number; // of the major axis, clockwise from the y axis
}
