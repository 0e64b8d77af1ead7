// Witnesses of the whole job. In: the job's tables; out: the few rows that go along with every tile.
// Terms: witness = a row of another tile by which a tile's output has the same columns as the whole job's: the first tree
// with a crown, with a word on its protection, with an accuracy; the first works of each kind and of each design option.
// A witness is measured like any other tree but never written, since it belongs to another tile.

import type { TreeTable, WorksTable } from '../model/index.js';

/** Rows of trees, ascending: the first row of each thing that adds columns. */
export function treeWitnesses(
  trees: TreeTable,
  lonLat: Float64Array,
  drawnCrowns: ReadonlyMap<number, unknown> | null,
): Uint32Array {
  const rows = new Set<number>();
  const first = (test: (row: number) => boolean): void => {
    for (let row = 0; row < trees.count; row++) {
      if (!test(row)) continue;
      rows.add(row);
      return;
    }
  };
  first((row) => trees.protected[row]! <= 1);
  first((row) => trees.accuracyM[row]! >= 0);
  first((row) => !Number.isNaN(lonLat[row * 2]!) && hasCrown(trees, row, drawnCrowns));
  return Uint32Array.from(rows).sort();
}

function hasCrown({ crownM }: TreeTable, row: number, drawn: ReadonlyMap<number, unknown> | null): boolean {
  if (drawn?.has(row) === true) return true;
  for (let side = 0; side < 4; side++) if (!Number.isNaN(crownM[row * 4 + side]!)) return true;
  return false;
}

/** Rows of works, ascending: the first that can be measured of each design option, the first of each kind that counts. */
export function worksWitnesses(works: WorksTable, counts: Uint8Array): Uint32Array {
  const rows: number[] = [];
  const options = new Set<string>();
  const kinds = new Set<number>();
  for (let row = 0; row < works.count; row++) {
    if (works.rejected.has(row)) continue;
    const option = works.option[row];
    const kind = works.kind[row]!;
    const isNewOption = option !== undefined && !options.has(option);
    const isNewKind = counts[row] === 1 && !kinds.has(kind);
    if (!isNewOption && !isNewKind) continue;
    rows.push(row);
    if (option !== undefined) options.add(option);
    if (counts[row] === 1) kinds.add(kind);
  }
  return Uint32Array.from(rows);
}
