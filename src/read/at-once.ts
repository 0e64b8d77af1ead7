// Reading without waiting: the formats whose code is small. In: the bytes of one file; out: a Layer.
// Terms: see formats.ts. Apart from on-demand.ts so that a page that reads GeoJSON alone has no code that loads other code.

import type { FormatName, Layer } from '../model/index.js';
import { InputError } from '../model/index.js';
import { FORMATS, formatOf } from './formats.js';
import type { ReadOptions } from './options.js';

/**
 * Reads one file from its bytes: GeoJSON, CSV, survey points. DXF, KML, LandXML, field notes and a lone `.shp` need `readLayerAsync`;
 * zips, GeoPackage, FlatGeobuf and workbooks `rootberth/node`; the companions of a shapefile `readShapefile`.
 *
 * @param options `name` is the file's name without folders
 * @returns the layer; coordinates in the source's own system and unit
 * @throws InputError `file-empty`, `file-kind` (web page, UTF-16, a format read elsewhere, ...), `format-unknown`,
 *   `option-format` (an option that is for another format), and those of the format's reader
 * @example
 * const layer = readLayer(new TextEncoder().encode('tag,x,y\nT1,7650000,680000\n'), { name: 'trees.csv' });
 * layer.count; // 1
 */
export function readLayer(bytes: Uint8Array, options: ReadOptions): Layer {
  const name = formatOf(bytes, options);
  const { read } = FORMATS[name];
  if (typeof read === 'function') return read(bytes, options);
  throw new InputError('file-kind', `${options.name} is ${ELSEWHERE[name] ?? name}, which is not read here`, {
    layer: options.name,
    cure: read === 'in Node' ? 'read it with readLayer of rootberth/node' : 'read it with readLayerAsync',
  });
}

/** Names of the kinds of files that `readLayer` of the core does not read. */
const ELSEWHERE: Readonly<Partial<Record<FormatName, string>>> = {
  shapefile: 'a part of a shapefile',
  dxf: 'a drawing (DXF)',
  kml: 'XML (KML)',
  notes: 'a file of field notes',
  landxml: 'XML (LandXML)',
  geopackage: 'a database (GeoPackage)',
  flatgeobuf: 'a FlatGeobuf file',
  xlsx: 'an Excel workbook',
  postgis: 'a table of a database',
};
