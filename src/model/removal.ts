// Trees that go, one by one, and what each calls for. In: nothing; out: a type. Terms: see mitigation.ts; lengths in metres.

import type { Loss } from './mitigation.js';

/** A tree to be removed or moved, or one that stands in the works or over its limit and is not marked for removal. */
export interface Removal {
  readonly row: number; // in the tree table
  /** Why it is in the list: its disposition, else its verdict. */
  readonly why: Loss;
  /** Marked in the survey as one that goes; false: the works take it all the same. */
  readonly marked: boolean;
  /** Whether the mitigation table counts it as lost; false without a table. */
  readonly lost: boolean;
  readonly dbhM: number | null; // the diameter used
  /** Class of the table that it falls in; null: none, or no table. */
  readonly className: string | null;
  readonly ratio: number | null; // diameter to plant per diameter lost
  readonly requiredDbhM: number | null;
  readonly requiredTrees: number | null;
  /** It counts as lost, but lacks the diameter that the table asks for: it is in no figure of what is to be planted. */
  readonly unknown: boolean;
}
