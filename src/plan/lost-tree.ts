// A tree as a mitigation table sees it. In: tables, a row; out: what its classes ask about. Constant.

import { given, type TreeTable, type ZoneTable } from '../model/index.js';
import { isProtected } from './protected.js';
import type { LostTree } from './replacement.js';

export function lostTree(trees: TreeTable, zones: ZoneTable, row: number): LostTree {
  return {
    dbhM: diameterOf(trees, zones, row),
    species: trees.species[row],
    commonName: trees.text(row, 'common_name'),
    condition: trees.text(row, 'condition'),
    protected: isProtected(trees, zones, row) === true,
  };
}

/** The diameter the rule used; if the rule could not use the tree, the diameter that was read. */
export function diameterOf(trees: TreeTable, zones: ZoneTable, row: number): number | null {
  const used = zones.dbhM[row]!;
  return given(Number.isNaN(used) ? trees.dbhM[row] : used);
}
