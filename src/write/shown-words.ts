// How many trees are shown, in words. In: an assessment as writers have it; out: a sentence without its stop, or ''.

import type { Assessment } from '../model/index.js';

/**
 * How many trees are shown, in words; '' where all are.
 *
 * @example
 * shownWords(shownTrees(assessment, { only: ['protected'] })); // 'Shown: 64 of 120 trees (only protected); counts and totals are of all trees'
 */
export function shownWords({ shown, counts }: Pick<Assessment, 'shown' | 'counts'>): string {
  if (shown === undefined) return '';
  return `Shown: ${shown.count} of ${counts.trees.in} trees (only ${shown.only.join(', ')}); counts and totals are of all trees`;
}
