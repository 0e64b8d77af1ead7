// Styles beside an output: SLD 1.1 for desktop tools and map servers, a MapLibre style for web maps. In: a folder, the output
// they are for, an assessment and how it is written; out: two files named after the output. Terms: see style/.

import { mkdir } from 'node:fs/promises';
import { basename, join, relative, resolve, sep } from 'node:path';
import { type Assessment, InputError, treeViews } from '../../model/index.js';
import { isTable } from '../../postgis/index.js';
import { toMapLibre, toSld } from '../../style/index.js';
import { planOf } from '../../write/index.js';
import { outputSystem, type WriteOptions, type Written } from './write-assessment.js';
import { guarded, writePieces } from './write-file.js';

/** The files that `writeStyles` writes into a folder for an output: known before anything is. */
export function styleFiles(dir: string, out: string): { readonly sld: string; readonly mapLibre: string } {
  const name = nameOf(out);
  return { sld: join(dir, `${name}.sld`), mapLibre: join(dir, `${name}.style.json`) };
}

/**
 * Writes the styles of an output: `NAME.sld`, with a NamedLayer for each role that is written, and `NAME.style.json`, a
 * MapLibre style whose source is the GeoJSON of that name. NAME is the output's without its ending. A web map shows
 * longitude and latitude alone: of an output in a plane system only the SLD is written.
 *
 * @throws InputError `output-unwritable`; and those of `toGeoJSON` on its options
 * @example
 * const { files } = await writeStyles('styles', 'out/assessed.geojson', assessment, { units: 'us' });
 */
export async function writeStyles(
  dir: string,
  out: string,
  assessment: Assessment,
  options: WriteOptions = {},
): Promise<Written> {
  const output = outputSystem(options);
  const plan = planOf({ ...options, ...(output === null ? {} : { output }) }, assessment);
  const { roles, prefix, stamp } = plan;
  const { sld, mapLibre } = styleFiles(dir, out);
  await guarded(dir, () => mkdir(dir, { recursive: true }));
  await writePieces(sld, whole(toSld(roles, prefix)));
  if (plan.output !== null) return { files: [sld], findings: [] };
  const source = nameOf(out);
  const style = toMapLibre({
    roles,
    prefix,
    source,
    data: addressOf(dir, out, source),
    title: stamp === undefined ? source : `${source}: ${stamp}`,
    box: boxOf(assessment),
  });
  await writePieces(mapLibre, whole(`${JSON.stringify(style, null, 2)}\n`));
  return { files: [sld, mapLibre], findings: [] };
}

/** `out/assessed.geojson` -> `assessed`; a folder's own name; `postgis:plan.a` -> `plan.a`; standard output -> `assessed`. */
function nameOf(out: string): string {
  if (out === '-') return 'assessed';
  if (isTable(out)) return out.slice(out.indexOf(':') + 1);
  const name = basename(resolve(out));
  return /[\\/]$/.test(out) ? name : name.replace(/(.)\.[^.]+$/, '$1');
}

/** Where the GeoJSON is, as seen from the folder; of an output in another format, the file that would hold it. */
function addressOf(dir: string, out: string, name: string): string {
  const isGeoJson = /\.(geo)?json$/i.test(out);
  const file = isGeoJson ? out : join(out === '-' || isTable(out) ? dir : join(resolve(out), '..'), `${name}.geojson`);
  return relative(resolve(dir), resolve(file)).split(sep).map(encodeURIComponent).join('/');
}

/** The box of all trees; null where none stands anywhere, or they lie on both sides of the antimeridian. */
function boxOf(assessment: Assessment): readonly [number, number, number, number] | null {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const { lon, lat } of treeViews(assessment)) {
    if (lon === null || lat === null) continue;
    [west, east] = [Math.min(west, lon), Math.max(east, lon)];
    [south, north] = [Math.min(south, lat), Math.max(north, lat)];
  }
  return west <= east && east - west < 180 ? [west, south, east, north] : null;
}

/**
 * Checks what can be checked of a folder's name before anything is read.
 *
 * @throws InputError `style-folder` (usage) for standard output
 */
export function checkStyleFolder(dir: string): void {
  if (dir !== '-' && !isTable(dir)) return;
  throw new InputError('style-folder', `--style ${dir} is no folder: styles are two files`, {
    cure: 'name a folder, such as --style styles',
    usage: true,
  });
}

function* whole(text: string): Generator<string, void, undefined> {
  yield text;
}
