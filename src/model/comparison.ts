// What `compareAssessed` gives: two submissions of one site, and what is not the same in them. In: nothing; out: types.
// Terms: submission = one output of an assessment, as read; before, after = the earlier and the later one; matched = a
// feature that is in both; unclear = one that fits several, so that nobody can say which it is. Metres, square metres.

import type { Crs, Frame } from './crs.js';
import type { Finding } from './findings.js';
import type { LonLatPolygons, Verdict } from './result.js';
import type { Disposition, WorksKind } from './tables.js';

/** A field that is not the same in both; null where it is not given. Diameters are metres, all else is as read. */
export interface FieldChange {
  readonly field: string; // as the files call it, or `diameter`, `disposition`, `kind`, ...
  readonly is: string | null; // the field of the contract that it is, such as depth of depth_ft
  readonly quantity: 'diameter' | 'plain';
  readonly before: string | number | null;
  readonly after: string | number | null;
}

/** How far something has moved: metres, and degrees clockwise from true north (grid north on a local ground system). */
export interface Move {
  readonly byM: number;
  readonly bearing: number;
}

/** Why a verdict changed: of works and fields which one. */
export interface Cause {
  readonly code:
    | 'rule-changed'
    | 'limit-changed'
    | 'option-changed'
    | 'tree-moved'
    | 'diameter-changed'
    | 'disposition-changed'
    | 'field-changed'
    | 'zone-changed'
    | 'works-added'
    | 'works-removed'
    | 'works-moved'
    | 'works-reshaped'
    | 'works-kind-changed'
    | 'works-depth-changed'
    | 'works-changed'
    | 'existing-changed'
    | 'not-found';
  readonly of: string | null; // the label of works, the name of a field or an option
}

export interface VerdictChange {
  readonly before: string | null;
  readonly after: string | null;
  readonly overlapPctBefore: number | null;
  readonly overlapPctAfter: number | null;
  /** Everything that changed and bears on this tree; never empty. */
  readonly why: readonly Cause[];
}

export interface TreeChange {
  readonly change: 'added' | 'gone' | 'changed' | 'unclear';
  readonly label: string;
  readonly before: SubmittedTree | null;
  readonly after: SubmittedTree | null;
  readonly move: Move | null;
  readonly fields: readonly FieldChange[];
  readonly verdict: VerdictChange | null;
}

export interface WorksChange {
  readonly role: 'works' | 'existing';
  readonly change: 'added' | 'removed' | 'changed' | 'unclear';
  readonly label: string;
  readonly before: SubmittedWorks | null;
  readonly after: SubmittedWorks | null;
  /** As a whole, without a change of shape; null where it was not moved, or not only moved. */
  readonly move: Move | null;
  readonly reshaped: boolean;
  readonly fields: readonly FieldChange[];
  readonly ground: GroundChange;
}

/** Areas in square metres, and the ground itself: differences of polygons on a grid of 1 mm. */
export interface GroundChange {
  readonly beforeM2: number;
  readonly afterM2: number;
  readonly takenM2: number; // covered after and not before
  readonly freedM2: number; // covered before and not after
  readonly taken: LonLatPolygons;
  readonly freed: LonLatPolygons;
}

/** A change of what the figures were worked out by. */
export interface SettingChange {
  readonly kind: 'rule' | 'limit' | 'option';
  readonly name: string;
  readonly before: string | null;
  readonly after: string | null;
}

/** One tree of a submission, as far as a drawing or a table shows it. */
export interface SubmittedTree {
  readonly row: number; // among the trees of its file, from 0
  readonly label: string;
  readonly lon: number | null;
  readonly lat: number | null;
  readonly dbhM: number | null;
  readonly zoneRadiusM: number | null;
  readonly overlapPct: number | null;
  readonly verdict: Verdict | null;
  readonly disposition: Disposition;
  readonly touched: boolean; // works take or cut off some of its zone
}

/** One piece of works, or of what exists. */
export interface SubmittedWorks {
  readonly row: number;
  readonly label: string;
  readonly kind: WorksKind | null;
  readonly counted: boolean;
  /** As it was measured; empty for a line without a width. */
  readonly shape: LonLatPolygons;
}

/** One file as read. */
export interface Submission {
  readonly name: string;
  readonly rule: string | null; // title and id
  readonly units: 'us' | 'metric';
  readonly stamp: string | null;
  readonly trees: readonly SubmittedTree[];
  readonly works: readonly SubmittedWorks[];
  readonly existing: readonly SubmittedWorks[];
  readonly lots: readonly LonLatPolygons[];
  /** Drawn shapes of trees by their role, where the file holds them. */
  readonly zones: ReadonlyMap<number, LonLatPolygons>; // by the tree's row
  readonly overlaps: ReadonlyMap<number, LonLatPolygons>;
  readonly severed: ReadonlyMap<number, LonLatPolygons>;
}

/** before = matched + gone + unclear of before; after = matched + added + unclear of after. */
export interface ComparedCounts {
  readonly before: number;
  readonly after: number;
  readonly matched: number;
  readonly changed: number; // of the matched
  readonly added: number;
  readonly gone: number;
  readonly unclearBefore: number;
  readonly unclearAfter: number;
}

export interface Comparison {
  readonly before: Submission;
  readonly after: Submission;
  readonly settings: readonly SettingChange[];
  /** Works first, then what exists; each in the order of the earlier file, then of the later one. */
  readonly works: readonly WorksChange[];
  readonly trees: readonly TreeChange[];
  /** The union of all counted works. */
  readonly ground: GroundChange;
  readonly counts: {
    readonly trees: ComparedCounts;
    readonly works: ComparedCounts;
    readonly existing: ComparedCounts;
  };
  readonly findings: readonly Finding[];
  /** The plane about a place, for drawings. */
  frameAt(lon: number, lat: number): Frame;
  /** The local ground system that both are in, and the way to it; null: longitude and latitude. */
  readonly system: { readonly crs: Crs; toOutput(lonLat: Float64Array): void } | null;
}
