// Files that `assess` wrote -> layers to compare. In: a path, or - for standard input; out: layers, and what the file or its
// sidecar says of how it was made. Terms: sidecar = `F.rootberth.json` beside a file whose format has no place for that.

import { readFile } from 'node:fs/promises';
import { basename, extname } from 'node:path';
import { type AssessedLayers, assessedLayers } from '../compare/index.js';
import { InputError, type Layer } from '../model/index.js';
import { readLayer } from './read/files.js';
import { readBytes, readGeoPackageProvenance } from './read/index.js';

/** Tables of a GeoPackage that are compared, or tell labels, zones and the plan. */
const TABLES = ['lot', 'existing', 'works', 'zone', 'overlap', 'severed', 'tree'] as const;

/** Formats whose outputs hold every role under its own names. */
const READ: Readonly<Record<string, (path: string, name: string) => Promise<AssessedLayers>>> = {
  '.geojson': readCollection,
  '.json': readCollection,
  '.gpkg': readTables,
  '.ndjson': readOne,
  '.geojsonl': readOne,
  '.geojsons': readOne,
  '.jsonl': readOne,
  '.fgb': readOne,
};

/**
 * Reads an output of `assess` for `compareAssessed`: .geojson, .gpkg, .ndjson and .fgb; - is GeoJSON on standard input.
 *
 * @throws InputError `compare-format` for a format that holds its roles otherwise, and those of `readLayer`
 * @example
 * const compared = compareAssessed(await readAssessed('before.geojson'), await readAssessed('after.gpkg'));
 */
export async function readAssessed(
  path: string,
  options: { readonly stdin?: AsyncIterable<Uint8Array | string> | undefined } = {},
): Promise<AssessedLayers> {
  if (path === '-') return assessedLayers(await readBytes(path, 'stdin', options.stdin), 'stdin');
  const read = READ[extname(path).toLowerCase()];
  if (read !== undefined) return read(path, basename(path));
  throw new InputError('compare-format', `${basename(path)}: outputs of this format can't be compared`, {
    layer: basename(path),
    cure: 'write them with --out F.geojson (or .gpkg, .ndjson, .fgb): shapefiles cut names short, tables and drawings hold less',
  });
}

async function readCollection(path: string, name: string): Promise<AssessedLayers> {
  return assessedLayers(await readBytes(path, name), name);
}

async function readTables(path: string, name: string): Promise<AssessedLayers> {
  const layers: Layer[] = [];
  for (const layer of TABLES) {
    try {
      layers.push(await readLayer(path, { layer, name }));
    } catch (error) {
      // roles that were not written; any other fault is told
      if (!(error instanceof InputError) || error.code !== 'layer-missing') throw error;
    }
  }
  return { name, layers, provenance: await readGeoPackageProvenance(path, name) };
}

async function readOne(path: string, name: string): Promise<AssessedLayers> {
  return { name, layers: [await readLayer(path, { name })], provenance: await sidecarOf(path) };
}

/** What stands beside the file; undefined where nothing does. */
async function sidecarOf(path: string): Promise<unknown> {
  try {
    return JSON.parse(await readFile(`${path}.rootberth.json`, 'utf8'));
  } catch {
    return undefined; // a finding says that it is not known
  }
}
