// Trees that are lost, one by one, and what each requires. In: nothing; out: a type. Terms: see mitigation.ts; lengths in
// metres.

import type { Loss } from './mitigation.js';

/** A tree to be removed or moved, or one that stands in the works or over its limit and is not marked for removal. */
export interface Removal {
  readonly row: number; // in the tree table
  /** Why it is in the list: its disposition, else its verdict. */
  readonly why: Loss;
  /** True: the survey marks it for removal. False: the works take it although it is not marked. */
  readonly marked: boolean;
  /** Whether the mitigation table counts it as lost; false without a table. */
  readonly lost: boolean;
  readonly dbhM: number | null; // the diameter used
  /** Class of the table that it falls in; null: none, or no table. */
  readonly className: string | null;
  readonly ratio: number | null; // diameter to plant per diameter lost
  readonly requiredDbhM: number | null;
  readonly requiredTrees: number | null;
  /** It counts as lost but lacks the diameter that the table needs, so no planting figure includes it. */
  readonly unknown: boolean;
}
