// Shift grid files -> ShiftGrid. In: a path, or NAD27=path; out: the grid, by name and hash. Terms: see crs/grid.ts.
// NTv2 (.gsb) is read by the core; GeoTIFF by the `geotiff` package that proj4 brings, in PROJ's convention for grids:
// bands latitude_offset and longitude_offset, nodes at the middles of pixels, one image per subgrid.

import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import { basename } from 'node:path';
import { type GridPart, readNtv2, shiftGrid } from '../../crs/index.js';
import type { ShiftGrid } from '../../model/index.js';
import { InputError } from '../../model/index.js';
import { readOne } from './files.js';

/** What is used of an image of a GeoTIFF. */
interface Image {
  getWidth(): number;
  getHeight(): number;
  getSamplesPerPixel(): number;
  getGeoKeys(): Partial<Record<string, unknown>> | null;
  getOrigin(): readonly number[];
  getResolution(): readonly number[];
  getGDALMetadata(sample?: number | null): Promise<Record<string, unknown> | null>;
  readRasters(): Promise<unknown>;
}

/**
 * Reads a grid: `conus.gsb`, or `NAD27=conus.gsb` where the grid does not say (or misnames) the datum it is for.
 *
 * @throws InputError `grid-unreadable`, and those of reading files
 * @example
 * const grid = await readGrid('NAD27=shifts.gsb');
 */
export async function readGrid(text: string): Promise<ShiftGrid> {
  const at = existsSync(text) ? -1 : text.indexOf('=');
  const path = text.slice(at + 1);
  const name = basename(path);
  const bytes = await readOne(path, name);
  const sha256 = createHash('sha256').update(bytes).digest('hex');
  const about = { sha256, ...(at > 0 ? { source: text.slice(0, at) } : {}) };
  return isTiff(bytes) ? readTiff(bytes, name, about) : readNtv2(bytes, name, about);
}

function isTiff(bytes: Uint8Array): boolean {
  const mark = String.fromCharCode(...bytes.subarray(0, 4));
  return mark === 'II*\0' || mark === 'MM\0*' || mark === 'II+\0' || mark === 'MM\0+';
}

async function readTiff(
  bytes: Uint8Array,
  name: string,
  about: { readonly source?: string; readonly sha256: string },
): Promise<ShiftGrid> {
  const fail = (message: string): InputError =>
    new InputError('grid-unreadable', `${name}: ${message}`, {
      layer: name,
      cure: 'give an NTv2 grid (.gsb) or a GeoTIFF shift grid (.tif), complete and unchanged, as its publisher provides it',
    });
  const { fromArrayBuffer } = await import('geotiff');
  try {
    const tiff = await fromArrayBuffer(
      bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length) as ArrayBuffer,
    );
    const count = await tiff.getImageCount();
    const parts: GridPart[] = [];
    let source = about.source ?? '';
    let target = '';
    for (let i = 0; i < count; i++) {
      const image = (await tiff.getImage(i)) as unknown as Image;
      const keys = image.getGeoKeys();
      const meta = await image.getGDALMetadata(null);
      const code = keys?.GeodeticCRSGeoKey ?? keys?.GeographicTypeGeoKey;
      if (source === '' && code !== undefined) source = `EPSG:${String(code)}`;
      if (target === '' && meta?.target_crs_epsg_code !== undefined)
        target = `EPSG:${String(meta.target_crs_epsg_code)}`;
      parts.push(await partOf(image, keys?.GTRasterTypeGeoKey === 2, fail));
    }
    return shiftGrid({ name, source, target, sha256: about.sha256 }, parts);
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw fail(`it can't be read as GeoTIFF (${error instanceof Error ? error.message : String(error)})`);
  }
}

const SECONDS_IN: Readonly<Record<string, number>> = { 'arc-second': 1, degree: 3600, radian: (180 * 3600) / Math.PI };

async function partOf(image: Image, atPoint: boolean, fail: (message: string) => InputError): Promise<GridPart> {
  const columns = image.getWidth();
  const rows = image.getHeight();
  const rasters = (await image.readRasters()) as readonly ArrayLike<number>[];
  const bands = await bandsOf(image);
  const latBand = bands.get('latitude_offset');
  const lonBand = bands.get('longitude_offset');
  if (latBand === undefined || lonBand === undefined || columns < 2 || rows < 2)
    throw fail('it has no bands latitude_offset and longitude_offset: it is not a horizontal shift grid');
  const [west = Number.NaN, north = Number.NaN] = image.getOrigin();
  const [stepLon = Number.NaN, down = Number.NaN] = image.getResolution();
  const stepLat = Math.abs(down);
  const half = atPoint ? 0 : 0.5;
  const upwards = (band: Band | undefined): Float32Array | null => {
    const raster = band === undefined ? undefined : rasters[band.sample];
    if (band === undefined || raster === undefined) return null;
    const out = new Float32Array(columns * rows);
    for (let r = 0; r < rows; r++)
      for (let c = 0; c < columns; c++) out[(rows - 1 - r) * columns + c] = raster[r * columns + c]! * band.per;
    return out;
  };
  const lonShift = upwards(lonBand);
  const latShift = upwards(latBand);
  if (lonShift === null || latShift === null || !(stepLon > 0 && stepLat > 0))
    throw fail('its bands or mesh are missing');
  const lonAccuracy = upwards(bands.get('longitude_offset_accuracy'));
  const latAccuracy = upwards(bands.get('latitude_offset_accuracy'));
  return {
    west: west + half * stepLon,
    south: north - half * stepLat - (rows - 1) * stepLat,
    stepLon,
    stepLat,
    columns,
    rows,
    lonShift,
    latShift,
    accuracyM: latAccuracy?.map((value, i) => Math.max(value, lonAccuracy?.[i] ?? value)) ?? null,
  };
}

interface Band {
  readonly sample: number;
  readonly per: number; // arc seconds (or metres, for accuracies) in one of its values, east and north positive
}

async function bandsOf(image: Image): Promise<Map<string, Band>> {
  const bands = new Map<string, Band>();
  for (let sample = 0; sample < image.getSamplesPerPixel(); sample++) {
    const meta = await image.getGDALMetadata(sample);
    const name = String(meta?.DESCRIPTION ?? ['latitude_offset', 'longitude_offset'][sample] ?? `band ${sample}`);
    const unit = String(meta?.UNITTYPE ?? 'arc-second');
    const turn = String(meta?.positive_value ?? 'east') === 'west' ? -1 : 1;
    bands.set(name, { sample, per: name.endsWith('_offset') ? (SECONDS_IN[unit] ?? Number.NaN) * turn : 1 });
  }
  return bands;
}
