// Trees that are lost, one by one. In: trees, zones, verdicts, a mitigation table; out: a row for each, in input order.
// Terms: see model/removal.ts. The sums of the rows are those of the lot table (replacement.ts). Linear in the trees.

import {
  DISPOSITIONS,
  type Disposition,
  isGoing,
  type JudgedTree,
  type Mitigation,
  type Removal,
  type TreeTable,
  type Verdict,
  type ZoneTable,
} from '../model/index.js';
import { lostTree } from './lost-tree.js';
import { isLost, requirementOf } from './replacement.js';

export interface RemovalsInput {
  readonly trees: TreeTable;
  readonly zones: ZoneTable;
  readonly judged: readonly JudgedTree[];
  readonly mitigation: Mitigation | undefined;
}

/** Trees to be removed or moved, trees that stand in the works, and those over their limit that a table counts as lost. */
export function removalsOf({ trees, zones, judged, mitigation }: RemovalsInput): Removal[] {
  const out: Removal[] = [];
  for (let row = 0; row < trees.count; row++) {
    const disposition = DISPOSITIONS[trees.disposition[row]!] ?? 'keep';
    const { verdict } = judged[row]!;
    const lost = mitigation !== undefined && isLost(mitigation.lost, disposition, verdict);
    const why = reasonOf(disposition, verdict, lost);
    if (why === null) continue;
    out.push({
      row,
      why,
      marked: isGoing(disposition),
      lost,
      ...owed(lostTree(trees, zones, row), lost ? mitigation : undefined),
    });
  }
  return out;
}

function reasonOf(disposition: Disposition, verdict: Verdict | null, lost: boolean): Removal['why'] | null {
  if (isGoing(disposition)) return disposition;
  if (verdict === 'stem-in-works') return verdict;
  return lost && verdict === 'over-limit' ? verdict : null;
}

type Owed = Pick<Removal, 'dbhM' | 'className' | 'ratio' | 'requiredDbhM' | 'requiredTrees' | 'unknown'>;

/** What the table asks for the tree; a table of sums has no figure for a single tree. */
function owed(tree: ReturnType<typeof lostTree>, mitigation: Mitigation | undefined): Owed {
  const { dbhM } = tree;
  const none: Owed = { dbhM, className: null, ratio: null, requiredDbhM: null, requiredTrees: null, unknown: false };
  if (mitigation === undefined) return none;
  if (mitigation.total !== undefined) return { ...none, unknown: dbhM === null };
  const found = requirementOf(mitigation, tree);
  if (found === null) return { ...none, unknown: true };
  const { className, require } = found;
  if ('trees' in require) return { ...none, className, requiredTrees: require.trees };
  if (!('ratio' in require)) return { ...none, className, requiredDbhM: 0 };
  const { ratio } = require;
  if (dbhM === null) return { ...none, className, ratio, unknown: true };
  return { ...none, className, ratio, requiredDbhM: ratio * dbhM };
}
