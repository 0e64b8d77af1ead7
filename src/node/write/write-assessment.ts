// Assessment -> files of any format. In: a path, or a folder for one file per role, and what to write; out: files, and the
// findings of writing. Terms: role = see write/options.ts; sidecar = see write/format.ts; a folder is meant when the path
// ends with /. A new format is one file in write/ and one row here.

import '../crs.js';

import { mkdir } from 'node:fs/promises';
import { extname, join, sep } from 'node:path';
import { findCrs, transformFor } from '../../crs/index.js';
import type { Assessment } from '../../model/index.js';
import { type Finding, InputError } from '../../model/index.js';
import type { Database } from '../../postgis/index.js';
import { isTable } from '../../postgis/index.js';
import { checkOnly, type GeoJSONOptions, planOf, provenance, shownTrees } from '../../write/index.js';
import { csv } from './csv.js';
import { dxf } from './dxf.js';
import { type DxfLayerNames, layerNames } from './dxf-layers.js';
import { flatgeobuf } from './flatgeobuf.js';
import { epsgOf, OUT_FORMATS, type OutFormat, type OutputFormat, systemOf, type Writing } from './format.js';
import { geojson, ndjson } from './geojson.js';
import { geopackage } from './geopackage.js';
import { geoparquet } from './geoparquet.js';
import { shapefile } from './shapefile.js';
import { guarded, writePieces } from './write-file.js';
import { type WriteWatch, watched } from './write-progress.js';
import { xlsx } from './xlsx.js';

const FORMATS: Readonly<Record<OutFormat, OutputFormat>> = {
  geojson,
  ndjson,
  geopackage,
  shapefile,
  flatgeobuf,
  geoparquet,
  csv,
  dxf,
  xlsx,
};

/** What was written. */
export interface Written {
  readonly files: readonly string[];
  /** Known only once things are drawn or written: shape-approximate, text-truncated, output-unplaced. */
  readonly findings: readonly Finding[];
}

/** Options of `writeAssessment`. */
export interface WriteOptions extends GeoJSONOptions, WriteWatch {
  /** Default: by the file's extension; GeoJSON for a folder and for a name without one. */
  readonly format?: OutFormat | undefined;
  /** Coordinate system of the output: 'EPSG:2913'. Default lon/lat on WGS 84; a drawing has the survey's own. */
  readonly outCrs?: string | undefined;
  /** Of tables (`postgis:SCHEMA.NAME`): where the database is; default: what the variables PGHOST and so on say. */
  readonly database?: Database | undefined;
  /** Of tables: false leaves the geometry column out. */
  readonly geometry?: boolean | undefined;
  /** Of a drawing (DXF): own names for its layers, by ours: `{ "TREES-KEEP": "OUR-TREES" }`. See docs/formats.md. */
  readonly dxfLayers?: DxfLayerNames | undefined;
}

/**
 * Writes an assessment. An existing file is replaced only when the new one is complete. A path that ends with
 * `/` names a folder (made if need be): one file per role, `zone.gpkg` and so on. `postgis:SCHEMA.NAME` names tables of a
 * database, one per role, which replace those of an earlier run in one transaction.
 *
 * @throws InputError `output-unwritable`, `format-unknown`, `format-one-role`, `format-needs-plane`, `format-too-large`,
 *   `peer-missing`, `dxf-layers-invalid`; and those of `toGeoJSON` on its options and of `findCrs`
 * @example
 * const { files } = await writeAssessment('out/assessed.gpkg', assessment, { units: 'us', outCrs: 'EPSG:2913' });
 */
export async function writeAssessment(
  path: string,
  assessment: Assessment,
  options: WriteOptions = {},
): Promise<Written> {
  if (isTable(path)) return intoTables(path, assessment, options);
  const format = FORMATS[formatOf(path, options.format)];
  const output = outputOf(options) ?? format.system?.(assessment);
  const plain: WriteOptions = output === undefined ? options : { ...options, output };
  return isFolder(path) ? intoFolder(path, assessment, format, plain) : intoFile(path, assessment, format, plain);
}

/** The format a path and an option ask for; throws InputError (usage) where they name an unknown format. */
export function formatOf(path: string, asked?: string): OutFormat {
  if (asked !== undefined) {
    const found = OUT_FORMATS.find((name) => name === asked.toLowerCase() || extensionsOf(name).includes(asked));
    if (found !== undefined) return found;
    throw unknownFormat(`output format "${asked}" is not known`);
  }
  const extension = path === '-' ? '' : extname(path).slice(1).toLowerCase();
  if (isFolder(path) || extension === '') return 'geojson';
  const found = OUT_FORMATS.find((name) => extensionsOf(name).includes(extension));
  if (found !== undefined) return found;
  if (extension === 'shp') {
    throw new InputError('format-unknown', 'a shapefile is several files', {
      cure: 'write them in a zip: end the name in .zip',
      usage: true,
    });
  }
  throw unknownFormat(`no output format ends in .${extension}`);
}

/** Formats, extensions and what they are: for help texts and messages. */
export function formatList(): {
  readonly name: OutFormat;
  readonly extensions: readonly string[];
  readonly title: string;
}[] {
  return OUT_FORMATS.map((name) => ({ name, extensions: FORMATS[name].extensions, title: FORMATS[name].title }));
}

/**
 * The text of an assessment for a pipe, in the formats that are text: GeoJSON, one feature a line, CSV. What goes to a
 * sidecar beside a file is left out: `--findings` writes it.
 *
 * @throws InputError (usage) `format-not-text` for the other formats
 */
