// Areas by the set of classes that cover the ground: in: areas with their masks; out: sums over the masks that are asked for.
// Terms: mask = classes that cover a place, one bit each (pieces.ts); present = classes that can occur in any mask.
// Few classes, the ordinary case, index an array; a tree among works of many classes keeps only the masks that occur.

/** Sets of classes below this index an array (512 kB at most); any above and masks are kept one by one. */
const DENSE_BELOW = 1 << 16;

export class MaskAreas {
  present = 0;
  #dense = new Float64Array(512);
  readonly #sparse = new Map<number, number>();
  #isDense = true;

  /** Forgets all areas; later masks hold only these classes. */
  clear(present: number): void {
    this.present = 0;
    if (!this.#isDense) this.#sparse.clear();
    this.#isDense = true;
    this.allow(present);
  }

  /** Lets masks hold these classes too; areas so far stay. */
  allow(classes: number): void {
    const before = this.present;
    this.present |= classes;
    if (!this.#isDense) return;
    if (this.present >= DENSE_BELOW) {
      this.#isDense = false;
      for (let mask = before; mask > 0; mask = (mask - 1) & before) {
        if (this.#dense[mask] !== 0) this.#sparse.set(mask, this.#dense[mask]!);
      }
      return;
    }
    if (this.present >= this.#dense.length) {
      const wider = new Float64Array(2 ** (32 - Math.clz32(this.present)));
      wider.set(this.#dense);
      this.#dense = wider;
    }
    for (let mask = this.present; mask > 0; mask = (mask - 1) & this.present) {
      if ((mask & ~before) !== 0) this.#dense[mask] = 0;
    }
  }

  /** The areas by mask, to be added to in a loop that must be fast; null where they are kept one by one. Entry 0 is not used. */
  get array(): Float64Array | null {
    return this.#isDense ? this.#dense : null;
  }

  /** Adds to a mask's area; a mask without classes is ignored. */
  add(mask: number, area: number): void {
    if (mask === 0) return;
    if (this.#isDense) this.#dense[mask] = this.#dense[mask]! + area;
    else this.#sparse.set(mask, (this.#sparse.get(mask) ?? 0) + area);
  }

  /** Adds another's areas, each times `scale`. */
  addAll(other: MaskAreas, scale: number): void {
    this.allow(other.present);
    if (other.#isDense) {
      const { present } = other;
      for (let mask = present; mask > 0; mask = (mask - 1) & present) {
        this.add(mask, other.#dense[mask]! * scale);
      }
    } else for (const [mask, area] of other.#sparse) this.add(mask, area * scale);
  }

  /** The area under exactly these classes. */
  at(mask: number): number {
    if ((mask & ~this.present) !== 0) return 0;
    return this.#isDense ? this.#dense[mask]! : (this.#sparse.get(mask) ?? 0);
  }

  /** The area under any of `classes`, under none of `without` and under all of `within`. */
  sum(classes: number, without: number, within: number): number {
    let sum = 0;
    if (this.#isDense) {
      const { present } = this;
      for (let mask = present; mask > 0; mask = (mask - 1) & present) {
        if ((mask & classes) !== 0 && (mask & without) === 0 && (mask & within) === within) {
          sum += this.#dense[mask]!;
        }
      }
    } else {
      for (const [mask, area] of this.#sparse) {
        if ((mask & classes) !== 0 && (mask & without) === 0 && (mask & within) === within) sum += area;
      }
    }
    return sum;
  }
}
