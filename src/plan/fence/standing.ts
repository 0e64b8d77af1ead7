// Works about a group of trees, united. In: works of three sorts; out: their union, of all sorts or of some, and what it leaves of
// a shape. Each is made once: mostly there is one sort, and all that is asked for is the same.

import { lessShape, type Shape, unionOfMany } from '../../geometry/index.js';

export interface WorksOfSorts {
  /** Those that leave no way through, and all others that stay. */
  readonly solid: readonly Shape[];
  readonly flat: readonly Shape[];
  /** Temporary ways that pass through. */
  readonly ways: readonly Shape[];
  /** Called within each step: throws to stop. */
  readonly look?: (() => void) | undefined;
}

export class Standing {
  readonly #scene: WorksOfSorts;
  readonly #unions = new Map<string, Shape>();
  readonly #left = new Map<string, { readonly of: Shape; readonly left: Shape }>();

  constructor(scene: WorksOfSorts) {
    this.#scene = scene;
  }

  /** Solid works, with the flat ones and the ways. */
  union(withFlat: boolean, withWays: boolean): Shape {
    const { solid, flat, ways, look } = this.#scene;
    const key = this.#keyOf(withFlat, withWays);
    let union = this.#unions.get(key);
    if (union === undefined) {
      const all = [...solid, ...(withFlat ? flat : []), ...(withWays ? ways : [])];
      union = unionOfMany(all.flat(), look);
      this.#unions.set(key, union);
    }
    return union;
  }

  /** A shape without them. */
  without(shape: Shape, withFlat: boolean, withWays: boolean): Shape {
    const key = this.#keyOf(withFlat, withWays);
    const known = this.#left.get(key);
    if (known?.of === shape) return known.left;
    const left = lessShape(shape, this.union(withFlat, withWays), this.#scene.look);
    this.#left.set(key, { of: shape, left });
    return left;
  }

  #keyOf(withFlat: boolean, withWays: boolean): string {
    const { flat, ways } = this.#scene;
    return `${withFlat && flat.length > 0} ${withWays && ways.length > 0}`;
  }
}
