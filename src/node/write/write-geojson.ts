// Assessment -> GeoJSON files. In: a path, or a folder for one file per role; out: files, and the findings of drawing.
// Terms: see write-assessment.ts, which does the work for every format.

import type { Assessment } from '../../model/index.js';
import type { GeoJSONOptions } from '../../write/index.js';
import { type Written, writeAssessment } from './write-assessment.js';

/**
 * Writes the annotated collection, whatever the file's name ends in. The text is made as the disk takes it, so a large job
 * needs no large memory; an existing file is replaced only when the new one is complete.
 * A path that ends with `/` names a folder (made if need be): one collection per role, `zone.geojson` and so on.
 *
 * @throws InputError `output-unwritable`; and those of `geojsonText` on its options
 * @example
 * const { findings } = await writeGeoJSON('out/assessed.geojson', assessment, { units: 'us' });
 */
export function writeGeoJSON(path: string, assessment: Assessment, options: GeoJSONOptions = {}): Promise<Written> {
  return writeAssessment(path, assessment, { ...options, format: 'geojson' });
}
