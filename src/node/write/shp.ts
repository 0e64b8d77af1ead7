// Geometry -> .shp and .shx. In: geometries one by one; out: two files. Layout: ESRI Shapefile Technical Description,
// July 1998 (file and record headers big-endian, content little-endian). Terms: word = 16 bits, the unit of its lengths;
// shells run clockwise, holes anticlockwise: the other way round than in GeoJSON.

import { InputError } from '../../model/index.js';
import { boxOf, type GeometryType, type OutGeometry } from '../../write/index.js';
import { ByteFile } from './byte-file.js';

export type ShapeName = 'point' | 'multipoint' | 'line' | 'polygon';

const SHAPE_CODES: Readonly<Record<ShapeName, number>> = { point: 1, line: 3, polygon: 5, multipoint: 8 };

const SHAPES: Readonly<Record<GeometryType, ShapeName>> = {
  Point: 'point',
  MultiPoint: 'multipoint',
  LineString: 'line',
  MultiLineString: 'line',
  Polygon: 'polygon',
  MultiPolygon: 'polygon',
};

export function shapeOf(geometry: OutGeometry): ShapeName {
  return SHAPES[geometry.type];
}

const HEADER = 100;
/** What other programs read at most (signed 32-bit offsets in bytes). */
export const LARGEST: number = 2 ** 31 - 1;

/** A file past the format's reach. */
export function tooLarge(what: string): InputError {
  return new InputError('format-too-large', `${what} would be larger than the 2 GiB a shapefile may be`, {
    cure: 'write a GeoPackage, or fewer roles with --roles',
  });
}

export class ShpWriter {
  readonly #shp: ByteFile;
  readonly #shx: ByteFile;
  readonly #code: number;
  readonly #name: string;
  #count = 0;
  #box: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];

  /** `base` is the path without extension. */
  constructor(base: string, shape: ShapeName) {
    this.#name = shape;
    this.#code = SHAPE_CODES[shape];
    this.#shp = new ByteFile(`${base}.shp`);
    this.#shx = new ByteFile(`${base}.shx`);
    this.#shp.write(new Uint8Array(HEADER));
    this.#shx.write(new Uint8Array(HEADER));
  }

  add(geometry: OutGeometry | null): void {
    const content = geometry === null ? new Uint8Array(4) : this.#content(geometry);
    if (this.#shp.length + 8 + content.length > LARGEST) throw tooLarge(`the ${this.#name} layer`);
    const index = new DataView(new ArrayBuffer(8));
    index.setInt32(0, this.#shp.length / 2);
    index.setInt32(4, content.length / 2);
    this.#shx.write(new Uint8Array(index.buffer));
    const head = new DataView(new ArrayBuffer(8));
    head.setInt32(0, ++this.#count);
    head.setInt32(4, content.length / 2);
    this.#shp.write(new Uint8Array(head.buffer));
    this.#shp.write(content);
  }

  finish(): void {
    for (const file of [this.#shp, this.#shx]) {
      const header = new DataView(new ArrayBuffer(HEADER));
      header.setInt32(0, 9994);
      header.setInt32(24, file.length / 2);
      header.setInt32(28, 1000, true);
      header.setInt32(32, this.#code, true);
      const box = this.#box[0] > this.#box[2] ? [0, 0, 0, 0] : this.#box;
      box.forEach((value, i) => {
        header.setFloat64(36 + 8 * i, value, true);
      });
      file.patch(0, new Uint8Array(header.buffer));
      file.close();
    }
  }

  #content(geometry: OutGeometry): Uint8Array {
    const box = boxOf(geometry);
    const b = this.#box;
    this.#box = [Math.min(b[0], box[0]), Math.min(b[1], box[1]), Math.max(b[2], box[2]), Math.max(b[3], box[3])];
    const rings = geometry.parts.flat();
    if (this.#code === SHAPE_CODES.point) {
      const view = new DataView(new ArrayBuffer(20));
      view.setInt32(0, this.#code, true);
      view.setFloat64(4, rings[0]?.[0] ?? 0, true);
      view.setFloat64(12, rings[0]?.[1] ?? 0, true);
      return new Uint8Array(view.buffer);
    }
    const points = rings.reduce((sum, ring) => sum + ring.length / 2, 0);
    const parted = this.#code !== SHAPE_CODES.multipoint;
    const view = new DataView(new ArrayBuffer(40 + (parted ? 4 + 4 * rings.length : 0) + 16 * points));
    view.setInt32(0, this.#code, true);
    box.forEach((value, i) => {
      view.setFloat64(4 + 8 * i, value, true);
    });
    let at = 36;
    const int = (value: number): void => {
      view.setInt32(at, value, true);
      at += 4;
    };
    if (parted) int(rings.length);
    int(points);
    let start = 0;
    for (const ring of parted ? rings : []) {
      int(start);
      start += ring.length / 2;
    }
    const turned = this.#code === SHAPE_CODES.polygon;
    for (const ring of rings) {
      const n = ring.length / 2;
      for (let k = 0; k < n; k++, at += 16) {
        const i = turned ? n - 1 - k : k;
        view.setFloat64(at, ring[i * 2]!, true);
        view.setFloat64(at + 8, ring[i * 2 + 1]!, true);
      }
    }
    return new Uint8Array(view.buffer);
  }
}
