// What replaces a tree that is lost, as data: in: nothing; out: the types of a mitigation table.
// Terms: class = trees of a species group, size, condition or protected status; ratio = inches to plant per inch lost;
// planted = trunk diameter of one replacement tree. Lengths stay as written ("8 in"). The local code decides.

/** What makes a tree count as lost: its disposition, or its verdict where it is to be kept. */
export const LOSSES = ['remove', 'transplant', 'over-limit', 'stem-in-works'] as const;
export type Loss = (typeof LOSSES)[number];

/** What one lost tree calls for. */
export type Requirement =
  | { readonly ratio: number } // diameter to plant per diameter lost
  | { readonly trees: number } // trees to plant per tree lost
  | { readonly none: true };

/** Trees with a requirement of their own; every condition given must hold. */
export interface MitigationClass {
  readonly name: string;
  readonly species?: readonly string[]; // any case, whole names
  readonly from?: string; // smallest diameter, included
  readonly below?: string; // first diameter that is too large
  readonly condition?: readonly string[];
  readonly protected?: boolean;
  readonly require: Requirement;
}

/** Trees to plant by the sum of the diameters lost. */
export interface TotalTable {
  readonly rows: readonly { readonly upTo: string; readonly trees: number | null }[]; // null: the table has none
  readonly rounding: 'none' | 'nearest-in';
}

/** A mitigation table; see docs/plan.md. */
export interface Mitigation {
  readonly id: string;
  readonly title: string;
  readonly source: string;
  readonly notes: readonly string[];
  readonly lost: readonly Loss[];
  readonly classes: readonly MitigationClass[]; // the first that holds counts
  readonly otherwise: Requirement; // for lost trees of no class
  readonly total?: TotalTable;
  readonly planted?: string;
}
