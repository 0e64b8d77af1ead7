// Layer builder: in: features one by one from a format reader; out: a Layer (columns, see model/).
// Terms: part = a point, a line or a polygon of a multi-geometry; ring = a run of vertices.

import { FloatColumn, IndexColumn } from '../geometry/index.js';
import { type Finding, finding } from './findings.js';
import {
  type CrsStatement,
  type FormatName,
  GEOMETRY_KINDS,
  type GeometryKind,
  type Layer,
  type Properties,
} from './layer.js';
import { type ByteSpot, PropertyBytes, type StoredProperties } from './properties.js';

const KIND_CODE = Object.fromEntries(GEOMETRY_KINDS.map((k, i) => [k, i])) as Readonly<Record<GeometryKind, number>>;

/** Code of a geometry kind in GeometryTable.kind. */
export function kindCode(kind: GeometryKind): number {
  return KIND_CODE[kind];
}

/**
 * Collects features into a Layer. For each feature: `begin`, then per part `part()`, per ring `ring()`,
 * per vertex `vertex(x, y)`, then `end`. A reader that finds a geometry broken half-way calls `abandon`,
 * which keeps the feature, drops its vertices and records why.
 *
 * @example
 * const b = new LayerBuilder('trees.csv', 'csv');
 * b.begin('point'); b.part(); b.ring(); b.vertex(7650000, 680000); b.end({ tag: 'T1' });
 * const layer = b.finish({ crs: null, sha256: null });
 */
export class LayerBuilder {
  readonly name: string;
  readonly format: FormatName;
  readonly findings: Finding[] = [];
  readonly #kinds = new IndexColumn();
  readonly #partStart = columnFromZero();
  readonly #ringStart = columnFromZero();
  readonly #vertexStart = columnFromZero();
  #xy = new FloatColumn();
  // Made when the first vertex has one: most layers have neither heights nor measures.
  #z: FloatColumn | undefined;
  #m: FloatColumn | undefined;
  #ids: (string | number | undefined)[] | null = null; // made when the first feature has one
  /** Objects for features that came as objects; the others lie in #bytes, in order. */
  readonly #objects: (Properties | undefined)[] = [];
  readonly #bytes = new PropertyBytes();
  #fields = new Set<string>();
  #parts = 0;
  #rings = 0;
  #openKind = 0;

  constructor(name: string, format: FormatName) {
    this.name = name;
    this.format = format;
  }

  get count(): number {
    return this.#kinds.length;
  }

