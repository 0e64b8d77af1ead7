// Shapefile and zip writer for demo data and tests: in: GeoJSON geometries + properties; out: bytes of .shp .shx .dbf .prj .cpg.
// Layout: ESRI Shapefile Technical Description, July 1998 (big-endian file and record headers, little-endian content); dBASE III table.
// Terms: record = one feature; part = a ring or a line. The same input always gives the same bytes (dates are fixed).
import { deflateRawSync } from 'node:zlib';

/**
 * @typedef {'point' | 'multipoint' | 'polyline' | 'polygon'} ShapeType
 * @typedef {{ name: string, type: 'N' | 'F' | 'C' | 'D' | 'L', length: number, decimals?: number }} DbfField
 * @typedef {number[]} Position  x, y, z?, m?
 * @typedef {{ type: string, coordinates: any }} Geometry
 * @typedef {{ geometry: Geometry | null, properties?: Record<string, unknown> }} Feature
 * @typedef {object} ShapefileInput
 * @property {ShapeType} type
 * @property {boolean} [z]  write heights (third ordinate)
 * @property {boolean} [m]  write measures (fourth ordinate); with z or alone
 * @property {Feature[]} features
 * @property {DbfField[]} [fields]  no fields: no .dbf
 * @property {string} [prj]
 * @property {string} [cpg]  also the encoding of the text: 'UTF-8' (default) or 'windows-1252' / 'ISO-8859-1'
 * @property {number} [language]  dBASE language byte; default 0
 * @property {boolean} [keepRings]  write rings as given; else shells clockwise, holes anticlockwise
 * @typedef {{ shp: Uint8Array, shx: Uint8Array, dbf?: Uint8Array, prj?: Uint8Array, cpg?: Uint8Array }} ShapefileParts
 */

const BASE_CODE = { point: 1, polyline: 3, polygon: 5, multipoint: 8 };
/** The format's "no measure" is anything below -1e38. */
const NO_MEASURE = -1e39;

/**
 * Writes one layer.
 *
 * @param {ShapefileInput} input
 * @returns {ShapefileParts}
 * @example
 * writeShapefile({ type: 'point', fields: [{ name: 'DBH_IN', type: 'N', length: 6, decimals: 1 }],
 *   features: [{ geometry: { type: 'Point', coordinates: [7650000, 680000] }, properties: { DBH_IN: 18.5 } }] });
 */
export function writeShapefile(input) {
  const z = input.z === true;
  const m = input.m === true;
  const code = BASE_CODE[input.type] + (z ? 10 : m ? 20 : 0);
  const records = input.features.map((f) => record(f.geometry, input, code, z, m));
  const box = bounds(input.features.flatMap((f) => positions(f.geometry)));
  const total = records.reduce((sum, r) => sum + 8 + r.length, 100);
  const shp = new Uint8Array(total);
  const shx = new Uint8Array(100 + 8 * records.length);
  header(shp, code, box, z, m);
  header(shx, code, box, z, m);
  const shpView = new DataView(shp.buffer);
  const shxView = new DataView(shx.buffer);
  let at = 100;
  records.forEach((bytes, i) => {
    shpView.setInt32(at, i + 1);
    shpView.setInt32(at + 4, bytes.length / 2);
    shp.set(bytes, at + 8);
    shxView.setInt32(100 + 8 * i, at / 2);
    shxView.setInt32(104 + 8 * i, bytes.length / 2);
    at += 8 + bytes.length;
  });
  /** @type {ShapefileParts} */
  const parts = { shp, shx };
  if (input.fields !== undefined) parts.dbf = writeDbf(input.fields, input.features, input);
  if (input.prj !== undefined) parts.prj = new TextEncoder().encode(input.prj);
  if (input.cpg !== undefined) parts.cpg = new TextEncoder().encode(input.cpg);
  return parts;
}

/** @param {Uint8Array} bytes @param {number} code @param {Box} box @param {boolean} z @param {boolean} m */
function header(bytes, code, box, z, m) {
  const view = new DataView(bytes.buffer);
  view.setInt32(0, 9994);
  view.setInt32(24, bytes.length / 2);
  view.setInt32(28, 1000, true);
  view.setInt32(32, code, true);
  [box.min[0], box.min[1], box.max[0], box.max[1]].forEach((v, i) => {
    view.setFloat64(36 + 8 * i, v ?? 0, true);
  });
  view.setFloat64(68, z ? (box.min[2] ?? 0) : 0, true);
  view.setFloat64(76, z ? (box.max[2] ?? 0) : 0, true);
  view.setFloat64(84, m ? (box.min[3] ?? 0) : 0, true);
  view.setFloat64(92, m ? (box.max[3] ?? 0) : 0, true);
}

