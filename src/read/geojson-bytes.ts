// A GeoJSON FeatureCollection read from its bytes, feature by feature: in: chunks of UTF-8 text of any size; out: features
// in a LayerBuilder. Memory holds coordinates and property bytes, never the text. What is not plain (a null geometry,
// unknown members that repeat, escapes in member names) goes through JSON.parse and the ordinary walk, feature by
// feature, so that both ways give the same results. Terms: plain = read here without an object.

import type { GeometryKind, LayerBuilder } from '../model/index.js';
import { addFeature, isObject } from './geojson-feature.js';
import { CLOSE_BRACE, CLOSE_BRACKET, FAULT, JsonCursor, MORE, OPEN_BRACE, OPEN_BRACKET } from './json-cursor.js';
import { bomLength } from './text.js';

const encode = (text: string): Uint8Array => new TextEncoder().encode(text);
const KEY = {
  type: encode('type'),
  features: encode('features'),
  crs: encode('crs'),
  id: encode('id'),
  geometry: encode('geometry'),
  properties: encode('properties'),
  coordinates: encode('coordinates'),
};
const FEATURE = encode('"Feature"');
const QUOTE = 0x22;

interface PlainGeometry {
  readonly name: Uint8Array;
  readonly kind: GeometryKind;
  read(reader: GeoJsonBytes): boolean;
}

/** Thrown when the text has to be read as a whole after all: it is not a plain FeatureCollection, or not UTF-8. */
export class NotPlain extends Error {}

type Stage = 'start' | 'document' | 'members' | 'features' | 'between' | 'after' | 'done';

export class GeoJsonBytes {
  /** The `crs` member, or null. */
  crs: unknown = null;
  readonly #into: LayerBuilder;
  readonly #cursor = new JsonCursor();
  readonly #decoder = new TextDecoder('utf-8', { fatal: true });
  #rest = new Uint8Array();
  #stage: Stage = 'start';
  readonly #sequence: boolean;
  #line = 1; // of the document to come
  #parted = true; // whether a line feed or a record separator stands before it
  #kept = 0; // from here on the bytes are needed again
  #sawFeatures = false;
  #type: unknown;
  /** Key bytes of the previous feature, in order: features of a layer mostly have the same. */
  readonly #shape: Uint8Array[] = [];

  /** `sequence`: one feature after another, separated by line feeds or record separators, without a collection round them. */
  constructor(into: LayerBuilder, sequence: boolean = false) {
    this.#into = into;
    this.#sequence = sequence;
  }

