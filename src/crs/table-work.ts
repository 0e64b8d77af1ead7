// What makes sense with tables of systems only: reading texts that state one, telling neighbouring zones and mixed-up feet,
// datum shifts, grids. In: nothing; out: that work, once it is registered. Terms: see crs-registry.ts. Node registers it automatically; a web page gets it with its
// first table (rootberth/crs/*), so that one whose layers are all in longitude, latitude does not load it.

import type { Crs, Finding, Layer, ShiftGrid } from '../model/index.js';
import { tableMissing } from './crs-registry.js';
import type { DatumShift } from './datum.js';
import type { Projection } from './projection.js';
import type { AssignedLayer, ReadCrs } from './stated.js';

export interface TableWork {
  /** The system of a text (see wkt.ts), for a layer where there is one. */
  readCrs(text: string, layerName: string, layer?: Layer): ReadCrs;
  /** Where a layer's positions make sense in another unit or zone (see suspect.ts). */
  suspect(layer: Layer, crs: Crs): Finding | null;
  /** The same for one that would lie with another in a zone beside its own, by what `isNear` says of that zone. */
  suspectBeside(layer: Layer, crs: Crs, isNear: (zone: Crs) => boolean, why: string): Finding | null;
  /** Suggestions for a code or a name that no table has (see near.ts). */
  nearCodes(number: number): string;
  nearNames(text: string): string;
  /** The way to WGS 84 of a system on another datum (see datum.ts). */
  shiftOf(crs: Crs, p: Projection): DatumShift | null;
  /** Where two layers in feet look mixed up (see slip.ts). */
  feetSlips(layers: readonly AssignedLayer[]): readonly Finding[];
  /** A system that uses the grids made for its datum; findings about their use (see grids.ts). */
  withGrids(crs: Crs, grids: readonly ShiftGrid[], layer: Layer): Crs;
  gridFindings(layers: readonly AssignedLayer[], grids: readonly ShiftGrid[]): readonly Finding[];
}

let work: TableWork | null = null;

export function useTableWork(given: TableWork): void {
  work = given;
}

/**
 * @param what asked for
 * @throws InputError `crs-table-missing` before the first table
 */
export function tableWork(what: string, layerName?: string): TableWork {
  if (work === null) throw tableMissing(what, layerName);
  return work;
}

/** The same where it may be missing: a system outside the tables has no known neighbours. */
export function tableWorkIfAny(): TableWork | null {
  return work;
}
