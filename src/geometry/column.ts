// Growing typed columns: in: numbers one by one; out: a typed array of just the right length.

/** Room at the first push: margins make a few dozen corners into pieces thousands of times, and what doubles soon is large. */
const FIRST = 64;
/** The same for whole numbers: arrays of up to 64 bytes lie among the objects, and cost a tenth of larger ones to make. */
const FIRST_INDICES = 16;
const NO_NUMBERS = new Float64Array();
const NO_INDICES = new Uint32Array();

/** A Float64 column that doubles when full. */
export class FloatColumn {
  #data: Float64Array<ArrayBuffer> = NO_NUMBERS;
  length: number = 0;
  push(value: number): void {
    if (this.length === this.#data.length) {
      const grown = new Float64Array(Math.max(this.#data.length * 2, FIRST));
      grown.set(this.#data);
      this.#data = grown;
    }
    this.#data[this.length++] = value;
  }
  /** Appends the same value `count` times. */
  fill(value: number, count: number): void {
    for (let i = 0; i < count; i++) this.push(value);
  }
  /** Makes room for so many values in all: a column that need not double again leaves nothing behind to be collected. */
  reserve(length: number): void {
    if (length <= this.#data.length) return;
    const grown = new Float64Array(length);
    grown.set(this.#data.subarray(0, this.length));
    this.#data = grown;
  }
  /** Appends values from .. to of an array. */
  pushRange(values: ArrayLike<number>, from: number, to: number): void {
    const after = this.length + to - from;
    if (after > this.#data.length) this.reserve(Math.max(this.#data.length * 2, after));
    const data = this.#data;
    for (let i = from, o = this.length; i < to; i++, o++) data[o] = values[i]!;
    this.length = after;
  }
  /** Drops everything from `length` on. */
  truncate(length: number): void {
    this.length = Math.min(length, this.length);
  }
  at(i: number): number {
    return this.#data[i]!;
  }
  /** The values; no copy where the column is well filled, so it is not to be used afterwards. */
  take(): Float64Array<ArrayBuffer> {
    return this.length * 4 > this.#data.length * 3
      ? this.#data.subarray(0, this.length)
      : this.#data.slice(0, this.length);
  }
}

/** A Uint32 column that doubles when full. */
export class IndexColumn {
  #data: Uint32Array<ArrayBuffer> = NO_INDICES;
  length: number = 0;
  /** Over values that are there already; they are not copied. */
  static over(values: Uint32Array<ArrayBuffer>): IndexColumn {
    const out = new IndexColumn();
    out.#data = values;
    out.length = values.length;
    return out;
  }
  push(value: number): void {
    if (this.length === this.#data.length) {
      const grown = new Uint32Array(Math.max(this.#data.length * 2, FIRST_INDICES));
      grown.set(this.#data);
      this.#data = grown;
    }
    this.#data[this.length++] = value;
  }
  /** Makes room for so many values in all. */
  reserve(length: number): void {
    if (length <= this.#data.length) return;
    const grown = new Uint32Array(length);
    grown.set(this.#data.subarray(0, this.length));
    this.#data = grown;
  }
  truncate(length: number): void {
    this.length = Math.min(length, this.length);
  }
  at(i: number): number {
    return this.#data[i]!;
  }
  set(i: number, value: number): void {
    this.#data[i] = value;
  }
  /** The values; no copy where the column is well filled, so it is not to be used afterwards. */
  take(): Uint32Array<ArrayBuffer> {
    return this.length * 4 > this.#data.length * 3
      ? this.#data.subarray(0, this.length)
      : this.#data.slice(0, this.length);
  }
}

/** A column of twice the length with the same values first. */
export function doubled(column: Float64Array): Float64Array<ArrayBuffer> {
  const out = new Float64Array(column.length * 2);
  out.set(column);
  return out;
}

/** The same for whole numbers. */
export function doubledIntegers(column: Int32Array): Int32Array<ArrayBuffer> {
  const out = new Int32Array(column.length * 2);
  out.set(column);
  return out;
}
