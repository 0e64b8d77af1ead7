// Layer builder: in: features one by one from a format reader; out: a Layer (columns, see model/).
// Terms: part = a point, a line or a polygon of a multi-geometry; ring = a run of vertices.

import { type Finding, finding } from './findings.js';
import { GeometryColumns } from './geometry-columns.js';
import type { CrsStatement, FormatName, GeometryKind, Layer, Properties } from './layer.js';
import { type ByteSpot, PropertyBytes, type StoredProperties } from './properties.js';

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
  readonly #geometry = new GeometryColumns();
  #ids: (string | number | undefined)[] | null = null; // made when the first feature has one
  /** Objects for features that came as objects; the others lie in #bytes, in order. */
  readonly #objects: (Properties | undefined)[] = [];
  readonly #bytes = new PropertyBytes();
  #fields = new Set<string>();
  #openKind: GeometryKind = 'none';
  #inPart = false;
  #inRing = false;

  constructor(name: string, format: FormatName) {
    this.name = name;
    this.format = format;
  }

  get count(): number {
    return this.#geometry.count;
  }

  /** Tells which share of the source has been read, so that columns get the length they will probably need. */
  expect(share: number): void {
    if (!(share > 0 && share < 1)) return;
    this.#bytes.reserve(Math.ceil((this.#bytes.count / share) * 1.02));
    this.#geometry.expect(share);
  }

  begin(kind: GeometryKind): void {
    this.#openKind = kind;
  }

  part(): void {
    this.#endPart();
    this.#inPart = true;
  }

  ring(): void {
    this.#endRing();
    this.#inRing = true;
  }

  vertex(x: number, y: number, z: number = Number.NaN, m: number = Number.NaN): void {
    this.#geometry.vertex(x, y, z, m);
  }

  /** Drops what the open feature's geometry holds so far and marks it broken; `end` still has to follow. */
  abandon(path: string, message: string, cure: string): void {
    this.restart();
    this.#openKind = 'broken';
    this.findings.push(finding('geometry-broken', { layer: this.name, feature: this.count, path }, message, cure));
  }

  /** Drops what the open feature's geometry holds so far, as if it had not begun. */
  restart(): void {
    this.#inPart = this.#inRing = false;
    this.#geometry.restart();
  }

  /** West, south, east, north of the open feature's vertices so far; null without any. */
  openBox(): [number, number, number, number] | null {
    return this.#geometry.openBox();
  }

  /** Whether every vertex so far lies within degrees: |x| <= 180 and |y| <= 90. */
  fitsDegrees(): boolean {
    return this.#geometry.fitsDegrees();
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
    this.#endPart();
    this.#geometry.endFeature(this.#openKind);
  }

  #endRing(): void {
    if (this.#inRing) this.#geometry.endRing();
    this.#inRing = false;
  }

  #endPart(): void {
    this.#endRing();
    if (this.#inPart) this.#geometry.endPart();
    this.#inPart = false;
  }

  finish(about: { readonly crs: CrsStatement | null; readonly sha256: string | null }): Layer {
    return layerOf({
      name: this.name,
      format: this.format,
      count: this.count,
      geometry: this.#geometry.take(),
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
