// Geometry of a layer as columns (see GeometryTable). In: vertices, rings, parts and features, each ended after what it
// holds; out: a GeometryTable. Terms: open = what has been given since the last feature ended; a broken one leaves nothing
// behind. Cost: a push for each coordinate.

import { FloatColumn, IndexColumn } from '../geometry/index.js';
import { GEOMETRY_KINDS, type GeometryKind, type GeometryTable } from './layer.js';

const KIND_CODE = Object.fromEntries(GEOMETRY_KINDS.map((k, i) => [k, i])) as Readonly<Record<GeometryKind, number>>;

/** Row `row` has vertices from this one to before that of the next row. */
export function firstVertex(
  { partStart, ringStart, vertexStart }: Pick<GeometryTable, 'partStart' | 'ringStart' | 'vertexStart'>,
  row: number,
): number {
  return vertexStart[ringStart[partStart[row]!]!]!;
}

export class GeometryColumns {
  readonly #kinds = new IndexColumn();
  readonly #partStart = fromZero();
  readonly #ringStart = fromZero();
  readonly #vertexStart = fromZero();
  readonly #xy = new FloatColumn();
  // Made when the first vertex has one: most layers have neither heights nor measures.
  #z: FloatColumn | undefined;
  #m: FloatColumn | undefined;

  /** Features that have ended. */
  get count(): number {
    return this.#kinds.length;
  }

  /** Parts of the open feature that have ended. */
  get parts(): number {
    return this.#ringStart.length - 1 - last(this.#partStart);
  }

  /** Makes room for as much as another table holds: cleaning leaves out vertices and seldom adds any. */
  reserve({ kind, ringStart, vertexStart, xy }: GeometryTable): void {
    this.#kinds.reserve(this.#kinds.length + kind.length);
    this.#partStart.reserve(this.#partStart.length + kind.length);
    this.#ringStart.reserve(this.#ringStart.length + ringStart.length);
    this.#vertexStart.reserve(this.#vertexStart.length + vertexStart.length);
    this.#xy.reserve(this.#xy.length + xy.length);
  }

  /** Makes room for all that will come, when what is here is `share` of the whole. */
  expect(share: number): void {
    const columns = [this.#kinds, this.#partStart, this.#ringStart, this.#vertexStart, this.#xy];
    for (const column of columns) column.reserve(Math.ceil((column.length / share) * 1.02));
  }

  vertex(x: number, y: number, z: number = Number.NaN, m: number = Number.NaN): void {
    this.#xy.push(x);
    this.#xy.push(y);
    if (this.#z !== undefined) this.#z.push(z);
    else if (!Number.isNaN(z)) this.#z = columnWith(z, this.#xy.length / 2);
    if (this.#m !== undefined) this.#m.push(m);
    else if (!Number.isNaN(m)) this.#m = columnWith(m, this.#xy.length / 2);
  }

  /** Vertices from .. to of an array of pairs, without heights and measures. */
  vertices(xy: Float64Array, from: number, to: number): void {
    this.#xy.pushRange(xy, from * 2, to * 2);
  }

  endRing(): void {
    this.#vertexStart.push(this.#xy.length / 2);
  }

  endPart(): void {
    this.#ringStart.push(this.#vertexStart.length - 1);
  }

  endFeature(kind: GeometryKind): void {
    this.#kinds.push(KIND_CODE[kind]);
    this.#partStart.push(this.#ringStart.length - 1);
  }

  /** Drops what the open feature holds. */
  restart(): void {
    const parts = last(this.#partStart);
    const rings = this.#ringStart.at(parts);
    const vertices = this.#vertexStart.at(rings);
    this.#ringStart.truncate(parts + 1);
    this.#vertexStart.truncate(rings + 1);
    this.#xy.truncate(vertices * 2);
    this.#z?.truncate(vertices);
    this.#m?.truncate(vertices);
  }

  /** Drops what the open feature holds and ends it without parts. */
  endEmpty(): void {
    this.restart();
    this.endFeature('none');
  }

  /** West, south, east, north of the open feature's vertices so far; null without any. */
  openBox(): [number, number, number, number] | null {
    const from = this.#vertexStart.at(this.#ringStart.at(last(this.#partStart))) * 2;
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

  /** The columns. Nothing may be added to them afterwards. */
  take(): GeometryTable {
    return {
      kind: new Uint8Array(this.#kinds.take()),
      partStart: this.#partStart.take(),
      ringStart: this.#ringStart.take(),
      vertexStart: this.#vertexStart.take(),
      xy: this.#xy.take(),
      z: taken(this.#z),
      m: taken(this.#m),
    };
  }
}

function fromZero(): IndexColumn {
  const column = new IndexColumn();
  column.push(0);
  return column;
}

function last(column: IndexColumn): number {
  return column.at(column.length - 1);
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
