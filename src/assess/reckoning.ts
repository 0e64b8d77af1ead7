// What one tree's verdict stands on. In: a variant; out: pieces and limits of a tree, when asked for. Terms: see model/.

import type { Assessment } from '../model/index.js';
import { limitFigures } from '../rules/index.js';
import type { Variant } from './variant.js';

/** `reckoning` of an Assessment. */
export function reckoningsOf({ zones, measured, rule, judged }: Variant): Assessment['reckoning'] {
  return (tree) => {
    const verdict = judged[tree]?.verdict;
    if (verdict === undefined || verdict === null || verdict === 'not-assessed' || Number.isNaN(zones.radiusM[tree]!))
      return null;
    return { pieces: measured.sharesOf(tree), limits: limitFigures(zones, measured.table, rule, tree) };
  };
}
