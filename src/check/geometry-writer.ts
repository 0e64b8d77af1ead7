// Cleaned geometry: in: vertices, rings and parts one by one; out: a GeometryTable (see types.ts).
// Terms: mark = where the open feature began, so that a rejected one leaves nothing behind.

import { FloatColumn } from '../geometry/column.js';
import { kindCode } from '../layer.js';
import type { GeometryKind, GeometryTable } from '../types.js';

export class GeometryWriter {
  #kinds: number[] = [];
  #partStart: number[] = [0];
  #ringStart: number[] = [0];
  #vertexStart: number[] = [0];
  #xy = new FloatColumn();

  /** Parts of the open feature. */
  get parts(): number {
    return this.#ringStart.length - 1 - (this.#partStart[this.#partStart.length - 1] as number);
  }

  vertex(x: number, y: number): void {
    this.#xy.push(x);
    this.#xy.push(y);
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
    const parts = this.#partStart[this.#partStart.length - 1] as number;
    const rings = this.#ringStart[parts] as number;
    this.#ringStart.length = parts + 1;
    this.#vertexStart.length = rings + 1;
    this.#xy.truncate((this.#vertexStart[rings] as number) * 2);
    this.endFeature('none');
  }

  take(): GeometryTable {
    return {
      kind: Uint8Array.from(this.#kinds),
      partStart: Uint32Array.from(this.#partStart),
      ringStart: Uint32Array.from(this.#ringStart),
      vertexStart: Uint32Array.from(this.#vertexStart),
      xy: this.#xy.take(),
      z: null,
      m: null,
    };
  }
}
