// Layer builder: in: features one by one from a format reader; out: a Layer (columns, see types.ts).
// Terms: part = a point, a line or a polygon of a multi-geometry; ring = a run of vertices.

import { type Finding, finding } from './findings.js';
import type { CrsStatement, FormatName, GeometryKind, Layer, Properties } from './types.js';
import { GEOMETRY_KINDS } from './types.js';

const KIND_CODE = Object.fromEntries(GEOMETRY_KINDS.map((k, i) => [k, i])) as Readonly<Record<GeometryKind, number>>;

/** Code of a geometry kind in GeometryTable.kind. */
export function kindCode(kind: GeometryKind): number {
  return KIND_CODE[kind];
}

/** Growing Float64 column; doubles when full. */
export class FloatColumn {
  #data = new Float64Array(1024);
  length = 0;
  push(value: number): void {
    if (this.length === this.#data.length) {
      const grown = new Float64Array(this.#data.length * 2);
      grown.set(this.#data);
      this.#data = grown;
    }
    this.#data[this.length++] = value;
  }
  /** Appends the same value `count` times. */
  fill(value: number, count: number): void {
    for (let i = 0; i < count; i++) this.push(value);
  }
  truncate(length: number): void {
    this.length = Math.min(length, this.length);
  }
  at(i: number): number {
    return this.#data[i] as number;
  }
  take(): Float64Array {
    return this.#data.slice(0, this.length);
  }
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
  #kinds: number[] = [];
  #partStart: number[] = [0];
  #ringStart: number[] = [0];
  #vertexStart: number[] = [0];
  #xy = new FloatColumn();
  // Made when the first vertex has one: most layers have neither heights nor measures.
  #z: FloatColumn | undefined;
  #m: FloatColumn | undefined;
  #ids: (string | number | undefined)[] = [];
  #properties: Properties[] = [];
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

  begin(kind: GeometryKind): void {
    this.#openKind = KIND_CODE[kind];
  }

  part(): void {
    this.#parts++;
    this.#ringStart.push(this.#rings);
  }

  ring(): void {
    this.#rings++;
    this.#ringStart[this.#parts] = this.#rings;
    this.#vertexStart.push(this.#xy.length / 2);
  }

  vertex(x: number, y: number, z: number = Number.NaN, m: number = Number.NaN): void {
    this.#xy.push(x);
    this.#xy.push(y);
    const vertices = this.#xy.length / 2;
    this.#vertexStart[this.#rings] = vertices;
    if (this.#z !== undefined) this.#z.push(z);
    else if (!Number.isNaN(z)) this.#z = columnWith(z, vertices);
    if (this.#m !== undefined) this.#m.push(m);
    else if (!Number.isNaN(m)) this.#m = columnWith(m, vertices);
  }

  /** Drops what the open feature's geometry holds so far and marks it broken; `end` still has to follow. */
  abandon(path: string, message: string, cure: string): void {
    const parts = this.#partStart[this.#partStart.length - 1] as number;
    const rings = this.#ringStart[parts] as number;
    const vertices = this.#vertexStart[rings] as number;
    this.#parts = parts;
    this.#rings = rings;
    this.#ringStart.length = parts + 1;
    this.#vertexStart.length = rings + 1;
    this.#xy.truncate(vertices * 2);
    this.#z?.truncate(vertices);
    this.#m?.truncate(vertices);
    this.#openKind = KIND_CODE.broken;
    this.findings.push(finding('geometry-broken', { layer: this.name, feature: this.count, path }, message, cure));
  }

  /** Whether every vertex so far lies within degrees: |x| <= 180 and |y| <= 90. */
  fitsDegrees(): boolean {
    for (let i = 0; i < this.#xy.length; i += 2) {
      if (!(Math.abs(this.#xy.at(i)) <= 180 && Math.abs(this.#xy.at(i + 1)) <= 90)) return false;
    }
    return true;
  }

  end(properties: Properties, id?: string | number): void {
    this.#kinds.push(this.#openKind);
    this.#partStart.push(this.#parts);
    this.#ids.push(id);
    this.#properties.push(properties);
    for (const key in properties) this.#fields.add(key);
  }

  finish(about: { readonly crs: CrsStatement | null; readonly sha256: string | null }): Layer {
    const ids = this.#ids;
    const properties = this.#properties;
    return {
      name: this.name,
      format: this.format,
      count: this.count,
      geometry: {
        kind: Uint8Array.from(this.#kinds),
        partStart: Uint32Array.from(this.#partStart),
        ringStart: Uint32Array.from(this.#ringStart),
        vertexStart: Uint32Array.from(this.#vertexStart),
        xy: this.#xy.take(),
        z: taken(this.#z),
        m: taken(this.#m),
      },
      crs: about.crs,
      fields: [...this.#fields],
      id: (feature) => ids[feature],
      properties: (feature) => properties[feature] ?? {},
      findings: this.findings,
      sha256: about.sha256,
    };
  }
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
