// Assessment -> GeoJSON files. In: a path, or a folder for one file per role; out: files, and what drawing had to say.
// Terms: role = see write/options.ts; a folder is meant when the path ends with / (or is there already and is one).

import { mkdir } from 'node:fs/promises';
import { join, sep } from 'node:path';
import type { Finding } from '../findings.js';
import type { Assessment } from '../types.js';
import { type GeoJSONOptions, geojsonText, planOf } from '../write.js';
import { guarded, writePieces } from './write-file.js';

/** What was written. */
export interface Written {
  readonly files: readonly string[];
  /** shape-approximate: known only once shapes are drawn. */
  readonly findings: readonly Finding[];
}

/**
 * Writes the annotated collection. The text is made as the disk takes it, so a large job needs no large memory; a file
 * that is there already is replaced only when the new one is complete.
 * A path that ends with `/` names a folder (made if need be): one collection per role, `zone.geojson` and so on.
 *
 * @throws InputError `output-unwritable`; and those of `geojsonText` on its options
 * @example
 * const { findings } = await writeGeoJSON('out/assessed.geojson', assessment, { units: 'us' });
 */
export async function writeGeoJSON(
  path: string,
  assessment: Assessment,
  options: GeoJSONOptions = {},
): Promise<Written> {
  if (!path.endsWith('/') && !path.endsWith(sep)) {
    return { files: [path], findings: await writePieces(path, geojsonText(assessment, options)) };
  }
  const { roles } = planOf(options);
  await guarded(path, () => mkdir(path, { recursive: true }));
  const files: string[] = [];
  const findings = new Map<string, Finding>(); // the same shape speaks up once per file
  for (const role of roles) {
    const file = join(path, `${role}.geojson`);
    const said = await writePieces(file, geojsonText(assessment, { ...options, roles: [role] }));
    for (const one of said) findings.set(`${one.layer} ${one.feature} ${one.message}`, one);
    files.push(file);
  }
  return { files, findings: [...findings.values()] };
}
