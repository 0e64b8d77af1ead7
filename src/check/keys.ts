// What a person calls a feature: in: a layer and its id fields; out: one unique key per row, and a finding per
// doubled id.
// Terms: key = own `id` property, else the feature's id, else the tag, else `layer:row`; a doubled one gets `#2`.

import type { Layer } from '../types.js';
import { textOf } from './columns.js';
import type { SourceField } from './fields.js';
import type { Reporter } from './reporter.js';

/** Remembers the keys of a table; several layers of works share one. */
export class Keys {
  readonly all: string[] = [];
  readonly #rowOf = new Map<string, number>(); // key -> table row
  readonly #repeats = new Map<string, number>();

  /** Adds the keys of a layer and sets them on the reporter. */
  add(
    layer: Layer,
    ids: readonly SourceField[] | undefined,
    tags: readonly SourceField[] | undefined,
    out: Reporter,
  ): void {
    const base = this.all.length;
    out.keys = this.all;
    for (let row = 0; row < layer.count; row++) {
      const own = textOf(ids, layer, row) ?? ownId(layer.id(row)) ?? textOf(tags, layer, row);
      if (own === undefined) {
        this.all.push(this.#free(`${layer.name}:${row}`, base + row));
        continue;
      }
      const first = this.#rowOf.get(own);
      if (first === undefined) {
        this.#rowOf.set(own, base + row);
        this.all.push(own);
      } else if (first < base) {
        // another file may use the same ids: the file's name tells them apart
        this.all.push(this.#free(`${layer.name}:${own}`, base + row));
      } else {
        const key = this.#free(own, base + row);
        this.all.push(key);
        out.say(
          'duplicate-id',
          row,
          null,
          `feature ${row} has the id "${own}" that feature ${first - base} has; it is called "${key}" here`,
          'give each feature an id of its own',
        );
      }
    }
  }

  /** The name itself, or with the first number from #2 that makes it unique. */
  #free(name: string, row: number): string {
    let key = name;
    let n = this.#repeats.get(name) ?? 1;
    while (this.#rowOf.has(key)) key = `${name}#${++n}`;
    if (n > 1) this.#repeats.set(name, n);
    this.#rowOf.set(key, row);
    return key;
  }
}

export function ownId(id: string | number | undefined): string | undefined {
  if (id === undefined) return undefined;
  const text = String(id).trim();
  return text === '' ? undefined : text;
}
