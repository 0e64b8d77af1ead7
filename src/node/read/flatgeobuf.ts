// FlatGeobuf -> Layer. In: bytes, and a box to filter by; out: its features (those whose box meets the given one).
// Terms: index = see flatgeobuf-index.ts; files without one are read whole.
// flatgeobuf is an optional peer, loaded when the first such file is read.

import type { HeaderMeta } from 'flatgeobuf/lib/mjs/header-meta.js';
import type { CrsStatement, GeometryKind, Layer } from '../../model/index.js';
import { finding, InputError, LayerBuilder } from '../../model/index.js';
import type { ReadOptions } from '../../read/index.js';
import { type Box, base64, outsideBox, peer } from '../../read/index.js';
import { chosenBytes, type Layout, layoutOf } from './flatgeobuf-index.js';

type Library = typeof import('flatgeobuf');
type Header = HeaderMeta;
type Columns = NonNullable<Header['columns']>;
type Feature = InstanceType<Library['Feature']>;
type Geometry = InstanceType<Library['Geometry']>;

/**
 * Reads a FlatGeobuf file.
 *
 * @param options `bbox` keeps the features whose box meets it, found by the index where the file has one
 * @throws InputError `peer-missing`, `flatgeobuf-broken` (also when it is cut off)
 * @example
 * const layer = await readFlatGeobuf(bytes, { name: 'trees.fgb', bbox: [7649000, 679000, 7651000, 681000] });
 */
export async function readFlatGeobuf(bytes: Uint8Array, options: ReadOptions): Promise<Layer> {
  const source = { size: bytes.length, at: (from: number, length: number) => bytes.subarray(from, from + length) };
  const layout = inWords(options.name, () => layoutOf(source));
  const total = checkFeatures(bytes, layout, options.name);
  if (options.bbox === undefined || layout.nodeSize === 0) return layerOf(bytes, total, options);
  const { bbox } = options;
  return layerOf(
    inWords(options.name, () => chosenBytes(source, layout, bbox)),
    total,
    options,
  );
}

/** The features of a file's bytes; `total` is how many there were before some were chosen. */
export async function layerOf(bytes: Uint8Array, total: number, options: ReadOptions): Promise<Layer> {
  const library = await peer('flatgeobuf', 'FlatGeobuf', options.name, () => import('flatgeobuf'));
  const into = new LayerBuilder(options.name, 'flatgeobuf');
  let header: Header | undefined;
  let read = 0;
  const expected = (): number => header?.featuresCount ?? 0;
  try {
    const features = library.generic.deserialize(bytes, {
      headerMetaFn: (meta: Header) => {
        header = meta;
      },
      // The features are added as they come; what the library passes on is not used.
      fromFeature: (_id, feature) => {
        read++;
        addFeature(feature, header!, options.bbox, into);
        return {};
      },
    });
    for await (const _ of features) if (options.bbox === undefined && read === expected() && read > 0) break;
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw broken(options.name, error instanceof Error ? error.message : String(error));
  }
  if (options.bbox === undefined && read < expected()) {
    throw broken(options.name, `it ends after ${read} of ${expected()} features`);
  }
  if (options.bbox !== undefined) into.findings.push(...outsideBox(options.name, options.bbox, into.count, total));
  return into.finish({ crs: crsOf(header), sha256: options.sha256 ?? null });
}

/** How many features there are, where all lie wholly in the file: the library loops for ever in a header that is cut off. */
function checkFeatures(bytes: Uint8Array, { dataStart, count }: Layout, layer: string): number {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let features = 0;
  let at = dataStart;
  inWords(layer, () => {
    for (; at < bytes.length; features++) at += 4 + view.getUint32(at, true);
  });
  if (at === bytes.length && (count === 0 || features >= count)) return features;
  throw broken(layer, `it ends after ${at > bytes.length ? features - 1 : features} of ${count} features`);
}

/** Reading beyond the end of the data is a fault of the file. */
export function inWords<R>(layer: string, read: () => R): R {
  try {
    return read();
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw broken(layer, 'its header is cut off or damaged');
  }
}

