// The rule as data: zone formula + rings + limits, named after the standard or practice (docs/rules.md).
// Types only; the schema that checks a JSON file against them is in rules/schema.ts.
// Terms: ratio = metres of radius per metre of diameter (12 = 1 ft per inch); share = 0..1 of an area.

import type { WorksKind } from './tables.js';

/** How the stems of one tree make one diameter. */
export type StemCombination =
  | 'root-of-squares' // sqrt(sum of d^2): AS 4970, BS 5837 for 2 to 5 stems
  | 'sum'
  | 'two-largest'
  | 'largest-plus-half-others'
  | 'largest-plus-average-others'
  | 'mean-root-n' // mean x sqrt(n)
  | 'bs5837'; // root-of-squares up to 5 stems, mean-root-n above

/** A term of a radius; every term gives metres. Lengths are written with their unit: "15 ft". */
export type RadiusTerm =
  | { readonly perDiameter: number | string; readonly of?: 'dbh' | 'base' } // ratio, or "1.5 ft per in"
  | { readonly length: string } // a constant
  | { readonly crownPlus: string; readonly shape?: 'circle' | 'quarters' } // crown radius + x
  | { readonly perHeight: number } // share of the tree's height
  | {
      readonly perDiameterBy: 'tolerance-age';
      readonly table: Readonly<Record<string, Readonly<Record<string, number | string>>>>;
    }
  | {
      readonly byDiameter: readonly { readonly upTo: string | null; readonly radius: string }[];
      readonly rounding: 'none' | 'up-cm' | 'nearest-cm'; // of the diameter, before it is looked up
    }
  | {
      readonly power: {
        readonly factor: number;
        readonly scale: number;
        readonly exponent: number;
        readonly of: 'dbh' | 'base';
      };
    } // factor x (D x scale)^exponent
  | { readonly max: readonly RadiusTerm[] }
  | { readonly min: readonly RadiusTerm[] }
  | { readonly sum: readonly RadiusTerm[] };

/** A radius: its term, where it is measured from, and its bounds (which hold before a trunk's half is added). */
export interface RadiusFormula {
  readonly radius: RadiusTerm;
  readonly from?: 'centre' | 'face'; // default centre; face adds half the trunk's diameter
  readonly atLeast?: string;
  readonly atMost?: string;
}

/** At most this share of the zone (or ring). */
export interface Limit {
  readonly share: number; // 0..1
  readonly of?: 'zone' | 'unsurfaced'; // default zone; unsurfaced = less what is hard today
  readonly kinds?: readonly WorksKind[]; // only these kinds count against it; default all
  readonly deeperThan?: string; // "4 in": only deeper works count against it; works of unknown depth and bores always do
  readonly reason?: string; // short code for rb_reasons when it is broken
  readonly tolerance?: number; // share of the zone; default the rule's
}

/** Works that do not count at all: works of these kinds that meet every other condition. */
export interface Exemption {
  readonly kinds: readonly WorksKind[];
  readonly deeperThan?: string; // a bore whose cover is deeper
  readonly atLeast?: string; // a bore whose cover is that or more
  readonly upTo?: string; // fill no deeper
  readonly noDig?: true; // only works marked no_dig
  readonly reason?: string; // short code beside the works; default exempt
}

/** Ground taken by these kinds alone is not counted against the overall limit, up to a share of the zone. */
export interface Allowance {
  readonly kinds: readonly WorksKind[];
  readonly share: number; // 0..1
}

/** A kind that severs what lies beyond it; with a depth only where it is known to be deeper. */
export type Cut = WorksKind | { readonly kind: WorksKind; readonly deeperThan: string };

/** Which trees: every condition given must hold; a tree of unknown diameter is in no range. */
export interface TreeTest {
  readonly species?: readonly string[]; // whole words at the start of its species: "Quercus" holds for "Quercus alba"
  readonly forms?: readonly string[];
  readonly from?: string; // diameter at least
  readonly below?: string; // diameter less than
  readonly veteran?: boolean;
}

/** Trees with their own zone or limits. A tree belongs to the first class that fits. */
export interface TreeClass extends TreeTest {
  readonly name: string; // reason class-<name>
  readonly zone?: RadiusFormula;
  readonly limits?: readonly Limit[]; // in place of the rule's
}

export interface RuleRing extends RadiusFormula {
  readonly name: string; // property rb_ring_<name>_pct
  readonly title?: string;
  readonly limits: readonly Limit[];
  /** Forms of tree ('palm', ...) that have no such ring. */
  readonly notForForms?: readonly string[];
}

export interface Rule {
  readonly id: string;
  readonly title: string;
  readonly source: string;
  /** What the user must know (superseded, from memory, open to argument). Findings and reports repeat it. */
  readonly notes: readonly string[];
  readonly stems: { readonly zone: StemCombination; readonly protected?: StemCombination };
  readonly zone: RadiusFormula;
  /** Forms of tree that have another zone formula: { columnar: ... }; lower case. */
  readonly zonesByForm?: Readonly<Record<string, RadiusFormula>>;
  readonly rings: readonly RuleRing[];
  /** The overall limit is the first without `kinds`; `--limit` replaces that one. */
  readonly limits: readonly Limit[];
  readonly judge: 'overlap' | 'affected';
  readonly cuts: readonly Cut[]; // kinds that sever what lies beyond them
  readonly exempt?: readonly Exemption[];
  readonly allowance?: Allowance;
  /** Species and size classes, veterans: the first that fits. */
  readonly classes?: readonly TreeClass[];
  /** Trees the rule protects: those that fit any of these; diameters combined as stems.protected says. */
  readonly protected?: readonly TreeTest[];
  readonly tolerance: number; // share of the zone; default 0.001
  readonly consequences: Readonly<
    Partial<Record<'untouched' | 'within-limit' | 'over-limit' | 'stem-in-works' | 'not-assessed', string>>
  >;
  /** Reasons added when a verdict is within the limit but works take some of the zone. */
  readonly withinReason?: string;
}
