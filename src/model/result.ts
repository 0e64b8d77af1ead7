// What an assessment gives: verdicts, figures of trees, works and lots, fences. In: nothing; out: types, the verdicts.
// Terms: see docs/method.md; lengths in metres, areas in square metres, percent from 0 to 100.

import type { CrsTransform, Frame } from './crs.js';
import type { Finding } from './findings.js';
import type { GradesResult } from './grade-result.js';
import type { FormatName, LayerRole } from './layer.js';
import type { AssessOptions } from './options.js';
import type { Removal } from './removal.js';
import type { Limit, Rule } from './rule.js';
import type {
  BearingRef,
  CrownConflict,
  CrownTable,
  Disposition,
  DrawnPolygons,
  LotTable,
  TreeTable,
  WorksKind,
  WorksTable,
  ZoneShapes,
  ZoneTable,
} from './tables.js';
import type { Worth } from './worth.js';

/** One tree's crown: square metres, percent (0 to 100), degrees clockwise from true north. */
export interface CrownResult {
  readonly areaM2: number;
  readonly overlapM2: number | null; // null: neither works nor what stands today was given
  readonly overlapPct: number | null; // share of the crown to be cut back, unless it is lifted by `liftM`
  readonly arcs: CrownConflict['arcs'];
  readonly arcFrom: number | null; // the widest of `arcs`
  readonly arcTo: number | null;
  readonly arcDegrees: number | null; // of all arcs together
  readonly liftM: number | null;
  readonly works: string | null;
}

/** One limb of the list; null where a figure is not given or can't be worked out. Metres, degrees, shares 0..1. */
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

export const VERDICTS = ['untouched', 'within-limit', 'over-limit', 'stem-in-works', 'not-assessed'] as const;

export type Verdict = (typeof VERDICTS)[number];

/** A verdict as a number below 8, and back: its place in VERDICTS, and the number behind the last where there is none. */
export function verdictNumber(verdict: Verdict | null): number {
  return verdict === null ? VERDICTS.length : VERDICTS.indexOf(verdict);
}

export function verdictNumbered(number: number): Verdict | null {
  return VERDICTS[number] ?? null;
}

/** How many of a list have each verdict. Those without a verdict (no works were given) are not counted. */
export function verdictCounts<T>(all: Iterable<T>, verdictOf: (one: T) => Verdict | null): Record<Verdict, number> {
  const counts = Object.fromEntries(VERDICTS.map((verdict) => [verdict, 0])) as Record<Verdict, number>;
  for (const one of all) {
    const verdict = verdictOf(one);
    if (verdict !== null) counts[verdict]++;
  }
  return counts;
}

/** Whether a verdict says that a limit is passed. A trunk in the works passes every limit. */
export function isOver(verdict: Verdict | null | undefined): verdict is 'over-limit' | 'stem-in-works' {
  return verdict === 'over-limit' || verdict === 'stem-in-works';
}

