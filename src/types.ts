// The record passed at each arrow of the pipeline:
//   bytes -> Layer -> TreeTable / WorksTable / LotTable -> ZoneTable -> OverlapTable -> Assessment -> text.
// Terms: native = in the source's own coordinates; frame = the true-to-size local plane in metres.
// Columns (typed arrays, one entry per feature) stand in for objects wherever there can be a million of them.

import type { Finding } from './findings.js';
import type { Pieces } from './geometry/pieces.js';
import type { Mitigation } from './mitigation.js';
import type { Limit, Rule } from './rule.js';
import type { LengthUnit } from './units.js';

export type Properties = Readonly<Record<string, unknown>>;

export type LayerRole = 'trees' | 'works' | 'existing' | 'lots' | 'zones' | 'crowns' | 'limbs';

export type FormatName =
  | 'geojson'
  | 'geojsonseq'
  | 'shapefile'
  | 'csv'
  | 'points'
  | 'kml'
  | 'landxml'
  | 'dxf'
  | 'flatgeobuf'
  | 'geopackage'
  | 'xlsx'
  | 'postgis';

// ---------------------------------------------------------------- read: bytes -> Layer

/** What a feature's geometry is; `none` is a null geometry, `broken` one that could not be read. */
export const GEOMETRY_KINDS = [
  'none',
  'point',
  'multipoint',
  'line',
  'multiline',
  'polygon',
  'multipolygon',
  'broken',
] as const;
export type GeometryKind = (typeof GEOMETRY_KINDS)[number];

/**
 * Geometry of a whole layer without an object per vertex.
 * Feature f has parts partStart[f] .. partStart[f+1]; part p has rings ringStart[p] .. ringStart[p+1];
 * ring r has vertices vertexStart[r] .. vertexStart[r+1]. A point or a line is a part with one ring.
 * Rings are stored as read (closed or not, either way round); `check` puts them right.
 */
export interface GeometryTable {
  readonly kind: Uint8Array; // index into GEOMETRY_KINDS, per feature
  readonly partStart: Uint32Array; // features + 1
  readonly ringStart: Uint32Array; // parts + 1
  readonly vertexStart: Uint32Array; // rings + 1
  readonly xy: Float64Array; // 2 per vertex: easting, northing or lon, lat; native
  readonly z: Float64Array | null; // 1 per vertex, NaN where absent; null when no vertex has one
  readonly m: Float64Array | null; // the same for measures (shapefile M)
}

/** How a file states its own coordinate reference system. */
export type CrsStatement =
  | { readonly from: 'prj' | 'crs-member' | 'file'; readonly text: string }
  | { readonly from: 'rfc7946'; readonly text: 'OGC:CRS84' }; // GeoJSON without a statement whose every coordinate fits degrees

/** The unit a file states for its own coordinates; `foot` leaves open which foot is meant. */
export interface StatedUnit {
  readonly unit: LengthUnit | 'foot' | 'other';
  readonly metresPerUnit: number;
  readonly from: string; // where it says so: '$INSUNITS', '<Units>'
}

/** One layer as read: native coordinates, own properties, nothing dropped. */
export interface Layer {
  readonly name: string; // file name without its folders
  readonly format: FormatName;
  readonly count: number; // features
  readonly geometry: GeometryTable;
  readonly crs: CrsStatement | null;
  /** Names of the properties, in order of first appearance. */
  readonly fields: readonly string[];
  /** The feature's own id (GeoJSON `id` member), or undefined. */
  id(feature: number): string | number | undefined;
  /** The feature's own properties; `{}` when it has none. The same values every time it is asked. */
  properties(feature: number): Properties;
  /** One of the feature's own properties, or undefined; cheaper than `properties` for a layer of a million. */
  value(feature: number, field: string): unknown;
  /** The own properties as the JSON they were read from (UTF-8, no white space outside strings), or null. */
  propertyBytes(feature: number): Uint8Array | null;
  readonly findings: readonly Finding[];
  /** SHA-256 of the bytes read, hex; null where it was not computed. */
  readonly sha256: string | null;
  /** The unit the file states for its coordinates, beside or in place of a coordinate system. */
  readonly unit?: StatedUnit;
  /** Features the reader kept but that are not to be used, and why: `code-unmapped`, `layer-not-mapped`, ... */
  readonly setAside?: ReadonlyMap<number, string>;
  /** Of a layer that is a part of another: where its features stand there, and what they are called. */
  readonly part?: LayerPart;
}