  /** Says which share of the source has been read, so that columns get the length they will probably need. */
  expect(share: number): void {
    if (!(share > 0 && share < 1)) return;
    const inAll = (length: number): number => Math.ceil((length / share) * 1.02);
    const { count } = this;
    for (const column of [this.#kinds, this.#partStart]) column.reserve(inAll(count));
    this.#bytes.reserve(inAll(this.#bytes.count));
    this.#ringStart.reserve(inAll(this.#parts));
    this.#vertexStart.reserve(inAll(this.#rings));
    this.#xy.reserve(inAll(this.#xy.length));
  }

  begin(kind: GeometryKind): void {
    this.#openKind = KIND_CODE[kind];
  }

  part(): void {
    this.#parts++;
    this.#ringStart.push(this.#rings);
  }

  ring(): void {
    this.#rings++;
    this.#ringStart.set(this.#parts, this.#rings);
    this.#vertexStart.push(this.#xy.length / 2);
  }

  vertex(x: number, y: number, z: number = Number.NaN, m: number = Number.NaN): void {
    this.#xy.push(x);
    this.#xy.push(y);
    const vertices = this.#xy.length / 2;
    this.#vertexStart.set(this.#rings, vertices);
    if (this.#z !== undefined) this.#z.push(z);
    else if (!Number.isNaN(z)) this.#z = columnWith(z, vertices);
    if (this.#m !== undefined) this.#m.push(m);
    else if (!Number.isNaN(m)) this.#m = columnWith(m, vertices);
  }

  /** Drops what the open feature's geometry holds so far and marks it broken; `end` still has to follow. */
  abandon(path: string, message: string, cure: string): void {
    this.restart();
    this.#openKind = KIND_CODE.broken;
    this.findings.push(finding('geometry-broken', { layer: this.name, feature: this.count, path }, message, cure));
  }

  /** Drops what the open feature's geometry holds so far, as if it had not begun. */
  restart(): void {
    const parts = this.#partStart.at(this.#partStart.length - 1);
    const rings = this.#ringStart.at(parts);
    const vertices = this.#vertexStart.at(rings);
    this.#parts = parts;
    this.#rings = rings;
    this.#ringStart.truncate(parts + 1);
    this.#vertexStart.truncate(rings + 1);
    this.#xy.truncate(vertices * 2);
    this.#z?.truncate(vertices);
    this.#m?.truncate(vertices);
  }

  /** West, south, east, north of the open feature's vertices so far; null without any. */
  openBox(): [number, number, number, number] | null {
    const parts = this.#partStart.at(this.#partStart.length - 1);
    const from = this.#vertexStart.at(this.#ringStart.at(parts)) * 2;
    if (from === this.#xy.length) return null;
    const box: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
    for (let i = from; i < this.#xy.length; i += 2) {
      const [x, y] = [this.#xy.at(i), this.#xy.at(i + 1)];
      if (x < box[0]) box[0] = x;
      if (y < box[1]) box[1] = y;
      if (x > box[2]) box[2] = x;
      if (y > box[3]) box[3] = y;
    }
    return box;
  }

  /** Whether every vertex so far lies within degrees: |x| <= 180 and |y| <= 90. */
  fitsDegrees(): boolean {
    for (let i = 0; i < this.#xy.length; i += 2) {
      if (!(Math.abs(this.#xy.at(i)) <= 180 && Math.abs(this.#xy.at(i + 1)) <= 90)) return false;
    }
    return true;
  }

  end(properties: Properties, id?: string | number): void {
    this.#objects[this.count] = properties;
    this.#bytes.push(NO_BYTES, 0, 0, false);
    for (const key in properties) this.#fields.add(key);
    this.#close(id);
  }

  /**
   * Ends a feature whose properties are JSON bytes from .. to (checked, braces included); `spaced`: they hold white
   * space outside strings. Announce their keys with `field`.
   */
  endBytes(bytes: Uint8Array, from: number, to: number, spaced: boolean, id?: string | number): void {
    this.#bytes.push(bytes, from, to, spaced);
    this.#close(id);
  }

  /** Adds a property's name; the order of first appearance is kept. */
  field(name: string): void {
    this.#fields.add(name);
  }

  #close(id: string | number | undefined): void {
    if (id !== undefined && this.#ids === null) this.#ids = new Array<undefined>(this.count).fill(undefined);
    this.#ids?.push(id);
    this.#kinds.push(this.#openKind);
    this.#partStart.push(this.#parts);
  }

  finish(about: { readonly crs: CrsStatement | null; readonly sha256: string | null }): Layer {
    return layerOf({
      name: this.name,
      format: this.format,
      count: this.count,
      geometry: {
        kind: new Uint8Array(this.#kinds.take()),
        partStart: this.#partStart.take(),
        ringStart: this.#ringStart.take(),
        vertexStart: this.#vertexStart.take(),
        xy: this.#xy.take(),
        z: taken(this.#z),
        m: taken(this.#m),
      },
      crs: about.crs,
      fields: [...this.#fields],
      findings: this.findings,
      sha256: about.sha256,
      ids: this.#ids,
      objects: this.#objects,
      stored: this.#bytes.take(),
    });
  }
}

/** A layer as plain data: what one thread can hand to another. */
export interface LayerData extends Omit<Layer, 'id' | 'properties' | 'value' | 'propertyBytes'> {
  readonly ids: readonly (string | number | undefined)[] | null;
  readonly objects: readonly (Properties | undefined)[];
  readonly stored: StoredProperties;
}

const dataOf = new WeakMap<Layer, LayerData>();
const spotsOf = new WeakMap<Layer, (feature: number, field: Uint8Array, into: ByteSpot) => boolean>();

/**
 * The function that says where a feature's own property stands in the bytes it was read from, as JSON text; it returns
 * false where the feature has no such property or came as an object, where `value` has to be asked. Null for a layer
 * that has no such bytes.
 */
export function spotFinder(layer: Layer, field: string): ((feature: number, into: ByteSpot) => boolean) | null {
  const find = spotsOf.get(layer);
  if (find === undefined) return null;
  const key = new TextEncoder().encode(field);
  return (feature, into) => find(feature, key, into);
}

/** The data a layer was made from; undefined for a layer made in another way. */
export function layerData(layer: Layer): LayerData | undefined {
  return dataOf.get(layer);
}

/** A layer over its data. */
export function layerOf(data: LayerData): Layer {
  const { ids, objects, stored: _, ...rest } = data;
  const stored = PropertyBytes.over(data.stored);
  const keys = new Map<string, Uint8Array>(); // encoded names, for look-ups in bytes
  const encoded = (field: string): Uint8Array => {
    let key = keys.get(field);
    if (key === undefined) {
      key = new TextEncoder().encode(field);
      keys.set(field, key);
    }
    return key;
  };
  const layer: Layer = {
    ...rest,
    id: (feature) => ids?.[feature],
    properties: (feature) => objects[feature] ?? (feature < stored.count ? stored.parse(feature) : {}),
    value: (feature, field) => {
      const object = objects[feature];
      if (object !== undefined) return Object.hasOwn(object, field) ? object[field] : undefined;
      return stored.value(feature, encoded(field));
    },
    propertyBytes: (feature) =>
      objects[feature] === undefined && feature < stored.count ? stored.bytes(feature) : null,
  };
  dataOf.set(layer, data);
  spotsOf.set(
    layer,
    (feature, field, into) =>
      objects[feature] === undefined && feature < stored.count && stored.spot(feature, field, into),
  );
  return layer;
}

const NO_BYTES = new Uint8Array();

function columnFromZero(): IndexColumn {
  const column = new IndexColumn();
  column.push(0);
  return column;
}

/** A column whose last of `vertices` entries is `value` and the others are absent. */
function columnWith(value: number, vertices: number): FloatColumn {
  const column = new FloatColumn();
  column.fill(Number.NaN, vertices - 1);
  column.push(value);
  return column;
}

/** A column's values, or null when none is left (an abandoned geometry may have held the only ones). */
function taken(column: FloatColumn | undefined): Float64Array | null {
  const values = column?.take();
  return values?.some((v) => !Number.isNaN(v)) ? values : null;
}
