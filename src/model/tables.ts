// Tables: what the stages hand on, one entry of each column per feature. In: nothing; out: types and lists of words.
// Terms: columns (typed arrays) stand in for objects wherever there can be a million of them.

import type { Pieces } from '../geometry/index.js';
import type { GeometryTable, Layer, Names } from './layer.js';
import type { WorthField, WorthTable } from './worth.js';

/** What is planned for a tree. `unknown`: no table has the survey's word; the tree is protected as if it were to be kept. */
export const DISPOSITIONS = ['keep', 'remove', 'transplant', 'unknown'] as const;

export type Disposition = (typeof DISPOSITIONS)[number];

/** Whether a tree is protected as one that stays: by its disposition. */
export function isStaying(disposition: Disposition): boolean {
  return disposition === 'keep' || disposition === 'unknown';
}

/** Whether a tree is to be felled or moved away: it then does not limit the works and is counted separately. */
export function isGoing(disposition: Disposition): disposition is 'remove' | 'transplant' {
  return !isStaying(disposition);
}

/** Whether a tree stays, by the code that tables hold. */
export function staysByCode(code: number): boolean {
  return isStaying(DISPOSITIONS[code] ?? 'unknown');
}

export const AGES = ['young', 'mature', 'overmature'] as const;

export type Age = (typeof AGES)[number];

export const TOLERANCES = ['good', 'moderate', 'poor'] as const;

export type Tolerance = (typeof TOLERANCES)[number];

/** The kinds of works, in the order of their columns. */
export const WORKS_KINDS = ['building', 'paving', 'excavation', 'trench', 'fill', 'compaction', 'bore'] as const;

export type WorksKind = (typeof WORKS_KINDS)[number];

/** Groups, hedges and woodland of a tree layer: its polygons. */
export interface GroupTable {
  readonly geometry: GeometryTable; // one entry per row of the tree table, cleaned as works are; native
  readonly repaired: ReadonlyMap<number, number>;
  /** Row of a group -> a place inside it, native, used where a single tree has its trunk. */
  readonly placeOf: ReadonlyMap<number, readonly [number, number]>;
}

/** Fields of a tree that are read as text when asked for. */
export type TreeText =
  | 'condition'
  | 'common_name'
  | 'tag'
  | 'category'
  | 'remaining_years'
  | 'age_years'
  | 'life_span'
  | WorthField
  | 'reason'
  | 'surveyed'
  | 'surveyor'
  | 'remarks'
  | 'evergreen'
  | 'leaf_on'
  | 'leaf_off'
  | 'transmission_leaf_on'
  | 'transmission_leaf_off';

/**
 * Every feature of the tree layer, one row each, in input order: rows that can't be assessed stay, with reasons.
 * Lengths in metres; NaN stands for "not given".
 */
export interface TreeTable {
  readonly layer: Layer;
  readonly count: number;
  readonly xy: Float64Array; // native easting, northing (trunk centre); NaN where there is no point
  readonly key: Names; // unique: source id, else tag, else layer:row; `rb_id` is `trees:${row}`
  readonly dbhM: Float64Array; // single-stem diameter from dbh or girth
  readonly stemsM: ReadonlyMap<number, readonly number[]>; // rows that list their stems
  readonly baseDiaM: Float64Array;
  readonly zoneRadiusM: Float64Array; // surveyor's or arborist's own radius: overrides the rule
  readonly heightM: Float64Array;
  readonly crownBaseM: Float64Array;
  readonly crownM: Float64Array; // 4 per row: north, east, south, west; equal when one radius is given
  readonly accuracyM: Float64Array;
  /** Letters of the disposition that the file's own words settle, as `values` map them: `disposition.R` -> `remove`. */
  readonly letters?: Readonly<Record<string, string>>;
  readonly z: Float64Array | null; // survey height as read, with the CRS's vertical unit unknown
  readonly disposition: Uint8Array; // index into DISPOSITIONS
  readonly age: Uint8Array; // index into AGES; 255 = not given
  readonly tolerance: Uint8Array; // index into TOLERANCES; 255 = not given
  readonly groups: GroupTable | null; // null where every row is a single tree
  readonly veteran: Uint8Array; // 1 where the survey says so
  readonly form: readonly (string | undefined)[]; // 'columnar', 'palm', ... lower case
  readonly species: readonly (string | undefined)[];
  readonly estimated?: Uint8Array; // 1 where the survey says that the diameter is an estimate; 0, 255 as below
  /** Whether a tree is protected: 0 no, 1 yes, 2 a word that is not known, 255 not given. */
  readonly protected: Uint8Array;
  readonly offSite: Uint8Array; // the same for trees beyond the site's line
  /** What an arborist looks at, where the survey has any of it. */
  readonly worth?: WorthTable | null;
  /** Index into SOILS; 255 = not given. Absent where the survey has no such column. */
  readonly soil?: Uint8Array;
  /** A text field that few jobs ask for, read when asked. */
  text(row: number, field: TreeText): string | undefined;
  /** Why a row is not assessed (short codes); rows absent here are assessable. */
  readonly rejected: ReadonlyMap<number, readonly string[]>;
  /** Short codes that end up in rb_reasons although the row is assessed. */
  readonly notes: ReadonlyMap<number, readonly string[]>;
}

