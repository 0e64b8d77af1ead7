// Reading with code that is loaded when it is first needed. In: the bytes of one file; out: a Layer. Terms: see formats.ts.

import { type FormatName, InputError, type Layer } from '../model/index.js';
import type { Unpacked } from './archive.js';
import { readLayer } from './at-once.js';
import { isArchive } from './foreign.js';
import { formatOf, type Reader, tellFormat } from './formats.js';
import type { ReadOptions } from './options.js';
import { headText } from './text.js';

const LOADERS: Readonly<Partial<Record<FormatName, () => Promise<Reader>>>> = {
  shapefile: async () => {
    const { readShapefile } = await import('./shapefile.js');
    return (bytes, options) => readShapefile({ shp: bytes }, options);
  },
  kml: async () => (await import('./xml-formats.js')).readKml,
  landxml: async () => (await import('./xml-formats.js')).readLandXml,
  notes: async () => (await import('./notes.js')).readNotesLayer,
  dxf: async () => (await import('./dxf.js')).readDxf,
};

/**
 * Reads one file from its bytes as `readLayer` does, every format of the core; formats that need much code are loaded when
 * first used. A zip is opened: its
 * one layer is read, or the one that `layer` names (zips beyond 4 GiB, damaged ones and `salvage`: `rootberth/node`).
 *
 * @throws InputError as `readLayer`, and `zip-broken`, `zip-caps`, `zip-encrypted`, `zip-empty`, `zip-several`, `zip-layer`
 * @example
 * const layer = await readLayerAsync(bytes, { name: 'site.kml' });
 */
export async function readLayerAsync(bytes: Uint8Array, options: ReadOptions): Promise<Layer> {
  if (options.format !== 'xlsx' && isArchive(bytes, headText(bytes), options.name)) return readPacked(bytes, options);
  const load = LOADERS[formatOf(bytes, options)];
  return load === undefined ? readLayer(bytes, options) : (await load())(bytes, options);
}

/** The layer of an archive keeps the archive's name. */
async function readPacked(bytes: Uint8Array, { layer, ...options }: ReadOptions): Promise<Layer> {
  const { name, parts, within } = await unpacked(bytes, options.name, layer);
  const shp = parts.get('shp');
  if (shp !== undefined) {
    const { readShapefile } = await import('./shapefile.js');
    return readShapefile({ ...Object.fromEntries(parts), shp }, options);
  }
  const [content = new Uint8Array()] = [...parts.values()];
  const format = tellFormat(content, name);
  return readLayerAsync(content, { format, ...options, ...(within === undefined ? {} : { layer: within }) });
}

/** Formats that hold layers of their own: the name that no file of the archive has may be one of those. */
const LAYERED = ['kml', 'dxf'];

/** The one file of an archive; `within` is the layer's name where it is to be looked for inside that. */
async function unpacked(
  bytes: Uint8Array,
  archive: string,
  layer: string | undefined,
): Promise<Unpacked & { readonly within?: string }> {
  const { unpack } = await import('./archive.js');
  try {
    return await unpack(bytes, archive, layer);
  } catch (error) {
    if (layer === undefined || !(error instanceof InputError) || error.code !== 'zip-layer') throw error;
    const only = await unpack(bytes, archive).catch(() => {
      throw error;
    });
    if (![...only.parts.keys()].some((part) => LAYERED.includes(part))) throw error;
    return { ...only, within: layer };
  }
}
