// Published figures about trees and soil that stand beside a tree's own. In: nothing; out: types of a file of tree facts.
// Terms: stamp = why a source is not to be leaned on. None of these is ever used in sorting or in a verdict: they are shown, each
// with its source. Lengths stay as written, with their unit.

import type { Tolerance } from './tables.js';
import type { Soil } from './worth.js';

export const STAMPS = ['weak source', 'from memory', 'common practice, no source'] as const;

export type Stamp = (typeof STAMPS)[number];

interface Sourced {
  /** A publication and its place. Not needed where the stamp says that there is none. */
  readonly source?: string;
  readonly stamp?: Stamp;
}

interface OfTrees {
  /** Species as surveys write them, Latin or common, or a genus alone: any case. */
  readonly trees: readonly string[];
}

/** Likely span of years. */
export interface SpanFact extends OfTrees, Sourced {
  /** One figure, or from and to. */
  readonly years: number | readonly [number, number];
  readonly note?: string;
}

/** How a species takes building about it. */
export interface ToleranceFact extends OfTrees, Sourced {
  readonly tolerance: Tolerance;
}

/** Where roots are; without `trees` of any tree. */
export interface RootFact extends Partial<OfTrees>, Sourced {
  readonly text: string;
}

/** Fill that harms; without `soil` whatever the soil. */
export interface FillFact extends Sourced {
  readonly soil?: readonly Soil[];
  /** Harmful above this depth, or from it: "1 in". */
  readonly depth: string;
  readonly from?: boolean; // true: from this depth on; else above it
  readonly text: string;
}

/** Bulk density above which roots are held back, g/cm3: a range, or one end. */
export interface DensityFact extends Sourced {
  readonly soil: readonly Soil[];
  readonly from: number;
  readonly to?: number;
}

/** A share of the crown that may go. */
export interface CrownFact extends Sourced {
  readonly share: number; // 0..1
  readonly text: string;
}

/** A file of tree facts; see docs/worth-keeping.md. */
export interface TreeFacts {
  readonly id: string;
  readonly title: string;
  readonly spans: readonly SpanFact[];
  readonly tolerances: readonly ToleranceFact[];
  readonly roots: readonly RootFact[];
  readonly fill: readonly FillFact[];
  readonly density: readonly DensityFact[];
  readonly crown: readonly CrownFact[];
}