/** Some features of a layer, in its order: what a tile of a job that is split holds of it. */
export interface LayerPart {
  readonly rows: Uint32Array; // of the whole layer, ascending
  readonly keys: Names; // unique in the whole job
}

// ---------------------------------------------------------------- project: native <-> lon/lat <-> frame

/** `other`: a unit of the past (Clarke's foot, link, ...) that only its metres tell. */
export type CrsUnit = 'degree' | LengthUnit | 'other';

/** A shift grid: moves positions (lon, lat in degrees) from its source datum to its target, between nodes bilinearly. */
export interface ShiftGrid {
  readonly name: string; // of its file
  readonly source: string; // datum, as the grid or the user names it
  readonly target: string;
  readonly sha256: string | null;
  /** Moves the pair at `at` in place; false, and nothing is done, outside the grid. */
  apply(lonLat: Float64Array, at: number): boolean;
  /** The way back. */
  undo(lonLat: Float64Array, at: number): boolean;
  /** The worst accuracy its nodes state over a box (west, south, east, north), metres; null where none do. */
  accuracyOver(box: readonly [number, number, number, number]): number | null;
}

/** Coordinates scaled from grid to ground about a point (in native units): ground = origin + factor * (grid - origin). */
export interface GroundScale {
  readonly factor: number;
  readonly east: number;
  readonly north: number;
}

/** One vetted coordinate reference system. */
export interface Crs {
  readonly code: string; // 'EPSG:2913', 'OGC:CRS84', 'local:ft', or 'custom' for a .prj that is no known code
  readonly name: string;
  readonly kind: 'geographic' | 'projected' | 'local';
  readonly unit: CrsUnit;
  readonly metresPerUnit: number; // NaN for degrees
  /** West, south, east, north in degrees; west > east when it spans the antimeridian; null when unknown. */
  readonly areaOfUse: readonly [number, number, number, number] | null;
  /** The one definition used for every computation (PROJ string); '' for a local system. */
  readonly proj: string;
  /** How it is tied to WGS 84: the operation's name and its accuracy in metres (null: unknown). */
  readonly datum: { readonly name: string; readonly operation: string; readonly accuracyM: number | null };
  /** Shift grids in place of the datum's own shift; `onwards` leads from the grid's target to WGS 84 ('': the same). */
  readonly grids?: readonly { readonly grid: ShiftGrid; readonly onwards: string }[];
  /** The layer's coordinates are on the ground: brought to grid before use, and back on the way out. */
  readonly ground?: GroundScale;
}

/** Both ways between a CRS and lon/lat (WGS 84 degrees); arrays are x, y pairs and are converted in place. */
export interface CrsTransform {
  readonly crs: Crs;
  /** Whether native coordinates are longitude and latitude on WGS 84 already, to the last bit. */
  readonly isLonLat: boolean;
  toLonLat(xy: Float64Array): void;
  fromLonLat(xy: Float64Array): void;
  /** Grid convergence at a place, degrees clockwise from true north to grid north; 0 for geographic systems. */
  convergence(lon: number, lat: number): number;
}

/** A cell of the fixed lattice: transverse Mercator of scale 1 through the cell's middle, metres. */
export interface Frame {
  readonly key: number; // the cell; equal keys are equal frames
  readonly lon0: number;
  readonly lat0: number;
  toFrame(lonLat: Float64Array, out: Float64Array): void; // pairs; out may be the same array
  toLonLat(xy: Float64Array, out: Float64Array): void;
  /** Degrees clockwise from true north to the frame's y axis at a frame position. */
  convergence(x: number, y: number): number;
  /** The same at a position of the frame's cell given as lon/lat; good to 1e-8 degrees within 1 degree of the cell. */
  convergenceAt(lon: number, lat: number): number;
}

// ---------------------------------------------------------------- check: Layer -> tables

export const DISPOSITIONS = ['keep', 'remove', 'transplant'] as const;
export type Disposition = (typeof DISPOSITIONS)[number];
export const AGES = ['young', 'mature', 'overmature'] as const;
export type Age = (typeof AGES)[number];
export const TOLERANCES = ['good', 'moderate', 'poor'] as const;
export type Tolerance = (typeof TOLERANCES)[number];

/** The kinds of works, in the order of their columns. */
export const WORKS_KINDS = ['building', 'paving', 'excavation', 'trench', 'fill', 'compaction', 'bore'] as const;
export type WorksKind = (typeof WORKS_KINDS)[number];

/** Names of rows; an array of texts is one. A million of them are kept as bytes and made into text when asked for. */
export interface Names {
  readonly length: number;
  at(row: number): string | undefined;
}