/** Every feature of the works layers, one row each; several files are one table. */
export interface WorksTable {
  readonly count: number;
  readonly layerOf: Uint16Array; // index into layers
  readonly rowInLayer: Uint32Array;
  readonly layers: readonly Layer[];
  readonly key: Names; // source id, else layer:row
  readonly kind: Uint8Array; // index into WORKS_KINDS
  readonly depthM: Float64Array;
  readonly widthM: Float64Array; // full width of a line
  readonly overdigM: Float64Array; // working space added all round
  readonly heightM: Float64Array;
  readonly option: readonly (string | undefined)[];
  readonly noDig: Uint8Array;
  readonly temporary: Uint8Array;
  /** Cleaned native geometry: closed rings without the closing vertex, shells anticlockwise, holes clockwise. */
  readonly geometry: GeometryTable;
  /** Rows whose rings were repaired, and the share of area that changed (0.01 = 1 %). */
  readonly repaired: ReadonlyMap<number, number>;
  readonly rejected: ReadonlyMap<number, readonly string[]>;
}

/** How each row of works counts under a rule and a design option. */
export interface WorksWeights {
  readonly counts: Uint8Array; // 1 where it counts
  readonly classBit: Uint32Array; // see rules/areas.ts
  readonly cuts: Uint8Array; // 1 where it severs what lies beyond it
  readonly whyNot: ReadonlyMap<number, string>; // short code per row that does not count
}

/** Every feature of the lot layer. */
export interface LotTable {
  readonly layer: Layer;
  readonly count: number;
  readonly key: Names;
  readonly geometry: GeometryTable; // cleaned as works are
  readonly repaired: ReadonlyMap<number, number>;
  readonly rejected: ReadonlyMap<number, readonly string[]>;
}

/** Zones or crowns that an arborist drew: every feature of the layer one row, joined to the tree it names. */
export interface DrawnTable {
  readonly role: 'zones' | 'crowns';
  readonly layer: Layer;
  readonly count: number;
  readonly name: readonly string[]; // the tree as the feature names it; '' where it names none
  readonly treeOf: Int32Array; // row of the tree table, -1 where the feature is rejected
  /** Tree row -> its features in input order, at least one. Several features make one shape, their union. */
  readonly rowOfTree: ReadonlyMap<number, readonly number[]>;
  readonly geometry: GeometryTable; // cleaned as works are
  readonly repaired: ReadonlyMap<number, number>;
  /** `tree-unknown`, `no-geometry`, `geometry-broken`, `geometry-type`, `ring-short`, `polygon-empty`, `ring-crossing`. */
  readonly rejected: ReadonlyMap<number, readonly string[]>;
}

/** A drawn table with its vertices as lon/lat. */
export interface DrawnPolygons {
  readonly table: DrawnTable;
  readonly lonLat: Float64Array; // 2 per vertex of table.geometry
}

/** The norths that a bearing may count from. */
export const BEARING_REFS = ['true', 'grid', 'magnetic'] as const;

export type BearingRef = (typeof BEARING_REFS)[number];

/** Every row of a limb list. Lengths in metres, bearings in degrees; NaN stands for "not given". */
export interface LimbTable {
  readonly layer: Layer;
  readonly count: number;
  readonly key: Names;
  readonly tree: readonly string[]; // as the row names it
  readonly treeOf: Int32Array; // row of the tree table; -1 where it names none
  readonly bearing: Float64Array; // clockwise from its reference, as read
  readonly reference: Uint8Array; // index into BEARING_REFS; 255 = not given
  readonly declination: Float64Array; // of magnetic north, degrees east of true north
  readonly diameterM: Float64Array; // at the cut
  readonly heightM: Float64Array; // of the limb above the ground at the trunk
  readonly lengthM: Float64Array; // from the trunk's face
  readonly share: Float64Array; // of the live crown, 0..1
  /** `tree-unknown`, `bearing-missing`, `bearing-reference-missing`, `declination-missing`. */
  readonly rejected: ReadonlyMap<number, readonly string[]>;
}

