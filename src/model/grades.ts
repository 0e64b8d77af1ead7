// Grade change: what two surfaces of the ground give an assessment. In: nothing; out: types.
// Terms: see grade-result.ts.

import type { CrsTransform, Frame } from './crs.js';
import type { Finding } from './findings.js';
import type { GradeDepths, GradesResult } from './grade-result.js';
import type { Layer } from './layer.js';
import type { StopSignal } from './result.js';
import type { LotTable, TreeTable, WorksTable, ZoneShapes, ZoneTable } from './tables.js';

/** A triangulated surface. Its layer has the native coordinates of its points, its file and its system. */
export interface Surface {
  readonly layer: Layer;
  readonly xy: Float64Array; // 2 per point, native
  readonly z: Float64Array; // metres
  readonly faces: Uint32Array; // 3 per face
  readonly findings: readonly Finding[];
}

/** The ground that is measured. */
export interface GradeGround {
  readonly trees: TreeTable;
  readonly treeLonLat: Float64Array;
  readonly zones: ZoneTable;
  readonly zoneShapes: ZoneShapes;
  readonly works: WorksTable;
  readonly worksLonLat: Float64Array;
  readonly lots: LotTable | null;
  readonly lotsLonLat: Float64Array;
  readonly signal?: StopSignal | undefined;
  frameAt(lon: number, lat: number): Frame;
}

/** The change between two surfaces. */
export interface GradeChange {
  /** One polygon per piece of ground, in the system of the existing surface: kind, depth_m. */
  readonly works: Layer;
  readonly findings: readonly Finding[];
  measure(ground: GradeGround): { readonly result: GradesResult; readonly findings: readonly Finding[] };
}

/** Two surfaces, and how their difference is found: made by `gradesOf`, so that a page without grades loads none of this. */
export interface Grades {
  readonly existing: Layer;
  readonly proposed: Layer;
  change(given: {
    readonly existing: CrsTransform;
    readonly proposed: CrsTransform;
    readonly depths: GradeDepths;
    readonly signal?: StopSignal | undefined;
  }): GradeChange;
}
