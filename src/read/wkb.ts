// Well-known binary (OGC 06-103r4 clause 8, ISO 13249-3) -> vertices. In: bytes and where the geometry starts; out: one
// feature's geometry in a LayerBuilder, begun and not yet ended.
// Terms: part, ring as in model/layer-builder.ts; EWKB = the same with flags for Z, M and SRID in the type's upper bits.

import type { GeometryKind, LayerBuilder } from '../model/index.js';
import { finding } from '../model/index.js';

/** Why a geometry can't be read, in words. */
class WkbError extends Error {
  readonly cure: string;
  constructor(message: string, cure: string) {
    super(message);
    this.cure = cure;
  }
}

const KINDS: readonly (GeometryKind | undefined)[] = [
  undefined,
  'point',
  'line',
  'polygon',
  'multipoint',
  'multiline',
  'multipolygon',
];
const NAMES: Readonly<Record<number, string>> = {
  7: 'a collection of mixed geometries',
  8: 'a circular string',
  9: 'a compound curve',
  10: 'a curve polygon',
  11: 'a multi-curve',
  12: 'a multi-surface of curves',
  15: 'a polyhedral surface',
  16: 'a triangulated surface',
  17: 'a triangle',
};
const SAVE_AGAIN = 'export the layer again from the program it comes from';

/**
 * Reads one geometry. A geometry that is damaged or of a kind that is not read is abandoned: the feature stays, broken,
 * with a finding. An empty one becomes a feature without geometry.
 *
 * @example
 * readWkb(bytes, 0, into, 'geom'); into.end(properties);
 */
export function readWkb(bytes: Uint8Array, start: number, into: LayerBuilder, path: string): void {
  try {
    const reader = new WkbReader(bytes, start, into);
    reader.geometry();
    if (reader.vertices === 0) addEmpty(into, path);
  } catch (error) {
    if (error instanceof WkbError) into.abandon(path, error.message, error.cure);
    else if (error instanceof RangeError) into.abandon(path, 'the geometry is cut off', SAVE_AGAIN);
    else throw error;
  }
}

function addEmpty(into: LayerBuilder, path: string): void {
  into.begin('none');
  const place = { layer: into.name, feature: into.count, path };
  into.findings.push(
    finding('geometry-null', place, 'the geometry is empty', 'give the feature a position, or delete it'),
  );
}

class WkbReader {
  vertices = 0;
  readonly #view: DataView;
  readonly #into: LayerBuilder;
  #at: number;
  #little = true;
  #hasZ = false;
  #hasM = false;

  constructor(bytes: Uint8Array, start: number, into: LayerBuilder) {
    this.#view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    this.#at = start;
    this.#into = into;
  }

  geometry(): void {
    const type = this.#header();
    const kind = KINDS[type];
    this.#into.begin(kind ?? 'broken');
    if (type === 7) this.#collection();
    else if (type >= 4) this.#members(type - 3, this.#count(5));
    else this.#simple(type);
  }

  /** Points, lines or polygons, each with a header of its own. */
  #members(type: number, count: number): void {
    for (let i = 0; i < count; i++) {
      const own = this.#header();
      if (own !== type) throw new WkbError('the parts of a geometry are of different types', SAVE_AGAIN);
      this.#simple(own);
    }
  }

  /** A collection of one type is a multi-geometry; a mixed one is not read. */
  #collection(): void {
    const count = this.#count(5);
    for (let i = 0, first = 0; i < count; i++) {
      const type = this.#header();
      const single = type > 3 ? type - 3 : type;
      if (type > 6 || (i > 0 && single !== first)) {
        throw new WkbError('a collection of mixed geometries is not read', 'split it into features of one type each');
      }
      if (i === 0) this.#into.begin(KINDS[single + 3] ?? 'broken');
      first = single;
      if (type > 3) this.#members(single, this.#count(5));
      else this.#simple(type);
    }
  }

  #simple(type: number): void {
    if (type === 1) this.#point();
    else if (type === 2) {
      const count = this.#count(16);
      if (count === 0) return;
      this.#into.part();
      this.#ring(count);
    } else {
      const rings = this.#count(4);
      if (rings === 0) return;
      this.#into.part();
      for (let r = 0; r < rings; r++) this.#ring(this.#count(16));
    }
  }

  /** A point of NaN is an empty one (OGC 12-128r18, clause 2.1.3). */
  #point(): void {
    const x = this.#double();
    const y = this.#double();
    const z = this.#hasZ ? this.#double() : Number.NaN;
    const m = this.#hasM ? this.#double() : Number.NaN;
    if (Number.isNaN(x) && Number.isNaN(y)) return;
    this.#into.part();
    this.#into.ring();
    this.#vertex(x, y, z, m);
  }

  #ring(count: number): void {
    this.#into.ring();
    for (let v = 0; v < count; v++) {
      const x = this.#double();
      const y = this.#double();
      this.#vertex(x, y, this.#hasZ ? this.#double() : Number.NaN, this.#hasM ? this.#double() : Number.NaN);
    }
  }

  #vertex(x: number, y: number, z: number, m: number): void {
    if (!Number.isFinite(x) || !Number.isFinite(y)) {
      throw new WkbError('a coordinate is not a finite number', 'correct or redraw it');
    }
    this.vertices++;
    this.#into.vertex(x, y, z, m);
  }

  /** Byte order, type and flags; returns the plain type, 1 to 7. */
  #header(): number {
    const order = this.#view.getUint8(this.#at);
    if (order > 1) throw new WkbError(`the geometry has no byte order (${order})`, SAVE_AGAIN);
    this.#little = order === 1;
    const code = this.#view.getUint32(this.#at + 1, this.#little);
    this.#at += 5;
    const plain = code & 0x0fff_ffff;
    const thousands = Math.floor(plain / 1000);
    this.#hasZ = (code & 0x8000_0000) !== 0 || thousands === 1 || thousands === 3;
    this.#hasM = (code & 0x4000_0000) !== 0 || thousands === 2 || thousands === 3;
    if ((code & 0x2000_0000) !== 0) this.#at += 4; // SRID
    const type = plain % 1000;
    if (thousands <= 3 && type >= 1 && type <= 7) return type;
    const name = thousands <= 3 ? NAMES[type] : undefined;
    throw name === undefined
      ? new WkbError(`the geometry has an unknown type (${code})`, SAVE_AGAIN)
      : new WkbError(`${name} is not read`, 'convert it to plain lines and polygons (arcs into short segments)');
  }

  /** A count that the rest of the bytes can hold at `least` bytes each: a damaged count must not cost minutes. */
  #count(least: number): number {
    const count = this.#view.getUint32(this.#at, this.#little);
    this.#at += 4;
    if (count * least > this.#view.byteLength - this.#at) {
      throw new WkbError('the geometry is cut off', SAVE_AGAIN);
    }
    return count;
  }

  #double(): number {
    const value = this.#view.getFloat64(this.#at, this.#little);
    this.#at += 8;
    return value;
  }
}
