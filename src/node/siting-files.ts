// Files -> Siting. In: paths and options; out: where the works can stand. Terms: see model/ and docs/siting.md.
// Reads and calls `siting`: no logic of its own.

import type { Siting, SitingOptions } from '../model/index.js';
import { siting } from '../siting/index.js';
import { type AssessFilesOptions, withJobFiles } from './assess-files.js';
import { readLayer } from './read/files.js';

/** What `sitingFiles` is given: the files of a job, and what may be done with the footprint. */
export interface SitingFilesOptions extends AssessFilesOptions {
  readonly siting?: Omit<SitingOptions, 'buildable'> | undefined;
  /** The buildable ground, in place of lot and setbacks. */
  readonly buildableFile?: string | undefined;
}

/**
 * Reads the files and looks for places.
 *
 * @throws InputError as `assessFiles` and `siting` do
 * @example
 * const found = await sitingFiles({ trees: 'survey.csv', works: ['house.geojson'], lots: 'lot.geojson', crs: 'EPSG:2913',
 *   siting: { setback: 3, turnDeg: 15 } });
 * found.sitings[0]?.travelM;
 */
export async function sitingFiles({ siting: options, buildableFile, ...job }: SitingFilesOptions): Promise<Siting> {
  const buildable =
    buildableFile === undefined ? undefined : await readLayer(buildableFile, { role: 'lots', ...job.read?.lots });
  return withJobFiles(job, (read) => {
    job.onStep?.('looking for places');
    return siting(read, { ...options, buildable });
  });
}
