// What the overlap stage is given. In: nothing; out: types. Terms: site = a tree with the meter and the frame in which it is measured.

import type { Meter } from '../geometry/index.js';
import type { Frame, WorksTable, WorksWeights, ZoneShapes, ZoneTable } from '../model/index.js';
import type { MeasureTask } from './task.js';

export interface OverlapInput {
  readonly zones: ZoneTable;
  readonly shapes?: ZoneShapes; // zones that are no discs
  readonly treeLonLat: Float64Array; // 2 per tree; NaN where there is no point
  /** How far off a position may be, per tree, metres; NaN: not given. A trunk of no known size is looked for within it. */
  readonly accuracyM?: Float64Array;
  readonly works: WorksTable;
  readonly worksLonLat: Float64Array; // 2 per vertex of works.geometry
  /** What each row of works counts for, and the areas the rule asks for. */
  readonly weights: WorksWeights;
  readonly areas: RuleAreas;
  /** Ground that is hard today. */
  readonly existing?: {
    readonly works: WorksTable;
    readonly lonLat: Float64Array; // 2 per vertex of works.geometry
    /** Works on it take nothing. */
    readonly spared: boolean;
  };
  readonly runner?: Runner; // default ONE_THREAD
  /** Told how many of all trees are measured. */
  readonly tick?: ((done: number) => void) | undefined;
  frameAt(lon: number, lat: number): Frame;
}

/** A tree's frame, the works about it and its position there. */
export interface Site {
  readonly frame: Frame;
  readonly meter: Meter;
  readonly x: number;
  readonly y: number;
}

/** Measures all trees of a task; returns when all are measured. One thread here; see node/threads/threads.ts for several. */
export type Runner = {
  /** Whether columns have to lie in memory that threads share. */
  readonly shared: boolean;
  /** `tick` is told how many trees are measured, between batches. */
  run(task: MeasureTask, tick?: (done: number) => void): void;
};

/** What a rule asks for, as bits of the pieces' classes (see rules/areas.ts). */
export interface RuleAreas {
  readonly kindBits: readonly number[]; // by index into WORKS_KINDS
  readonly unknownBits: number;
  readonly sets: readonly { readonly bits: number; readonly unsurfaced: boolean }[];
}