function broken(layer: string, why: string): InputError {
  return new InputError('flatgeobuf-broken', `${layer} can't be read as FlatGeobuf: ${why}`, {
    layer,
    cure: 'copy or download it again: it may have been cut off',
  });
}

// ---------------------------------------------------------------- one feature

/** GeometryType of the format -> kind; the others are not read. */
const KINDS: Readonly<Record<number, GeometryKind>> = {
  1: 'point',
  2: 'line',
  3: 'polygon',
  4: 'multipoint',
  5: 'multiline',
  6: 'multipolygon',
};

function addFeature(feature: Feature, header: Header, box: Box | undefined, into: LayerBuilder): void {
  const geometry = feature.geometry()!;
  if (box !== undefined && header.indexNodeSize === 0 && !meets(geometry, box)) return;
  if (geometry === null || (geometry.xyLength() === 0 && geometry.partsLength() === 0)) {
    into.begin('none');
    const place = { layer: into.name, feature: into.count, path: 'geometry' };
    into.findings.push(finding('geometry-null', place, 'the feature has no geometry', 'give it one, or delete it'));
  } else addGeometry(geometry, header.geometryType === 0 ? geometry.type() : header.geometryType, into);
  into.end(propertiesOf(feature, header.columns ?? [], into));
}

function addGeometry(geometry: Geometry, type: number, into: LayerBuilder): void {
  const kind = KINDS[type];
  into.begin(kind ?? 'broken');
  const refuse = (message: string): void =>
    into.abandon('geometry', message, 'export it again as plain points, lines or polygons');
  if (kind === undefined) refuse(`geometries of type ${type} are not read (curves and mixed collections)`);
  else if (kind === 'multipolygon') {
    for (let p = 0; p < geometry.partsLength(); p++) {
      const part = geometry.parts(p)!;
      if (part !== null && addRings(part, true, into)) continue;
      refuse(`polygon ${p} is damaged`);
      return;
    }
  } else if (kind === 'point' || kind === 'multipoint') {
    if (!addPoints(geometry, into)) refuse('a coordinate is not a finite number');
  } else if (!addRings(geometry, kind === 'polygon', into))
    refuse('its rings are damaged, or a coordinate is not a number');
}

function addPoints(geometry: Geometry, into: LayerBuilder): boolean {
  const xy = geometry.xyArray() ?? new Float64Array();
  const z = geometry.zArray();
  const m = geometry.mArray();
  for (let v = 0; v < xy.length >> 1; v++) {
    into.part();
    into.ring();
    if (!addVertex(xy, z, m, v, into)) return false;
  }
  return true;
}

/** Rings of one part (a polygon), or of a part each (lines); `ends` counts vertices. */
function addRings(geometry: Geometry, onePart: boolean, into: LayerBuilder): boolean {
  const xy = geometry.xyArray() ?? new Float64Array();
  const z = geometry.zArray();
  const m = geometry.mArray();
  const ends = geometry.endsArray() ?? [xy.length >> 1];
  let v = 0;
  if (onePart) into.part();
  for (const end of ends.length === 0 ? [xy.length >> 1] : ends) {
    if (end < v || end > xy.length >> 1) return false;
    if (!onePart) into.part();
    into.ring();
    for (; v < end; v++) if (!addVertex(xy, z, m, v, into)) return false;
  }
  return true;
}

type Column = Float64Array | null;

function addVertex(xy: Float64Array, z: Column, m: Column, v: number, into: LayerBuilder): boolean {
  const x = xy[v * 2]!;
  const y = xy[v * 2 + 1]!;
  if (!Number.isFinite(x) || !Number.isFinite(y)) return false;
  into.vertex(x, y, z?.[v], m?.[v]);
  return true;
}

