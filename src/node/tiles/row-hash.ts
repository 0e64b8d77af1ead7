// The content of rows of a layer as a hash. In: a layer; out: SHA-256 of its rows, in their order. The same rows of the
// same source give the same hash, whether they were read alone or with all others: so a tile sees that a row it was handed
// has changed.
// Terms: row = own properties, and geometry with parts, rings and every coordinate at full length.

import { createHash, type Hash } from 'node:crypto';
import type { GeometryTable, Layer } from '../../model/index.js';

/** Of some rows, or of all. */
export function hashOfRows(layer: Layer, rows: Iterable<number> = Array(layer.count).keys()): string {
  const hash = createHash('sha256');
  for (const row of rows) {
    const id = layer.id(row);
    if (id !== undefined) hash.update(`${id}\t`);
    hash.update(layer.propertyBytes(row) ?? textOf(layer, row));
    addGeometry(hash, layer.geometry, row);
  }
  return hash.digest('hex');
}

function textOf(layer: Layer, row: number): string {
  return JSON.stringify(layer.properties(row), (_, value: unknown) =>
    typeof value === 'bigint' ? `${value}n` : value,
  );
}

function addGeometry(
  hash: Hash,
  { kind, partStart, ringStart, vertexStart, xy, z, m }: GeometryTable,
  row: number,
): void {
  const shape: number[] = [kind[row]!];
  const [firstPart, lastPart] = [partStart[row]!, partStart[row + 1]!];
  for (let part = firstPart; part < lastPart; part++) {
    const [first, last] = [ringStart[part]!, ringStart[part + 1]!];
    shape.push(last - first);
    for (let ring = first; ring < last; ring++) {
      shape.push(vertexStart[ring + 1]! - vertexStart[ring]!);
    }
  }
  const from = vertexStart[ringStart[firstPart]!]!;
  const to = vertexStart[ringStart[lastPart]!]!;
  hash.update(`\t${shape.join(' ')}\t`);
  hash.update(bytesOf(xy.subarray(from * 2, to * 2)));
  for (const [name, column] of [
    ['z', z],
    ['m', m],
  ] as const) {
    // A part of a layer may hold no height where the whole has some.
    const own = column?.subarray(from, to);
    if (own?.some((value) => !Number.isNaN(value)) === true) hash.update(name).update(bytesOf(own));
  }
  hash.update('\n');
}

function bytesOf(values: Float64Array): Uint8Array {
  return new Uint8Array(values.buffer, values.byteOffset, values.byteLength);
}