/** A zone that is not a disc: polygons in the frame of its tree, their union measured. */
export interface ZoneShape {
  readonly pieces: Pieces; // metres in the frame of the tree
  readonly reachM: number; // from the tree to the farthest corner
  readonly areaM2: number;
  /** The zone of a group: it has no trunk. */
  readonly isGroup?: boolean;
}

export type ZoneShapes = ReadonlyMap<number, ZoneShape>;

// by tree row

/** One row per tree; NaN where the tree is not assessed. */
export interface ZoneTable {
  readonly dbhM: Float64Array; // the diameter the rule used
  readonly radiusM: Float64Array; // from the trunk's centre; for a crown-shaped zone the largest of its four radii
  readonly areaM2: Float64Array; // exact
  readonly trunkRadiusM: Float64Array; // for stem-in-works and distances from the face
  /** Rows whose zone follows the crown: north, east, south, west radii of its quarter ellipses. */
  readonly quarters: ReadonlyMap<number, readonly [number, number, number, number]>;
  /** Place of the tree's class in the rule, counted from 1, 0 for none; null where the rule has no classes. */
  readonly classNumber: Uint8Array | null;
  /**
   * 1 where the rule's own test protects the tree, 2 where the test needs a missing diameter; null: the rule has no test.
   */
  readonly protectedByRule: Uint8Array | null;
  /** 1 where the zone is a polygon drawn by an arborist: its radius is then that of its farthest corner; null: none. */
  readonly shaped: Uint8Array | null;
  readonly ringNames: readonly string[];
  readonly ringRadiusM: readonly Float64Array[]; // per ring, one entry per tree; NaN where the ring does not apply
  readonly rejected: ReadonlyMap<number, readonly string[]>;
  readonly notes: ReadonlyMap<number, readonly string[]>;
}

/** One row per tree, square metres and metres; NaN where the tree is not assessed. */
export interface OverlapTable {
  readonly overlapM2: Float64Array; // union of all counted works
  readonly severedM2: Float64Array;
  readonly byKindM2: readonly Float64Array[]; // per WORKS_KINDS
  readonly setM2: readonly Float64Array[]; // per set of classes that a limit asks for: area of their union
  readonly unknownM2: Float64Array | null; // works whose depth matters and is not known; null where no works can be such
  readonly existingM2: Float64Array | null; // ground that is hard today; null where no such layer was given
  readonly ringOverlapM2: readonly Float64Array[]; // per ring
  readonly ringSetM2: readonly (readonly Float64Array[])[]; // per ring, per set of classes
  readonly ringExistingM2: readonly Float64Array[]; // per ring; empty where no such layer was given
  readonly worstM2: Float64Array; // the most ground that a single row of works takes alone; 0 where none does
  readonly worstWorks: Int32Array; // that row in WorksTable; -1 where no works touch the zone
  readonly nearestM: Float64Array; // from the trunk's centre; 0 inside; NaN when none within NEAREST_LIMIT_M
  readonly nearestBearing: Float64Array; // degrees clockwise from true north; NaN inside
  readonly nearestWorks: Int32Array; // row in WorksTable; -1 for none
  readonly stemInWorks: Uint8Array;
}

/** Where structures (widened by the clearance) meet a crown, seen from above and by height. */
export interface CrownConflict {
  readonly overlapM2: number; // union of the structures that count; 0 where all of them pass below the crown
  /** Bearings of the crown in conflict, clockwise from true north: [from, to] in degrees; [0, 360] is all round. */
  readonly arcs: readonly (readonly [from: number, to: number])[];
  /** How far the crown's base must rise to clear every one of them; null where a height is not known. */
  readonly liftM: number | null;
  readonly works: string | null; // the structure in conflict that stands nearest to the trunk
  readonly reasons: readonly string[];
}

/** Crowns of a job whose trees state some. */
export interface CrownTable {
  readonly clearanceM: number; // kept free round structures, sideways and upwards
  /** Area of a row's crown from above, exact; NaN where the tree has no position or states no whole crown. */
  areaM2(row: number): number;
  /** The polygons of a crown that was drawn, in the frame of its tree; null where it follows from radii. */
  drawnParts(row: number): Pieces | null;
  /** Rows whose crown has structures beside or below it, or whose radii are not complete. */
  readonly conflicts: ReadonlyMap<number, CrownConflict>;
}
