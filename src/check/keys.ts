// What a person calls a feature: in: a layer and its id fields; out: one unique key per row, and a finding per
// doubled id.
// Terms: key = own `id` property, else the feature's id, else the tag, else `layer:row`; a doubled one gets `#2`.

import type { Layer } from '../model/index.js';
import { type ByteSpot, spotFinder } from '../model/index.js';
import { textOf } from './columns.js';
import type { SourceField } from './fields.js';
import { NameTable } from './names.js';
import type { Reporter } from './reporter.js';

/** Remembers the keys of a table; several layers of works share one. */
export class Keys {
  readonly all: NameTable = new NameTable();
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
    if (layer.part !== undefined) {
      // Doubled ids can be found only in the whole layer.
      for (let row = 0; row < layer.count; row++) this.all.addText(layer.part.keys.at(row)!);
      return;
    }
    const plain = plainId(layer, ids);
    let shared = 0; // ids that another file has too, and the first of them
    let example = { own: '', key: '' };
    const double = (own: string, first: number, row: number): void => {
      const key = this.#double(own, first, base, row, layer, out);
      if (first < base && shared++ === 0) example = { own, key };
    };
    const spot: ByteSpot = { bytes: new Uint8Array(), from: 0, to: 0 };
    for (let row = 0; row < layer.count; row++) {
      if (plain?.(row, spot) === true) {
        const first = this.all.add(spot);
        if (first < 0) continue;
        double(textOf(ids, layer, row)!, first, row);
        continue;
      }
      const own = textOf(ids, layer, row) ?? ownId(layer.id(row)) ?? textOf(tags, layer, row);
      if (own === undefined) {
        this.#free(`${layer.name}:${row}`);
        continue;
      }
      const first = this.all.addText(own);
      if (first >= 0) double(own, first, row);
    }
    if (shared > 0) {
      const some =
        shared === 1
          ? 'one feature has the same id as a feature of an earlier file'
          : `${shared} features have the same ids as features of an earlier file`;
      const message = `${some}: "${example.own}" of this file is called "${example.key}" in the results, and where trees name it`;
      out.sayOnce('duplicate-id', null, message, 'give each feature an id of its own, across files too');
    }
  }

  /** A key for a name that an earlier row has. */
  #double(own: string, first: number, base: number, row: number, layer: Layer, out: Reporter): string {
    // the file's name keeps ids of two files apart
    if (first < base) return this.#free(`${layer.name}:${own}`);
    const key = this.#free(own);
    out.say(
      'duplicate-id',
      row,
      null,
      `feature ${row} has the id "${own}" that feature ${first - base} has; it is called "${key}" here`,
      'give each feature an id of its own',
    );
    return key;
  }

  /** The name itself, or with the first number from #2 that makes it unique. */
  #free(name: string): string {
    let key = name;
    let n = this.#repeats.get(name) ?? 1;
    while (this.all.rowOfText(key) >= 0) key = `${name}#${++n}`;
    if (n > 1) this.#repeats.set(name, n);
    this.all.addText(key);
    return key;
  }
}

/**
 * Finds ids that are the same as text and as bytes: plain text without spaces at its ends, whole numbers as String() writes
 * them. Null where ids come from several fields or the layer holds no bytes; false for any other id.
 */
function plainId(
  layer: Layer,
  ids: readonly SourceField[] | undefined,
): ((row: number, into: ByteSpot) => boolean) | null {
  const [only, ...more] = ids ?? [];
  if (only === undefined || more.length > 0) return null;
  const find = spotFinder(layer, only.name);
  return find === null ? null : (row, into) => find(row, into) && isPlain(into);
}

const QUOTE = 0x22;
const BACKSLASH = 0x5c;
const ZERO = 0x30;

/** Whether a JSON value is a plain id; the quotes are taken off. */
function isPlain(value: ByteSpot): boolean {
  const { bytes, from, to } = value;
  const first = bytes[from]!;
  if (first === QUOTE) {
    if (to - from < 3 || bytes[from + 1] === 0x20 || bytes[to - 2] === 0x20) return false;
    for (let i = from + 1; i < to - 1; i++) {
      const c = bytes[i]!;
      if (c >= 0x7f || c === BACKSLASH) return false;
    }
    value.from++;
    value.to--;
    return true;
  }
  if (to - from > 15 || (first === ZERO && to - from > 1)) return false;
  for (let i = from; i < to; i++) if ((bytes[i]! ^ ZERO) > 9) return false;
  return true;
}

export function ownId(id: string | number | undefined): string | undefined {
  if (id === undefined) return undefined;
  const text = String(id).trim();
  return text === '' ? undefined : text;
}
