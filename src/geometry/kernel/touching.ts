// The pieces that hold some of a disc, as columns: in: pieces one by one; out: what a sweep needs of each, and per owner
// the area that nobody else's works cover. Terms: owner = a row of works, which may have several pieces; sole = covered
// by the works of one owner only; spare = bits of ground whose loss is not counted.

import { RETREATED } from './pieces.js';

/** From so many owners on, a map finds the number of one. */
const MAPPED_FROM = 16;

/** Works whose sole areas differ by less count as equal, square metres: the first by input order is the worst. */
const EQUAL_M2 = 1e-9;

export class Touching {
  count = 0;
  wraps: Uint8Array = new Uint8Array(64); // whether the circle is inside at the cut ray
  classBit: Int32Array = new Int32Array(64);
  cuts: Uint8Array = new Uint8Array(64);
  owner: Int32Array = new Int32Array(64); // number of the owner here, -1 where it is not proposed works
  spare: number = RETREATED;

  owners = 0;
  sole: Float64Array = new Float64Array(64); // per owner, square metres
  #rows = new Int32Array(64); // the owner's row of works
  readonly #numbers = new Map<number, number>(); // the owner's number by its row, once there are many

  // results of `findWorst`
  worst = -1; // row of works, -1 for none
  worstM2 = 0;

  /** Forgets pieces and owners. */
  clear(): void {
    this.count = 0;
    this.owners = 0;
    if (this.#numbers.size > 0) this.#numbers.clear();
  }

  /** Forgets the pieces; what owners have is kept, for a shape that is measured in parts. */
  restart(): void {
    this.count = 0;
  }

  /** `row` is the owner's row of works, -1 for a piece that is nobody's proposal. */
  add(wrapCount: number, classBit: number, cuts: number, row: number): void {
    const n = this.count++;
    if (n === this.wraps.length) this.#grow();
    this.wraps[n] = wrapCount & 1;
    this.classBit[n] = classBit;
    this.cuts[n] = cuts;
    this.owner[n] = row < 0 ? -1 : this.#numberOf(row);
  }

  /** Finds the works whose removal would free most: sets worst and worstM2. */
  findWorst(): void {
    this.worst = -1;
    this.worstM2 = 0;
    if (this.owners === 0) return;
    // The area is the largest one, whichever works are named, so that the order of input changes no digit of it.
    let most = Number.NEGATIVE_INFINITY;
    for (let o = 0; o < this.owners; o++) most = Math.max(most, this.sole[o]!);
    this.worstM2 = most;
    for (let o = 0; o < this.owners; o++) {
      const row = this.#rows[o]!;
      const isMost = this.sole[o]! >= most - EQUAL_M2;
      if (isMost && (this.worst < 0 || row < this.worst)) this.worst = row;
    }
  }

  /** The area that only the works of a row cover; 0 for a row without pieces here. */
  soleOf(row: number): number {
    const o = this.#find(row);
    return o < 0 ? 0 : this.sole[o]!;
  }

  /** Number of the owner with this row, -1 when there is none yet. */
  #find(row: number): number {
    if (this.owners > MAPPED_FROM) {
      for (let o = this.#numbers.size; o < this.owners; o++) this.#numbers.set(this.#rows[o]!, o);
      return this.#numbers.get(row) ?? -1;
    }
    for (let o = this.owners - 1; o >= 0; o--) if (this.#rows[o] === row) return o;
    return -1;
  }

  #numberOf(row: number): number {
    const known = this.#find(row);
    if (known >= 0) return known;
    const o = this.owners++;
    if (o === this.sole.length) {
      const sole = new Float64Array(o * 2);
      sole.set(this.sole);
      this.sole = sole;
      const rows = new Int32Array(o * 2);
      rows.set(this.#rows);
      this.#rows = rows;
    }
    this.sole[o] = 0;
    this.#rows[o] = row;
    return o;
  }

  #grow(): void {
    const size = this.wraps.length * 2;
    const wider = <T extends Uint8Array | Int32Array>(out: T, from: T): T => {
      out.set(from);
      return out;
    };
    this.wraps = wider(new Uint8Array(size), this.wraps);
    this.classBit = wider(new Int32Array(size), this.classBit);
    this.cuts = wider(new Uint8Array(size), this.cuts);
    this.owner = wider(new Int32Array(size), this.owner);
  }
}