  /** Takes the next bytes. Throws NotPlain when the text has to be read whole. */
  push(chunk: Uint8Array): void {
    const bytes = this.#rest.length === 0 ? chunk : joined(this.#rest, chunk);
    const cursor = this.#cursor;
    cursor.open(bytes, 0);
    try {
      do this.#kept = cursor.pos;
      while (this.#step());
      this.#kept = cursor.pos;
    } catch (error) {
      if (error !== MORE) throw error === FAULT ? new NotPlain('not JSON') : error;
      this.#into.restart();
    }
    this.#rest = bytes.slice(this.#kept);
  }

  /** Tells that there are no more bytes. */
  end(): void {
    if (this.#sequence) {
      if (this.#rest.length > 0 || this.#into.count === 0) throw new NotPlain('sequence');
      return;
    }
    if (this.#stage !== 'done' || !this.#sawFeatures || this.#type !== 'FeatureCollection') throw new NotPlain('shape');
    if (this.#rest.some((c) => c !== 0x20 && c !== 0x0a && c !== 0x0d && c !== 0x09)) throw new NotPlain('more text');
  }

  /** One step that leaves the reader at a place it can go on from; false when all is read. */
  #step(): boolean {
    const cursor = this.#cursor;
    switch (this.#stage) {
      case 'start':
        cursor.pos += bomLength(cursor.bytes);
        if (this.#sequence) {
          this.#stage = 'document';
          return true;
        }
        if (!cursor.enter(OPEN_BRACE, CLOSE_BRACE)) throw new NotPlain('empty');
        this.#stage = 'members';
        return true;
      case 'document':
        return this.#document();
      case 'members':
        this.#member();
        return true;
      case 'features':
        this.#feature(() => `features[${this.#into.count}]`);
        this.#stage = 'between'; // a step of its own: a chunk may end before the comma, and no feature is read twice
        return true;
      case 'between':
        this.#stage = cursor.another(CLOSE_BRACKET) ? 'features' : 'after';
        return true;
      case 'after':
        this.#stage = cursor.another(CLOSE_BRACE) ? 'members' : 'done';
        return true;
      case 'done':
        return false;
    }
  }

  /** A document of a sequence; false when only white space is left for now. */
  #document(): boolean {
    const cursor = this.#cursor;
    const { bytes } = cursor;
    for (; cursor.pos < cursor.end; cursor.pos++) {
      const c = bytes[cursor.pos];
      if (c === 0x0a || c === 0x1e) this.#parted = true;
      if (c === 0x0a) this.#line++;
      else if (c !== 0x1e && c !== 0x0d && c !== 0x20 && c !== 0x09) break;
    }
    if (cursor.pos === cursor.end) return false;
    // The line is counted again when a chunk ends in the middle of it; white space before it is not.
    this.#kept = cursor.pos;
    if (!this.#parted) throw new NotPlain('two documents on one line');
    this.#feature(() => `line ${this.#line}`);
    this.#parted = false;
    return true;
  }

  #member(): void {
    const cursor = this.#cursor;
    cursor.key();
    if (cursor.keyEscaped) throw new NotPlain('escaped member');
    if (cursor.keyIs(KEY.features)) {
      if (this.#sawFeatures || cursor.peek() !== OPEN_BRACKET) throw new NotPlain('features');
      const some = cursor.enter(OPEN_BRACKET, CLOSE_BRACKET);
      this.#sawFeatures = true;
      this.#stage = some ? 'features' : 'after';
      return;
    }
    const isType = cursor.keyIs(KEY.type);
    const isCrs = cursor.keyIs(KEY.crs);
    cursor.peek();
    const from = cursor.pos;
    cursor.skip();
    if (isType) this.#type = this.#parsed(from, cursor.pos);
    if (isCrs) this.crs = this.#parsed(from, cursor.pos);
    this.#stage = 'after';
  }

  #feature(where: () => string): void {
    const cursor = this.#cursor;
    cursor.peek();
    const from = cursor.pos;
    cursor.nonAscii = false;
    // A fault here may be something the plain reader refuses, or broken JSON; the second pass decides which.
    if (!this.#plainFeature()) {
      this.#into.restart();
      cursor.pos = from;
      cursor.skip();
      const value = this.#parsed(from, cursor.pos);
      if (this.#sequence && !isFeature(value)) throw new NotPlain('a document that is not a feature');
      addFeature(value, where, this.#into);
    } else if (cursor.nonAscii) this.#checkUtf8(from, cursor.pos);
  }

  /** Reads one feature without making objects; false, with the cursor anywhere, when it is not plain. */
  #plainFeature(): boolean {
    const cursor = this.#cursor;
    if (cursor.peek() !== OPEN_BRACE) return false;
    let type = false;
    let geometry = false;
    let id: string | number | undefined;
    let hasId = false;
    let from = -1;
    let to = -1;
    let spaced = false;
    if (!cursor.enter(OPEN_BRACE, CLOSE_BRACE)) return false;
    do {
      cursor.key();
      if (cursor.keyEscaped) return false;
      if (cursor.keyIs(KEY.type)) {
        if (type || !this.#literal(FEATURE)) return false;
        type = true;
      } else if (cursor.keyIs(KEY.geometry)) {
        if (geometry || !this.#geometry()) return false;
        geometry = true;
      } else if (cursor.keyIs(KEY.properties)) {
        if (from !== -1 || cursor.peek() !== OPEN_BRACE) return false;
        from = cursor.pos;
        cursor.spaced = false;
        this.#properties();
        to = cursor.pos;
        spaced = cursor.spaced;
      } else if (cursor.keyIs(KEY.id)) {
        if (hasId) return false;
        hasId = true;
        id = this.#id();
      } else cursor.skip();
    } while (cursor.another(CLOSE_BRACE));
    if (!type || !geometry || from === -1) return false;
    this.#into.endBytes(cursor.bytes, from, to, spaced, id);
    return true;
  }

  #id(): string | number | undefined {
    const cursor = this.#cursor;
    const c = cursor.peek();
    const from = cursor.pos;
    cursor.skip();
    if (c !== QUOTE && c !== 0x2d && !(c >= 0x30 && c <= 0x39)) return undefined;
    return this.#parsed(from, cursor.pos) as string | number;
  }

  /** Passes the properties object and gives the builder each key that is new in this feature. */
  #properties(): void {
    const cursor = this.#cursor;
    if (!cursor.enter(OPEN_BRACE, CLOSE_BRACE)) return;
    let k = 0;
    do {
      cursor.key();
      const known = this.#shape[k];
      if (known === undefined || !cursor.keyIs(known)) {
        const name = this.#parsed(cursor.keyStart - 1, cursor.keyEnd + 1) as string;
        this.#into.field(name);
        this.#shape[k] = cursor.bytes.slice(cursor.keyStart, cursor.keyEnd);
      }
      k++;
      cursor.skip();
    } while (cursor.another(CLOSE_BRACE));
  }

  #geometry(): boolean {
    const cursor = this.#cursor;
    if (cursor.peek() !== OPEN_BRACE) return false;
    if (!cursor.enter(OPEN_BRACE, CLOSE_BRACE)) return false;
    let type: PlainGeometry | undefined;
    let coordinates = -1; // where they begin, when they come before the type
    let read = false;
    do {
      cursor.key();
      if (cursor.keyEscaped) return false;
      if (cursor.keyIs(KEY.type)) {
        if (type !== undefined) return false;
        type = this.#geometryType();
        if (type === undefined) return false;
      } else if (cursor.keyIs(KEY.coordinates)) {
        if (read || coordinates !== -1) return false;
        if (type === undefined) {
          coordinates = cursor.pos;
          cursor.skip();
        } else {
          this.#into.begin(type.kind);
          if (!type.read(this)) return false;
          read = true;
        }
      } else cursor.skip();
    } while (cursor.another(CLOSE_BRACE));
    if (type === undefined || read) return read;
    if (coordinates === -1) return false;
    const after = cursor.pos;
    cursor.pos = coordinates;
    this.#into.begin(type.kind);
    if (!type.read(this)) return false;
    cursor.pos = after;
    return true;
  }

  #geometryType(): PlainGeometry | undefined {
    const cursor = this.#cursor;
    cursor.peek();
    for (const type of PLAIN) if (this.#literal(type.name)) return type;
    return undefined;
  }

  /** Passes this text when it stands here. */
  #literal(text: Uint8Array): boolean {
    const cursor = this.#cursor;
    cursor.peek();
    const { bytes, pos } = cursor;
    for (let i = 0; i < text.length; i++) {
      if (pos + i >= cursor.end) throw MORE;
      if (bytes[pos + i] !== text[i]) return false;
    }
    cursor.pos += text.length;
    return true;
  }

  /** One position; false when it is not two or three finite numbers. */
  position(): boolean {
    const cursor = this.#cursor;
    if (cursor.peek() !== OPEN_BRACKET) return false;
    cursor.pos++;
    const x = this.#coordinate();
    if (cursor.peek() !== 0x2c) return false;
    cursor.pos++;
    const y = this.#coordinate();
    let z = Number.NaN;
    if (cursor.peek() === 0x2c) {
      cursor.pos++;
      z = this.#coordinate();
      if (!Number.isFinite(z)) return false;
    }
    if (cursor.peek() !== CLOSE_BRACKET || !Number.isFinite(x) || !Number.isFinite(y)) return false;
    cursor.pos++;
    if (Number.isNaN(z)) this.#into.vertex(x, y);
    else this.#into.vertex(x, y, z);
    return true;
  }

  #coordinate(): number {
    const c = this.#cursor.peek();
    return c === 0x2d || (c >= 0x30 && c <= 0x39) ? this.#cursor.number() : Number.NaN;
  }

