// What a split is asked for. In: nothing; out: a type. Terms: see manifest.ts.

import type { WriteOptions } from '../write/write-assessment.js';
import type { OutputFiles } from './manifest.js';

/** What `splitJob` is given beside the job. */
export interface SplitOptions extends Pick<WriteOptions, 'units' | 'prefix' | 'roles' | 'outCrs'> {
  /** How many tiles, or how many trees a tile holds (on average); one of the two. */
  readonly tiles?: number | undefined;
  readonly treesPerTile?: number | undefined;
  /** What the merge will write: tiles make rows of the schedule only where one is named. */
  readonly files?: OutputFiles | undefined;
}