function meets(geometry: Geometry | null, [west, south, east, north]: Box): boolean {
  if (geometry === null) return false;
  for (let p = 0; p < geometry.partsLength(); p++) {
    if (meets(geometry.parts(p)!, [west, south, east, north])) return true;
  }
  const xy = geometry.xyArray() ?? new Float64Array();
  let [x0, y0, x1, y1] = [
    Number.POSITIVE_INFINITY,
    Number.POSITIVE_INFINITY,
    Number.NEGATIVE_INFINITY,
    Number.NEGATIVE_INFINITY,
  ];
  for (let i = 0; i < xy.length; i += 2) {
    const [x, y] = [xy[i]!, xy[i + 1]!];
    x0 = Math.min(x0, x);
    y0 = Math.min(y0, y);
    x1 = Math.max(x1, x);
    y1 = Math.max(y1, y);
  }
  return x0 <= east && x1 >= west && y0 <= north && y1 >= south;
}

// ---------------------------------------------------------------- properties and coordinate system

/** Bytes of a value by column type (flatgeobuf header.fbs): byte, ubyte, bool, short, ..., double; others carry a length. */
const SIZES: readonly number[] = [1, 1, 1, 2, 2, 4, 4, 8, 8, 4, 8];

/** Decoded here, because the library turns 64-bit integers into numbers that lose digits. */
function propertiesOf(feature: Feature, columns: Columns, into: LayerBuilder): Record<string, unknown> {
  const properties: Record<string, unknown> = {};
  for (const { name } of columns) if (name !== '__proto__') properties[name] = null;
  const bytes = feature.propertiesArray();
  if (bytes === null || bytes === undefined) return properties;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  try {
    for (let at = 0; at < bytes.length; ) {
      const column = columns[view.getUint16(at, true)];
      if (column === undefined) throw new RangeError('a column that does not exist');
      const fixed = SIZES[column.type];
      const start = at + 2 + (fixed === undefined ? 4 : 0);
      const size = fixed ?? view.getUint32(at + 2, true);
      if (start + size > bytes.length) throw new RangeError('a value that is cut off');
      if (column.name !== '__proto__') properties[column.name] = valueAt(view, column.type, start, size);
      at = start + size;
    }
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    const place = { layer: into.name, feature: into.count, path: 'properties' };
    const message = `the properties hold ${error.message}; those before it were read`;
    into.findings.push(finding('properties-broken', place, message, 'export the layer again'));
  }
  return properties;
}

function valueAt(view: DataView, type: number, at: number, size: number): unknown {
  const text = (): string => new TextDecoder().decode(new Uint8Array(view.buffer, view.byteOffset + at, size));
  switch (type) {
    case 0:
      return view.getInt8(at);
    case 1:
      return view.getUint8(at);
    case 2:
      return view.getUint8(at) !== 0;
    case 3:
      return view.getInt16(at, true);
    case 4:
      return view.getUint16(at, true);
    case 5:
      return view.getInt32(at, true);
    case 6:
      return view.getUint32(at, true);
    case 7:
      return whole(view.getBigInt64(at, true));
    case 8:
      return whole(view.getBigUint64(at, true));
    case 9:
      return view.getFloat32(at, true);
    case 10:
      return view.getFloat64(at, true);
    case 12: {
      try {
        return JSON.parse(text()) as unknown;
      } catch {
        return text();
      }
    }
    case 14:
      return base64(new Uint8Array(view.buffer, view.byteOffset + at, size));
    default:
      return text(); // string, date and time
  }
}

/** A 64-bit integer: as text where a number would lose digits. */
function whole(value: bigint): number | string {
  const number = Number(value);
  return Number.isSafeInteger(number) ? number : String(value);
}

function crsOf(header: Header | undefined): CrsStatement | null {
  const crs = header?.crs;
  if (crs === null || crs === undefined) return null;
  const epsg = crs.org === null || crs.org === '' || /^epsg$/i.test(crs.org);
  if (epsg && crs.code > 0) return { from: 'file', text: `EPSG:${crs.code}` };
  if (crs.wkt !== null && crs.wkt !== '') return { from: 'file', text: crs.wkt };
  return crs.code_string !== null && crs.code_string !== '' ? { from: 'file', text: crs.code_string } : null;
}