  /** A list of at least `least` items, each read by `item`. */
  list(least: number, item: () => boolean): boolean {
    const cursor = this.#cursor;
    if (cursor.peek() !== OPEN_BRACKET || !cursor.enter(OPEN_BRACKET, CLOSE_BRACKET)) return false;
    let n = 0;
    do {
      if (!item()) return false;
      n++;
    } while (cursor.another(CLOSE_BRACKET));
    return n >= least;
  }

  readonly point = (): boolean => {
    this.#into.part();
    this.#into.ring();
    return this.position();
  };

  readonly line = (): boolean => {
    this.#into.part();
    this.#into.ring();
    return this.list(2, this.#position);
  };

  readonly polygon = (): boolean => {
    this.#into.part();
    return this.list(1, this.#ring);
  };

  readonly #position = (): boolean => this.position();

  readonly #ring = (): boolean => {
    this.#into.ring();
    return this.list(1, this.#position);
  };

  #parsed(from: number, to: number): unknown {
    return JSON.parse(this.#text(from, to));
  }

  #checkUtf8(from: number, to: number): void {
    this.#text(from, to);
  }

  #text(from: number, to: number): string {
    try {
      return this.#decoder.decode(this.#cursor.bytes.subarray(from, to));
    } catch {
      throw new NotPlain('not UTF-8');
    }
  }
}

const PLAIN: readonly PlainGeometry[] = [
  { name: encode('"Point"'), kind: 'point', read: (r) => r.point() },
  { name: encode('"Polygon"'), kind: 'polygon', read: (r) => r.polygon() },
  { name: encode('"LineString"'), kind: 'line', read: (r) => r.line() },
  { name: encode('"MultiPolygon"'), kind: 'multipolygon', read: (r) => r.list(1, r.polygon) },
  { name: encode('"MultiLineString"'), kind: 'multiline', read: (r) => r.list(1, r.line) },
  { name: encode('"MultiPoint"'), kind: 'multipoint', read: (r) => r.list(1, r.point) },
];

function isFeature(value: unknown): boolean {
  return isObject(value) && value.type === 'Feature';
}

function joined(a: Uint8Array, b: Uint8Array): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(a.length + b.length);
  out.set(a);
  out.set(b, a.length);
  return out;
}