/** Groups, hedges and woodland of a tree layer: its polygons. */
export interface GroupTable {
  readonly geometry: GeometryTable; // one entry per row of the tree table, cleaned as works are; native
  readonly repaired: ReadonlyMap<number, number>;
  /** Row of a group -> a place inside it, native, which stands for it where a tree has its trunk. */
  readonly placeOf: ReadonlyMap<number, readonly [number, number]>;
}

/** Fields of a tree that are read as text when asked for. */
export type TreeText =
  | 'condition'
  | 'common_name'
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
  readonly z: Float64Array | null; // survey height as read, with the CRS's vertical unit unknown
  readonly disposition: Uint8Array; // index into DISPOSITIONS
  readonly age: Uint8Array; // index into AGES; 255 = not given
  readonly tolerance: Uint8Array; // index into TOLERANCES; 255 = not given
  readonly groups: GroupTable | null; // null where every row is a single tree
  readonly veteran: Uint8Array; // 1 where the survey says so
  readonly form: readonly (string | undefined)[]; // 'columnar', 'palm', ... lower case
  readonly species: readonly (string | undefined)[];
  /** Whether a tree is protected: 0 no, 1 yes, 255 not given. */
  readonly protected: Uint8Array;
  readonly offSite: Uint8Array; // the same for trees beyond the site's line
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

/** What each row of works counts for under a rule and a design option. */
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
  /** Tree row -> its features in input order, never none; several are one shape: their union. */
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

// ---------------------------------------------------------------- zone: trees + rule -> radii

/** A zone that is no disc: polygons in the frame of its tree, their union measured. */
export interface ZoneShape {
  readonly pieces: Pieces; // metres in the frame of the tree
  readonly reachM: number; // from the tree to the farthest corner
  readonly areaM2: number;
  /** The zone of a group: it has no trunk. */
  readonly isGroup?: boolean;
}
export type ZoneShapes = ReadonlyMap<number, ZoneShape>; // by tree row

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
  /** 1 where the rule's own test protects the tree; null where the rule has none. */
  readonly protectedByRule: Uint8Array | null;
  /** 1 where the zone is a polygon drawn by an arborist: its radius is then that of its farthest corner; null: none. */
  readonly shaped: Uint8Array | null;
  readonly ringNames: readonly string[];
  readonly ringRadiusM: readonly Float64Array[]; // per ring, one entry per tree; NaN where the ring does not apply
  readonly rejected: ReadonlyMap<number, readonly string[]>;
  readonly notes: ReadonlyMap<number, readonly string[]>;
}

// ---------------------------------------------------------------- overlap: zones + works -> figures

/** One row per tree, square metres and metres; NaN where the tree is not assessed. */
export interface OverlapTable {
  readonly overlapM2: Float64Array; // union of all counted works
  readonly severedM2: Float64Array;
  readonly byKindM2: readonly Float64Array[]; // per WORKS_KINDS
  readonly setM2: readonly Float64Array[]; // per set of classes that a limit asks for: area of their union
  readonly unknownM2: Float64Array | null; // works whose depth matters and is not known; null where none can
  readonly existingM2: Float64Array | null; // ground that is hard today; null where no such layer was given
  readonly ringOverlapM2: readonly Float64Array[]; // per ring
  readonly ringSetM2: readonly (readonly Float64Array[])[]; // per ring, per set of classes
  readonly ringExistingM2: readonly Float64Array[]; // per ring; empty where no such layer was given
  readonly worstM2: Float64Array; // what nothing but one row of works takes, at most; 0 where none does
  readonly worstWorks: Int32Array; // that row in WorksTable; -1 where no works touch the zone
  readonly nearestM: Float64Array; // from the trunk's centre; 0 inside; NaN when none within NEAREST_LIMIT_M
  readonly nearestBearing: Float64Array; // degrees clockwise from true north; NaN inside
  readonly nearestWorks: Int32Array; // row in WorksTable; -1 for none
  readonly stemInWorks: Uint8Array;
}

// ---------------------------------------------------------------- crown: crowns + structures -> conflicts

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

/** One tree's crown: square metres, percent (0 to 100), degrees clockwise from true north. */
export interface CrownResult {
  readonly areaM2: number;
  readonly overlapM2: number;
  readonly overlapPct: number; // share of the crown to be cut back, unless it is lifted by `liftM`
  readonly arcs: CrownConflict['arcs'];
  readonly arcFrom: number | null; // the widest of `arcs`
  readonly arcTo: number | null;
  readonly arcDegrees: number; // of all arcs together
  readonly liftM: number | null;
  readonly works: string | null;
}