/** @typedef {{ min: number[], max: number[] }} Box @param {Position[]} list @returns {Box} */
function bounds(list) {
  /** @type {Box} */
  const box = { min: [], max: [] };
  for (const p of list)
    for (let k = 0; k < 4; k++) {
      const v = p[k];
      if (v === undefined) continue;
      box.min[k] = Math.min(box.min[k] ?? v, v);
      box.max[k] = Math.max(box.max[k] ?? v, v);
    }
  return box;
}

/** @param {Geometry | null} geometry @returns {Position[]} */
function positions(geometry) {
  if (geometry === null) return [];
  const flat = /** @param {any} c @returns {Position[]} */ (c) => (typeof c[0] === 'number' ? [c] : c.flatMap(flat));
  return geometry.coordinates.length === 0 ? [] : flat(geometry.coordinates);
}

/** @param {Geometry} geometry @param {boolean} keepRings @returns {Position[][]} */
function partsOf(geometry, keepRings) {
  const c = geometry.coordinates;
  switch (geometry.type) {
    case 'LineString':
      return [c];
    case 'MultiLineString':
      return c;
    case 'Polygon':
      return keepRings ? c : oriented(c);
    case 'MultiPolygon':
      return keepRings ? c.flat() : c.flatMap(oriented);
    default:
      throw new Error(`a ${geometry.type} has no parts`);
  }
}

/** @param {Position[][]} rings */
function oriented(rings) {
  return rings.map((ring, i) => (signedArea(ring) < 0 === (i === 0) ? ring : [...ring].reverse()));
}

/** Twice the area; positive for anticlockwise. @param {Position[]} ring */
function signedArea(ring) {
  let sum = 0;
  const [ox = 0, oy = 0] = ring[0] ?? [];
  ring.forEach(([x = 0, y = 0], i) => {
    const [nx = 0, ny = 0] = ring[(i + 1) % ring.length] ?? [];
    sum += (x - ox) * (ny - oy) - (nx - ox) * (y - oy);
  });
  return sum;
}

/** @param {Geometry | null} geometry @param {ShapefileInput} input @param {number} code @param {boolean} z @param {boolean} m */
function record(geometry, input, code, z, m) {
  if (geometry === null) return new Uint8Array(4); // null shape
  const out = new Bytes();
  out.int(code);
  if (input.type === 'point') {
    const p = geometry.coordinates;
    out.floats([p[0], p[1]]);
    if (z) out.floats([p[2] ?? 0]);
    if (z || m) out.floats([m ? (p[3] ?? NO_MEASURE) : NO_MEASURE]);
    return out.take();
  }
  const parts =
    input.type === 'multipoint'
      ? [geometry.type === 'Point' ? [geometry.coordinates] : geometry.coordinates]
      : partsOf(geometry, input.keepRings === true);
  const all = parts.flat();
  const box = bounds(all);
  out.floats([box.min[0] ?? 0, box.min[1] ?? 0, box.max[0] ?? 0, box.max[1] ?? 0]);
  if (input.type !== 'multipoint') out.int(parts.length);
  out.int(all.length);
  if (input.type !== 'multipoint') {
    let start = 0;
    for (const part of parts) {
      out.int(start);
      start += part.length;
    }
  }
  for (const p of all) out.floats([p[0], p[1]]);
  if (z) out.floats([box.min[2] ?? 0, box.max[2] ?? 0, ...all.map((p) => p[2] ?? 0)]);
  if (m) out.floats([box.min[3] ?? 0, box.max[3] ?? 0, ...all.map((p) => p[3] ?? NO_MEASURE)]);
  return out.take();
}