export interface JudgedTree {
  readonly verdict: Verdict | null; // null: no works were given, and the tree has a zone
  readonly consequence: string; // the rule's own words
  readonly reasons: readonly string[];
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

/** One tree's figures: plain values in metres and percent; null where there is no value. */
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
  readonly rings: readonly { readonly name: string; readonly radiusM: number; readonly overlapPct: number | null }[];
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
   * Uniform move of the boundary of all counted works at which a limit is just met: positive = room left, negative = works
   * must retreat; null where more than 50 m is left, for a tree not assessed, and in large jobs where margins were not
   * asked for.
   */
  readonly marginM: number | null;
  /** Whether no position or diameter within the survey's accuracy changes the verdict; null where no accuracy is given. */
  readonly verdictHolds: boolean | null;
  /** Whether the survey, or else the rule, protects the tree; null where neither tells. */
  readonly isProtected: boolean | null;
  /** Null where no works were given: the zone is known, and nothing was judged (reason `no-works`). */
  readonly verdict: Verdict | null;
  readonly consequence: string;
  readonly reasons: readonly string[];
  readonly lot: string | null;
  readonly crown: CrownResult | null; // null where the tree states no crown
  /** What an arborist's answers come to; null where the survey has none for the tree. */
  readonly worth: Worth | null;
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
  readonly unknown: number; // lost trees without the diameter that the table needs: not in the figures
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
  readonly dispositionUnknown: number; // kept trees whose disposition is a word that is not known
  readonly protected: number;
  readonly protectedUnknown: number; // trees whose protection is not known, where survey or rule protects any tree
  readonly protectedRemoved: number;
  // The next three are null where no works were given.
  readonly overLimit: number | null; // to be kept, and over the rule's limit
  readonly stemInWorks: number | null; // to be kept, and the trunk stands in the works
  readonly goingOver: number | null; // to be removed or moved, over the limit or in the works
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

/** The job as a whole: every tree once, and separately the trees on no lot. */
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

/** Whether works were given at all; a file of works without features is works given. */
export function hasWorks({ layers }: WorksTable): boolean {
  return layers.length > 0;
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
  /** Native pairs of the tree layer to lon/lat in place: it shows where a row lies that is not a single point. */
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
  /** Findings of drawing one of the clipped shapes (shape-approximate). */
  findingsOf(shape: 'overlap' | 'severed'): readonly Finding[];
}

/** One protection fence: closed lines round ground that works stay out of. */
export interface Fence {
  readonly trees: readonly number[]; // rows of trees whose trunks stand inside
  /** For a fence without a trunk inside, since works lie between: rows of the trees whose zones its ground belongs to. */
  readonly zoneTrees: readonly number[];
  /** Its length outside all lots: the owner of that ground must agree; null without lots. */
  readonly outsideLotsM: number | null;
  readonly shape: LonLatPolygons; // what it encloses: its rings are the line, their corners the stakes
  readonly areaM2: number;
  readonly lengthM: number;
  readonly alongWorksM: number; // the part of its length where the fence has to stand inside the zone
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

/**
 * What stops a job: an AbortSignal, or anything that throws when it is asked. Nothing that waits for its turn in this thread
 * (a timer, AbortSignal.timeout, a message) is heard while synchronous code runs; see `flagSignal`.
 */
export interface StopSignal {
  throwIfAborted(): void;
}

/** Fences of a whole job, with the settings used to lay them out. */
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
  /** One tree's result by its row: an object of its own. */
  tree(row: number): TreeResult;
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

/** A limit as applied to one tree, square metres. */
export interface LimitFigure {
  readonly ring: string | null; // null: of the zone
  readonly limit: Limit | null; // null: no works that cut in a ring that holds the tree
  readonly reason: string; // short code where it is broken
  readonly takenM2: number; // what counts against it, after any allowance
  readonly allowanceM2: number; // taken off before
  readonly wholeM2: number; // the whole that its share is taken of
  readonly mostM2: number; // broken above this
  readonly isBroken: boolean;
}

/** What one tree's verdict is based on; see `explain`. */
export interface TreeReckoning {
  readonly pieces: readonly PieceFigure[]; // every row of works that reaches the zone, in input order
  readonly limits: readonly LimitFigure[];
}

/**
 * The content of an assessment as data alone: plain readonly objects, metres and percent. It can be cloned and sent to a
 * thread.
 */
export interface AssessmentData {
  readonly version: string;
  readonly rule: Rule;
  readonly options: AssessOptions;
  readonly inputs: readonly InputRecord[];
  readonly counts: Counts;
  readonly findings: readonly Finding[];
  /** One result per tree, in input order; made, all of them, when first asked for. */
  readonly trees: readonly TreeResult[];
  /** Every row of the limb list, in its order; empty without one. */
  readonly limbs: readonly LimbResult[];
  /** The design option of the figures above; undefined where works have none. */
  readonly option: string | undefined;
  /** One result per row of works, in input order; made, all of them, when first asked for. */
  readonly works: readonly WorksResult[];
  readonly lots: readonly LotResult[];
  /** Grade change at trees and on lots, where surfaces were given. */
  readonly grades?: GradesResult;
  /** Counted when first asked for. */
  readonly totals: Totals;
  /** Trees to be removed, or that the works take, with what replaces each; listed when first asked for. */
  readonly removals: readonly Removal[];
}

/** The trees that writers show, where not all. */
export interface ShownTrees {
  readonly only: readonly string[]; // as it was asked
  readonly count: number;
  readonly hidden: number;
  has(row: number): boolean;
  /** The assessment with all its trees. */
  readonly whole: Assessment;
}

/** The result of `assess`: its data, and methods that look at it row by row, explain it and draw it. */
export interface Assessment extends AssessmentData {
  /** The trees that writers show; undefined: all. Made by the writers' `only`. */
  readonly shown?: ShownTrees;
  /** One tree's result by its row: an object of its own. */
  tree(row: number): TreeResult;
  /** Every tree in input order, each an object of its own, made when its turn comes. */
  eachTree(): Iterable<TreeResult>;
  /** Under each further rule, in the order given; the design option is the one above. */
  readonly otherRules: readonly OtherReckoning[];
  /** With each further design option, in order of first mention; the rule is the one above. */
  readonly otherOptions: readonly OtherReckoning[];
  /** Every row of works in input order, made when its turn comes. */
  eachWorks(): Iterable<WorksResult>;
  /** Protection fences round trees to be kept; laid out when first asked for. */
  readonly fences: FencePlan;
  /**
   * What is to be said of margins that were given up for their cost (`margin-not-found`); empty where margins are off. Finds
   * every margin when first asked for.
   */
  readonly marginFindings: readonly Finding[];
  /**
   * The same assessment for writers that are to be stopped: it looks at the signal before each tree, drawing and group of
   * fences, and throws the signal's reason. `toReport(assessment.stoppedBy(signal))`
   */
  stoppedBy(signal: StopSignal): Assessment;
  readonly job: Job;
  /** Pieces and limits behind one tree's verdict, measured piece by piece when asked for; null where it is not assessed. */
  reckoning(tree: number): TreeReckoning | null;
  /**
   * Draws one tree's shapes (lon/lat); made when asked for, so that figures alone stay cheap. The signal is looked at within
   * a drawing too.
   */
  shapes(tree: number, signal?: StopSignal): TreeShapes;
  /** The polygons that were measured for one row of works, or of what exists (line with width, working space, repaired ring). */
  measured(row: number, of?: 'works' | 'existing', signal?: StopSignal): LonLatPolygons;
}