/** One limb of the list; null where a figure is not given or can't be had. Metres, degrees, shares 0..1. */
export interface LimbResult {
  readonly row: number;
  readonly key: string;
  readonly tree: string; // its tree's key, or the name it gives where no tree has it
  readonly treeRow: number | null;
  readonly bearing: number | null; // clockwise from true north
  readonly statedBearing: number | null;
  readonly reference: BearingRef | null;
  readonly diameterM: number | null;
  readonly heightM: number | null;
  readonly lengthM: number | null; // given, else to the edge of the crown
  readonly share: number | null; // of the live crown
  readonly treeShare: number | null; // of all limbs of its tree that are in the way, or may be
  /** From the trunk's face to the limb's end, lon/lat. */
  readonly line: readonly (readonly [number, number])[] | null;
  readonly conflict: boolean | null; // null: not known
  readonly meetsAtM: number | null; // from the trunk's centre
  readonly works: string | null; // the first structure it meets
  readonly accepted: boolean;
  readonly reasons: readonly string[];
}

// ---------------------------------------------------------------- judge: figures -> verdict

export const VERDICTS = ['untouched', 'within-limit', 'over-limit', 'stem-in-works', 'not-assessed'] as const;
export type Verdict = (typeof VERDICTS)[number];

/** Whether a verdict says that a limit is passed: a trunk in the works passes every one. */
export function isOver(verdict: Verdict | undefined): verdict is 'over-limit' | 'stem-in-works' {
  return verdict === 'over-limit' || verdict === 'stem-in-works';
}

export interface JudgedTree {
  readonly verdict: Verdict;
  readonly consequence: string; // the rule's own words
  readonly reasons: readonly string[];
}

// ---------------------------------------------------------------- assess: the job and its result

/** A works file and what the command line or the caller says of it. */
export interface WorksInput {
  readonly layer: Layer;
  readonly kind?: WorksKind; // for every feature that does not say its own
  readonly option?: string; // design option
}

/** How far a long job has come: told now and then, never per feature. */
export interface Progress {
  readonly stage: 'read' | 'measure' | 'write';
  readonly name: string; // the file, or what is measured
  readonly done: number; // bytes while reading, trees while measuring; trees while writing, once for each role drawn from them
  readonly total: number; // 0 where it is not known
}

/**
 * What is made of ground that is hard today: `counted`: its share is told, works on it count; `spared`: works on it are no
 * new loss; `regrown`: so too, and zones grow until their area less it is the rule's own.
 */
export const EXISTING_USES = ['counted', 'spared', 'regrown'] as const;
export type ExistingUse = (typeof EXISTING_USES)[number];

/** Options of `assess`; lengths in metres, shares 0..1. */
export interface AssessOptions {
  /** Unit of a diameter, girth or stem field whose name does not say it. */
  readonly dbhUnit?: LengthUnit;
  /** Contract field -> source field: { dbh: 'DIAM', 'works.depth': 'D' }. */
  readonly fields?: Readonly<Record<string, string>>;
  /** Replaces the rule's overall limit (share of the zone), never a ring's. */
  readonly limit?: number;
  /** CRS of every layer that does not state its own: 'EPSG:2913'. */
  readonly crs?: string;
  /** CRS of one layer, before everything else. */
  readonly crsFor?: Readonly<Partial<Record<LayerRole, string>>>;
  /** Shift grids; each is used for the layers that stand on its source datum. */
  readonly grids?: readonly ShiftGrid[];
  /** Every projected layer's coordinates are scaled to ground: `--ground-factor F --ground-origin E,N`. */
  readonly ground?: GroundScale;
  /** Months after which a survey is old; default 24. Judged against `today` only. */
  readonly surveyAgeMonths?: number;
  /**
   * The date to count from, such as 2026-10-01. Without it no survey is called old: the library reads no
   * clock. Kept with the result where it made one old.
   */
  readonly today?: string;
  /** Trees were shot on the trunk's face: moved by half a diameter along the bearing from the face to the centre. */
  readonly stemAt?: StemAtFace;
  /** Whether margins are found; default: in jobs of up to 1,000 trees. */
  readonly margins?: boolean;
  /** How far trunk diameters may be off, all the same way: verdicts are tried with both. */
  readonly dbhAccuracyM?: number;
  /** What is made of ground that is hard today, where such a layer is given; default counted. */
  readonly existingUse?: ExistingUse;
  /** Working space added round a kind. */
  readonly overdigM?: Readonly<Partial<Record<WorksKind, number>>>;
  /** Kept free between crowns and structures, sideways and upwards; default 0. */
  readonly clearanceM?: number;
  /** What replaces trees that are lost: counted per lot and in total. */
  readonly mitigation?: Mitigation;
  /** How fences are laid out; giving it asks for them whatever the size of the job. */
  readonly fences?: FenceOptions;
  /** How a limb list is read. */
  readonly limbs?: LimbOptions;
}

