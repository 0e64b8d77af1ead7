// A read-only map of rows that is computed from columns. In: a count and a look-up; out: a ReadonlyMap by row.
// A Map with a million entries takes a second and a hundred bytes each; a look-up into columns takes neither.
// Terms: absent = the look-up gives undefined for the row.

export class RowMap<T> implements ReadonlyMap<number, T> {
  readonly #count: number;
  readonly #at: (row: number) => T | undefined;

  constructor(count: number, at: (row: number) => T | undefined) {
    this.#count = count;
    this.#at = at;
  }

  get(row: number): T | undefined {
    return row >= 0 && row < this.#count ? this.#at(row) : undefined;
  }

  has(row: number): boolean {
    return this.get(row) !== undefined;
  }

  /** Counted when asked for. */
  get size(): number {
    let size = 0;
    for (let row = 0; row < this.#count; row++) if (this.#at(row) !== undefined) size++;
    return size;
  }

  *entries(): MapIterator<[number, T]> {
    for (let row = 0; row < this.#count; row++) {
      const value = this.#at(row);
      if (value !== undefined) yield [row, value];
    }
  }

  *keys(): MapIterator<number> {
    for (const [row] of this.entries()) yield row;
  }

  *values(): MapIterator<T> {
    for (const [, value] of this.entries()) yield value;
  }

  [Symbol.iterator](): MapIterator<[number, T]> {
    return this.entries();
  }

  forEach(visit: (value: T, row: number, map: ReadonlyMap<number, T>) => void): void {
    for (const [row, value] of this.entries()) visit(value, row, this);
  }
}