export function assessmentPieces(
  assessment: Assessment,
  options: WriteOptions = {},
): Generator<string, readonly Finding[], undefined> {
  const name = options.format ?? 'geojson';
  const format = FORMATS[name];
  const writing = writingOf('-', assessment, options.roles ?? format.roles, withOutput(options));
  format.check?.(writing);
  if (format.pieces !== undefined) return format.pieces(writing);
  throw notText(name);
}

/** Checks what can be checked before anything is read: format, output system, roles, prefix, units. */
export function checkWriteOptions(path: string, options: WriteOptions): void {
  planOf(withOutput(options));
  layerNames(options.dxfLayers);
  checkOnly(options.only ?? []);
  if (isTable(path)) return;
  const name = path === '-' ? (options.format ?? 'geojson') : formatOf(path, options.format);
  if (path === '-' && FORMATS[name].pieces === undefined) throw notText(name);
}

function notText(name: OutFormat): InputError {
  return new InputError('format-not-text', `${name} can't go to standard output`, {
    cure: 'name a file with --out',
    usage: true,
  });
}

function withOutput(options: WriteOptions): WriteOptions {
  const output = outputOf(options);
  return { ...options, ...(output === undefined ? {} : { output }) };
}

/** The system that `outCrs` or `output` asks for; null for none. */
export function outputSystem(options: WriteOptions): NonNullable<GeoJSONOptions['output']> | null {
  return outputOf(options) ?? null;
}

function outputOf({ output, outCrs }: WriteOptions): GeoJSONOptions['output'] {
  if (outCrs === undefined) return output;
  const crs = findCrs(outCrs);
  if (crs.kind !== 'local') return { crs, toOutput: transformFor(crs).fromLonLat };
  throw new InputError('crs-local', `${crs.code} has no place on the earth, so the output cannot be written in it`, {
    cure: 'name a system such as EPSG:2913; a survey in a local ground system is written in that system by default',
    usage: true,
  });
}

function extensionsOf(name: OutFormat): readonly string[] {
  return FORMATS[name].extensions;
}

function unknownFormat(message: string): InputError {
  const list = formatList().map(({ name, extensions }) => `${name} (.${extensions.join(', .')})`);
  return new InputError('format-unknown', message, {
    cure: `choose from ${list.join(', ')}, by the file's ending or with --out-format`,
    usage: true,
  });
}

function isFolder(path: string): boolean {
  return path.endsWith('/') || path.endsWith(sep);
}

async function intoTables(path: string, assessment: Assessment, options: WriteOptions): Promise<Written> {
  const { writeTables } = await import('../../postgis/index.js');
  const { assessment: seen, plan } = writingOf(path, assessment, options.roles ?? null, withOutput(options));
  const { database, geometry } = options;
  const crs = systemOf(plan);
  return writeTables(path, seen, { database, geometry, plan, crs, epsg: epsgOf(crs) });
}

async function intoFile(
  path: string,
  assessment: Assessment,
  format: OutputFormat,
  options: WriteOptions,
): Promise<Written> {
  const writing = writingOf(path, assessment, options.roles === undefined ? format.roles : options.roles, options);
  format.check?.(writing);
  const findings = await format.write(path, writing);
  if (!format.sidecar) return { files: [path], findings };
  const sidecar = `${path}.rootberth.json`;
  await writePieces(sidecar, sidecarPieces(writing));
  return { files: [path, sidecar], findings };
}

async function intoFolder(
  path: string,
  assessment: Assessment,
  format: OutputFormat,
  options: WriteOptions,
): Promise<Written> {
  const whole = writingOf(path, assessment, options.roles ?? null, options);
  // A workbook has its one role; every other format has a file for each that is asked for.
  const roles = format === xlsx ? (['tree'] as const) : whole.plan.roles;
  const writings = roles.map((role) => writingOf(join(path, role), assessment, [role], options));
  for (const writing of writings) format.check?.(writing);
  await guarded(path, () => mkdir(path, { recursive: true }));
  const files: string[] = [];
  const findings = new Map<string, Finding>(); // the same finding may come once per file
  for (const writing of writings) {
    const name = format === xlsx ? 'schedule' : writing.plan.roles[0]!;
    const file = join(path, `${name}.${format.extensions[0]}`);
    for (const one of await format.write(file, writing)) {
      findings.set(`${one.layer} ${one.feature} ${one.message}`, one);
    }
    files.push(file);
  }
  if (format.sidecar) {
    const sidecar = join(path, 'rootberth.json');
    await writePieces(sidecar, sidecarPieces(whole));
    files.push(sidecar);
  }
  return { files, findings: [...findings.values()] };
}

function writingOf(
  path: string,
  assessment: Assessment,
  roles: readonly string[] | null,
  { onProgress, signal, dxfLayers, ...options }: WriteOptions,
): Writing {
  // The default of roles depends on the job: see planOf. What is shown is settled here, once for all formats.
  const { only, ...asked }: GeoJSONOptions = { ...options, roles: roles ?? undefined };
  const plan = planOf(asked, assessment);
  const shown = shownTrees(assessment, { only, figures: asked.figures, units: asked.units, prefix: asked.prefix });
  return { assessment: watched(shown, path, plan.roles, { onProgress, signal }), options: asked, plan, dxfLayers };
}

function* sidecarPieces({ assessment, plan }: Writing): Generator<string, void, undefined> {
  yield* provenance(assessment, plan);
  yield '\n';
}