/** Growing little-endian byte list. */
class Bytes {
  #list = /** @type {number[]} */ ([]);
  #view = new DataView(new ArrayBuffer(8));
  /** @param {number} v */
  int(v) {
    this.#view.setInt32(0, v, true);
    for (let i = 0; i < 4; i++) this.#list.push(this.#view.getUint8(i));
  }
  /** @param {(number | undefined)[]} values */
  floats(values) {
    for (const v of values) {
      this.#view.setFloat64(0, v ?? 0, true);
      for (let i = 0; i < 8; i++) this.#list.push(this.#view.getUint8(i));
    }
  }
  take() {
    return Uint8Array.from(this.#list);
  }
}

/** @param {DbfField[]} fields @param {Feature[]} features @param {{ cpg?: string, language?: number }} about */
function writeDbf(fields, features, about) {
  const headerLength = 32 + 32 * fields.length + 1;
  const recordLength = 1 + fields.reduce((sum, f) => sum + f.length, 0);
  const bytes = new Uint8Array(headerLength + recordLength * features.length + 1).fill(0x20);
  bytes.fill(0, 0, headerLength);
  const view = new DataView(bytes.buffer);
  bytes.set([3, 126, 1, 1]); // dBASE III, 2026-01-01
  view.setUint32(4, features.length, true);
  view.setUint16(8, headerLength, true);
  view.setUint16(10, recordLength, true);
  bytes[29] = about.language ?? 0;
  fields.forEach((f, i) => {
    const at = 32 + 32 * i;
    bytes.set(encode(f.name, about.cpg).slice(0, 10), at);
    bytes[at + 11] = f.type.charCodeAt(0);
    bytes[at + 16] = f.length;
    bytes[at + 17] = f.decimals ?? 0;
  });
  bytes[headerLength - 1] = 0x0d;
  let at = headerLength;
  for (const feature of features) {
    at++; // a blank: not deleted
    for (const f of fields) {
      bytes.set(cell(feature.properties?.[f.name], f, about.cpg).slice(0, f.length), at);
      at += f.length;
    }
  }
  bytes[at] = 0x1a;
  return bytes;
}

/** @param {unknown} value @param {DbfField} field @param {string | undefined} cpg */
function cell(value, field, cpg) {
  if (value === null || value === undefined) return encode(field.type === 'L' ? '?' : '');
  if (typeof value === 'string' && field.type === 'D') return encode(value.replaceAll('-', ''));
  if (typeof value === 'boolean') return encode(value ? 'T' : 'F');
  if (typeof value === 'number') {
    const text = field.decimals === undefined ? String(value) : value.toFixed(field.decimals);
    return encode(text.padStart(field.length));
  }
  return encode(String(value), cpg); // text as it stands, also in a number field: tests need bad numbers
}

/** @param {string} text @param {string} [cpg] */
function encode(text, cpg = 'UTF-8') {
  if (/^utf-?8$/i.test(cpg)) return new TextEncoder().encode(text);
  return Uint8Array.from(text, (c) => c.charCodeAt(0)); // Latin-1, equal to windows-1252 above 0x9f
}

/**
 * Packs entries into a zip archive; stored unless `deflate` is set (stored bytes do not depend on the zlib version).
 *
 * @param {readonly { name: string, bytes: Uint8Array, deflate?: boolean }[]} entries
 * @returns {Uint8Array}
 */
export function writeZip(entries) {
  /** @type {Uint8Array[]} */
  const chunks = [];
  /** @type {Uint8Array[]} */
  const directory = [];
  let offset = 0;
  for (const entry of entries) {
    const name = new TextEncoder().encode(entry.name);
    const data = entry.deflate === true ? new Uint8Array(deflateRawSync(entry.bytes, { level: 9 })) : entry.bytes;
    const common = new DataView(new ArrayBuffer(26));
    common.setUint16(0, 20, true); // version needed
    common.setUint16(2, 0x800, true); // UTF-8 names
    common.setUint16(4, entry.deflate === true ? 8 : 0, true);
    common.setUint16(6, 0, true); // 00:00
    common.setUint16(8, (46 << 9) | (1 << 5) | 1, true); // 2026-01-01
    common.setUint32(10, crc32(entry.bytes), true);
    common.setUint32(14, data.length, true);
    common.setUint32(18, entry.bytes.length, true);
    common.setUint16(22, name.length, true);
    const fixed = new Uint8Array(common.buffer);
    chunks.push(Uint8Array.of(0x50, 0x4b, 3, 4), fixed, name, data);
    const tail = new DataView(new ArrayBuffer(14));
    tail.setUint32(10, offset, true);
    directory.push(Uint8Array.of(0x50, 0x4b, 1, 2, 20, 0), fixed, new Uint8Array(tail.buffer), name);
    offset += 30 + name.length + data.length;
  }
  const directoryBytes = concat(directory);
  const end = new DataView(new ArrayBuffer(22));
  end.setUint32(0, 0x06054b50, true);
  end.setUint16(8, entries.length, true);
  end.setUint16(10, entries.length, true);
  end.setUint32(12, directoryBytes.length, true);
  end.setUint32(16, offset, true);
  return concat([...chunks, directoryBytes, new Uint8Array(end.buffer)]);
}

/**
 * A shapefile's parts as one zip.
 *
 * @param {string} base  name without extension: 'trees'
 * @param {ShapefileParts} parts
 * @param {boolean} [deflate]
 */
export function zipShapefile(base, parts, deflate = false) {
  return writeZip(Object.entries(parts).map(([ext, bytes]) => ({ name: `${base}.${ext}`, bytes, deflate })));
}

/** @param {readonly Uint8Array[]} list */
function concat(list) {
  const out = new Uint8Array(list.reduce((sum, b) => sum + b.length, 0));
  let at = 0;
  for (const b of list) {
    out.set(b, at);
    at += b.length;
  }
  return out;
}

const CRC_TABLE = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c >>> 0;
});

/** @param {Uint8Array} bytes */
function crc32(bytes) {
  let c = 0xffffffff;
  for (const b of bytes) c = (CRC_TABLE[(c ^ b) & 0xff] ?? 0) ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}