/** What a limb list does not say itself. */
export interface LimbOptions {
  /** What the bearings count from, for rows that do not say. */
  readonly bearing?: BearingRef;
  /** Magnetic north, degrees east of true north, at the site on the day. */
  readonly declination?: number;
  /** Diameter at the cut above which a limb is flagged, metres. */
  readonly limitM?: number;
}

export interface FenceOptions {
  /** Kept free between works and fence; default 1.5 m (common practice, no source). */
  readonly workingSpaceM?: number;
  /** Most between two posts; default 10 ft. */
  readonly postSpacingM?: number;
  /** Stakes will be set out in the survey's own system: a survey in degrees is refused before anything is measured. */
  readonly stakesInSurvey?: boolean;
}

/** Shots on the face: `bearing` names the field (degrees clockwise), counted from true or from grid north. */
export interface StemAtFace {
  readonly bearing: string;
  readonly north: 'true' | 'grid';
}

export interface InputRecord {
  readonly role: LayerRole;
  readonly name: string;
  readonly format: FormatName;
  readonly sha256: string | null;
  readonly crs: string; // code and name
  readonly crsFrom: string; // why this one
  readonly datumOperation: string;
  readonly datumAccuracyM: number | null;
  readonly features: number;
}

/** One tree's figures: plain values in metres and percent; null where there is none to give. */
export interface TreeResult {
  readonly row: number; // position in the tree layer
  readonly key: string; // source id or tag: what a person calls it
  readonly lon: number | null;
  readonly lat: number | null;
  readonly disposition: Disposition;
  readonly dbhM: number | null;
  readonly zoneRadiusM: number | null;
  readonly zoneAreaM2: number | null;
  readonly overlapM2: number | null;
  readonly overlapPct: number | null;
  readonly overlapByKindM2: Readonly<Record<WorksKind, number>> | null;
  readonly existingM2: number | null; // hard today; null where no such layer was given
  readonly existingPct: number | null;
  readonly severedM2: number | null;
  readonly severedPct: number | null;
  readonly affectedPct: number | null;
  readonly rings: readonly { readonly name: string; readonly radiusM: number; readonly overlapPct: number }[];
  readonly nearestM: number | null;
  readonly nearestFaceM: number | null;
  readonly nearestBearing: number | null; // from true north
  readonly nearestGridBearing: number | null; // from the tree layer's grid north; null for lon/lat sources
  readonly convergence: number | null; // grid north, degrees clockwise from true north
  readonly nearestWorks: string | null;
  /** The piece whose removal would bring the percent down most, and by how many points; null where none is touched. */
  readonly worstWorks: string | null;
  readonly worstWorksPct: number | null;
  /**
   * Uniform move of the boundary of all counted works at which a limit is just met: positive = room left, negative = they
   * must retreat; null where more than 50 m is left, for a tree not assessed, and in large jobs that did not ask for it.
   */
  readonly marginM: number | null;
  /** Whether no position or diameter within the survey's accuracy turns the verdict; null where none is given. */
  readonly verdictHolds: boolean | null;
  /** Whether the survey, or else the rule, protects the tree; null where neither says. */
  readonly isProtected: boolean | null;
  readonly verdict: Verdict;
  readonly consequence: string;
  readonly reasons: readonly string[];
  readonly lot: string | null;
  readonly crown: CrownResult | null; // null where the tree states no crown
}

export interface WorksResult {
  readonly row: number;
  readonly key: string;
  readonly kind: WorksKind;
  readonly counted: 'true' | 'false' | 'partly';
  readonly countedReason: string | null;
  readonly repaired: boolean;
}

/** What a mitigation table asks for in place of the trees that are lost. */
export interface Replacement {
  readonly lost: number; // trees that count as lost under the table
  readonly lostDbhM: number; // the sum of their diameters
  readonly requiredDbhM: number | null; // diameter to plant; null for a table that counts trees
  readonly requiredTrees: number | null; // null where the table has no figure or says no size of tree to plant
  readonly plantedM: number | null; // size of one tree to plant
  readonly unknown: number; // lost trees without the diameter that the table turns on: not in the figures
}

