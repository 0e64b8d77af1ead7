// All work with tables of systems in one object. In: nothing; out: this object, to be registered. Terms: see table-work.ts.

import { gridFindings, withGrids } from './grids.js';
import { nearCodes, nearNames } from './near.js';
import { shiftOf } from './shift.js';
import { feetSlips } from './slip.js';
import { suspect, suspectBeside } from './suspect.js';
import type { TableWork } from './table-work.js';
import { readCrs } from './wkt/wkt.js';

export const ALL_TABLE_WORK: TableWork = {
  readCrs,
  nearCodes,
  nearNames,
  shiftOf,
  suspect,
  suspectBeside,
  feetSlips,
  withGrids,
  gridFindings,
};
