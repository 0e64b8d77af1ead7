// Cleaned geometry: in: vertices, rings and parts one by one; out: a GeometryTable (see model/).
// Terms: mark = where the open feature began, so that a rejected one leaves nothing behind.

import { FloatColumn, IndexColumn } from '../geometry/index.js';
import type { GeometryKind, GeometryTable } from '../model/index.js';
import { kindCode } from '../model/index.js';

export class GeometryWriter {
  readonly #kinds = new IndexColumn();
  readonly #partStart = fromZero();
  readonly #ringStart = fromZero();
  readonly #vertexStart = fromZero();
  readonly #xy = new FloatColumn();

  /** Makes room for what a layer holds: cleaning leaves out vertices and rarely adds any. */
  reserve({ kind, ringStart, vertexStart, xy }: GeometryTable): void {
    this.#kinds.reserve(this.#kinds.length + kind.length);
    this.#partStart.reserve(this.#partStart.length + kind.length);
    this.#ringStart.reserve(this.#ringStart.length + ringStart.length);
    this.#vertexStart.reserve(this.#vertexStart.length + vertexStart.length);
    this.#xy.reserve(this.#xy.length + xy.length);
  }

  /** Parts of the open feature. */
  get parts(): number {
    return this.#ringStart.length - 1 - last(this.#partStart);
  }

  vertex(x: number, y: number): void {
    this.#xy.push(x);
    this.#xy.push(y);
  }

  /** Vertices from .. to of an array of pairs. */
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
    this.#kinds.push(kindCode(kind));
    this.#partStart.push(this.#ringStart.length - 1);
  }

  /** Drops what the open feature holds and ends it without parts. */
  endEmpty(): void {
    const parts = last(this.#partStart);
    const rings = this.#ringStart.at(parts);
    this.#ringStart.truncate(parts + 1);
    this.#vertexStart.truncate(rings + 1);
    this.#xy.truncate(this.#vertexStart.at(rings) * 2);
    this.endFeature('none');
  }

  take(): GeometryTable {
    return {
      kind: new Uint8Array(this.#kinds.take()),
      partStart: this.#partStart.take(),
      ringStart: this.#ringStart.take(),
      vertexStart: this.#vertexStart.take(),
      xy: this.#xy.take(),
      z: null,
      m: null,
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