/** The trees of a lot or of the whole job, counted; lengths in metres. A tree counts on one lot. */
export interface LotFigures {
  readonly trees: number; // trunks on it
  readonly onLine: number; // of them, trunks that stand on or cross a lot line
  readonly offSite: number; // of them, marked as standing off the site
  readonly reachingIn: number; // trees that stand elsewhere and whose zone reaches in
  readonly reachingInOffSite: number; // of them, marked off site or standing on no lot
  readonly kept: number;
  readonly removed: number;
  readonly transplanted: number;
  readonly protected: number;
  readonly protectedRemoved: number;
  readonly overLimit: number; // to be kept, and over the rule's limit
  readonly stemInWorks: number; // to be kept, and the trunk stands in the works
  readonly notAssessed: number;
  readonly keptDbhM: number; // sums of the diameters used
  readonly removedDbhM: number;
  readonly transplantedDbhM: number;
  readonly protectedRemovedDbhM: number;
  readonly withoutDbh: number; // trees that are in no sum of diameters
  readonly replacement: Replacement | null; // null where no mitigation table is given
}

export interface LotResult {
  readonly row: number;
  readonly key: string;
  readonly accepted: boolean;
  /** Counted, for all lots together, when first asked for. */
  readonly figures: LotFigures;
}

/** The job as a whole: every tree once, and the trees on no lot by themselves. */
export interface Totals {
  readonly all: LotFigures;
  readonly offLots: LotFigures;
}

export interface Counts {
  readonly trees: { readonly in: number; readonly assessed: number; readonly notAssessed: number };
  /** in = counted + not counted (exempt, or of another design option) + rejected. */
  readonly works: {
    readonly in: number;
    readonly counted: number;
    readonly notCounted: number;
    readonly rejected: number;
  };
  readonly lots: { readonly in: number; readonly accepted: number; readonly rejected: number };
  /** Ground that is hard today, where such a layer was given. */
  readonly existing?: { readonly in: number; readonly accepted: number; readonly rejected: number };
  /** Drawn polygons, where a layer of them was given: in = joined to a tree + rejected. */
  readonly zones?: { readonly in: number; readonly joined: number; readonly rejected: number };
  readonly crowns?: { readonly in: number; readonly joined: number; readonly rejected: number };
  readonly limbs?: { readonly in: number; readonly accepted: number; readonly rejected: number };
  readonly verdicts: Readonly<Record<Verdict, number>>;
}

/** What a writer needs beyond the figures: the tables and every position as lon/lat. */
export interface Job {
  readonly trees: TreeTable;
  readonly works: WorksTable;
  readonly lots: LotTable | null;
  readonly existing: { readonly works: WorksTable; readonly lonLat: Float64Array } | null;
  readonly zones: ZoneTable;
  readonly crowns?: CrownTable | null; // null: no tree states a crown
  readonly zoneShapes: ZoneShapes;
  readonly treeLonLat: Float64Array; // 2 per tree row; NaN where there is no point
  readonly worksLonLat: Float64Array; // 2 per vertex of works.geometry
  readonly lotsLonLat: Float64Array; // 2 per vertex of lots.geometry
  /** Zones and crowns that an arborist drew; null where none were given. */
  readonly zonePolygons: DrawnPolygons | null;
  readonly crownPolygons: DrawnPolygons | null;
  frameAt(lon: number, lat: number): Frame;
  /** Native pairs of the tree layer to lon/lat in place: shows a row that is no single point where it lies. */
  readonly treeLayerToLonLat?: (xy: Float64Array) => void;
  /** The tree layer's own system and the ways there and back: drawings and tables in native coordinates. */
  readonly treeTransform?: CrsTransform;
}

/** A ring of lon/lat positions in degrees, closed: [lon, lat][]. */
export type LonLatRing = readonly (readonly [number, number])[];
/** Polygons of one drawn shape: each a shell followed by its holes. */
export type LonLatPolygons = readonly (readonly LonLatRing[])[];

/**
 * Shapes drawn for one tree; each area-true in its frame; empty when there is nothing to draw. Each is drawn when it is
 * asked for and kept then: clipping the ground taken costs many times a circle.
 */
export interface TreeShapes {
  readonly zone: LonLatPolygons;
  readonly rings: readonly { readonly name: string; readonly shape: LonLatPolygons }[];
  readonly crown: LonLatPolygons;
  readonly overlap: LonLatPolygons;
  readonly severed: LonLatPolygons;
  /** What drawing one of the clipped shapes had to say (shape-approximate). */
  findingsOf(shape: 'overlap' | 'severed'): readonly Finding[];
}

/** One protection fence: closed lines round ground that works stay out of. */
export interface Fence {
  readonly trees: readonly number[]; // rows of trees whose trunks stand inside
  /** Where no trunk stands inside, works lie between: rows of the trees whose zones its ground belongs to. */
  readonly zoneTrees: readonly number[];
  /** Of its length, what stands on none of the lots: whoever owns the ground has to agree; null without lots. */
  readonly outsideLotsM: number | null;
  readonly shape: LonLatPolygons; // what it encloses: its rings are the line, their corners the stakes
  readonly areaM2: number;
  readonly lengthM: number;
  readonly alongWorksM: number; // of it, where the fence has to stand inside the zone
  readonly posts: number; // one at every corner, and between so that none is farther than the spacing
  readonly gates: number;
}

/** A gate: works enter the zone here; it joins a fence to works, or two ends of fences. */
export interface FenceGate {
  readonly fences: readonly number[]; // positions in `fences`
  readonly works: readonly number[]; // rows of works
  readonly line: LonLatRing; // open
  readonly lengthM: number;
}

/** Zone between a fence and works: outside the fence, so its ground is to be protected (mats, plates, mulch). */
export interface GroundProtection {
  readonly works: readonly number[];
  readonly shape: LonLatPolygons;
  readonly areaM2: number;
}

/** Fences of a whole job, with what they were laid out by. */
export interface FencePlan {
  readonly workingSpaceM: number;
  readonly postSpacingM: number;
  readonly outsideM: number; // how far the straight pieces lie outside the zone at most
  readonly fences: readonly Fence[];
  readonly gates: readonly FenceGate[];
  readonly groundProtection: readonly GroundProtection[];
  readonly findings: readonly Finding[]; // temporary-in-zone, fence-leaves-tree
}

/** The same trees under another rule, or with the works of another design option. */
export interface OtherReckoning {
  readonly rule: Rule;
  /** The design option weighed; undefined where works have none. */
  readonly option: string | undefined;
  readonly counts: Readonly<Record<Verdict, number>>;
  tree(row: number): TreeResult;
  /** One tree's result that holds until the next is asked for. */
  see(row: number): TreeResult;
  /** As in Assessment. */
  reckoning(row: number): TreeReckoning | null;
  /** The zones that the rule gives, as in Job. */
  readonly zones: Job['zones'];
  readonly zoneShapes: Job['zoneShapes'];
}

/** What one row of works takes of a tree's zone, square metres. */
export interface PieceFigure {
  readonly works: number; // row in WorksTable
  readonly whyNot: string | null; // short code where it does not count
  readonly cuts: boolean; // severs what lies beyond it
  readonly ownM2: number; // as if the others were not there
  readonly soleM2: number; // what no other works that count cover; 0 where it does not count
}

/** A limit held against one tree, square metres. */
export interface LimitFigure {
  readonly ring: string | null; // null: of the zone
  readonly limit: Limit | null; // null: no works that cut in a ring that holds the tree
  readonly reason: string; // short code where it is broken
  readonly takenM2: number; // what counts against it, after any allowance
  readonly allowanceM2: number; // taken off before
  readonly wholeM2: number; // what its share is of
  readonly mostM2: number; // broken above this
  readonly isBroken: boolean;
}

/** What one tree's verdict stands on; see `explain`. */
export interface TreeReckoning {
  readonly pieces: readonly PieceFigure[]; // every row of works that reaches the zone, in input order
  readonly limits: readonly LimitFigure[];
}

/** The result of `assess`: plain readonly data, metres and percent. */
export interface Assessment {
  readonly version: string;
  readonly rule: Rule;
  readonly options: AssessOptions;
  readonly inputs: readonly InputRecord[];
  readonly counts: Counts;
  readonly findings: readonly Finding[];
  /** One result per tree, in input order; made, all of them, when first asked for. */
  readonly trees: readonly TreeResult[];
  /** One tree's result by its row. */
  tree(row: number): TreeResult;
  /** Every tree in input order without keeping a million objects: each one holds until the next is asked for. */
  eachTree(): Iterable<TreeResult>;
  /** Every row of the limb list, in its order; empty without one. */
  readonly limbs: readonly LimbResult[];
  /** The design option of the figures above; undefined where works have none. */
  readonly option: string | undefined;
  /** Under each further rule, in the order given; the design option is the one above. */
  readonly otherRules: readonly OtherReckoning[];
  /** With each further design option, in order of first mention; the rule is the one above. */
  readonly otherOptions: readonly OtherReckoning[];
  /** One result per row of works, in input order; made, all of them, when first asked for. */
  readonly works: readonly WorksResult[];
  /** The same one after another, without keeping them. */
  eachWorks(): Iterable<WorksResult>;
  readonly lots: readonly LotResult[];
  /** Counted when first asked for. */
  readonly totals: Totals;
  /** Protection fences round trees to be kept; laid out when first asked for. */
  readonly fences: FencePlan;
  readonly job: Job;
  /** Pieces and limits behind one tree's verdict, measured piece by piece when asked for; null where it is not assessed. */
  reckoning(tree: number): TreeReckoning | null;
  /** Draws one tree's shapes (lon/lat); made when asked for, so that figures alone stay cheap. */
  shapes(tree: number): TreeShapes;
  /** The polygons that were measured for one row of works, or of what exists (line with width, working space, repaired ring). */
  measured(row: number, of?: 'works' | 'existing'): LonLatPolygons;
}

// ---------------------------------------------------------------- siting: where works could stand

/** Kept free along a lot's edges, metres: one distance, or by side with the bearing that the front faces (true north). */
export type Setback =
  | number
  | { readonly frontM: number; readonly sideM: number; readonly rearM: number; readonly frontBearing: number };

/** Options of `siting`; lengths in metres, angles in degrees. */
export interface SitingOptions {
  /** Works that move together, by id; default: all buildings that count. */
  readonly move?: readonly string[] | undefined;
  /** Kept free along the edges of the lot the footprint stands on; default: nothing. */
  readonly setback?: Setback | undefined;
  /** The ground to build on, in place of lot and setbacks: polygons, in the coordinate system of the lots. */
  readonly buildable?: Layer | undefined;
  /** Farthest shift from where it is drawn; default 15 m. */
  readonly shiftM?: number | undefined;
  /** Farthest turn either way; default 0. */
  readonly turnDeg?: number | undefined;
  /** Whether it may be built as drawn in a mirror. */
  readonly mirror?: boolean | undefined;
}

/** `in-place`: as drawn it is within all limits; `sited`: elsewhere; `trade`: nowhere found; `no-room`: it fits nowhere found. */
export type SitingStatus = 'in-place' | 'sited' | 'trade' | 'no-room';

/** One place for the footprint. */
export interface PlacedFootprint {
  readonly rank: number; // from 1
  readonly eastM: number; // of the reference, along the frame's axes (true north within a tenth of a degree)
  readonly northM: number;
  readonly turnDeg: number; // clockwise about the reference
  readonly mirrored: boolean; // before the turn
  readonly travelM: number; // root mean square distance its corners go
  /** Trees to be kept that are over a limit there, by row; without those that are over whatever it does. */
  readonly over: readonly number[];
  /** Ground of their zones taken beyond their limits, square metres. */
  readonly lostM2: number;
  /** The ordinary assessment of the works moved there. */
  readonly after: Assessment;
}

/** A square of the map: what stands there with the footprint's reference at its middle, not turned. */
export interface SitingCell {
  readonly eastM: number;
  readonly northM: number;
  readonly worstPct: number; // largest share taken of the zone of a tree to be kept
  readonly over: number; // trees over a limit
  readonly fits: boolean;
  readonly shape: LonLatPolygons;
}

/** The result of `siting`. */
export interface Siting {
  readonly status: SitingStatus;
  /** The assessment of the works as drawn. */
  readonly before: Assessment;
  readonly options: SitingOptions;
  /** Rows of works that move. */
  readonly moved: readonly number[];
  /** Rows of trees whose limits were kept: to be kept, assessed, and within the footprint's reach. */
  readonly trees: readonly number[];
  /** Of them, those over their limits by the works that stay, wherever the footprint goes. */
  readonly beyondHelp: readonly number[];
  /** The footprint's reference as drawn: the mean of its corners. */
  readonly reference: readonly [lon: number, lat: number];
  /** Best first: fewest trees over, least ground lost, shortest way. */
  readonly sitings: readonly PlacedFootprint[];
  /** Positions of the reference, not turned, at which it fits and every tree is within its limits. */
  readonly allowed: LonLatPolygons;
  /** The ground it must stand on; empty where nothing bounds it. */
  readonly buildable: LonLatPolygons;
  readonly map: { readonly spacingM: number; readonly cells: readonly SitingCell[] };
  /** Whether it is proven, to three centimetres and at the turns looked at, that nothing shorter keeps all limits. */
  readonly isProven: boolean;
  readonly findings: readonly Finding[];
}
