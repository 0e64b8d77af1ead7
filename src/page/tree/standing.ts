// What a tree's answers come to, in the library's own words. In: an assessment, a tree; out: lines of text: the retention category
// with its reasons, what is to be seen first, what is not recorded. Nothing is reckoned here, and nothing concluded.

import type { Assessment, TreeResult } from '../../core.js';
import { categoryWords, missingWords, retentionReason, seeFirstWords } from '../../write/worth-words.js';

export interface Standing {
  readonly category: string;
  readonly reasons: readonly string[];
  readonly seeFirst: readonly string[];
  readonly missing: readonly string[];
  /** What the checks say of this tree's columns. */
  readonly findings: readonly string[];
}

export function standingOf(assessment: Assessment, tree: TreeResult): Standing {
  const { worth, row, key } = tree;
  return {
    category: worth === null ? 'no answer yet: no category' : categoryWords(tree),
    reasons: (worth?.reasons ?? []).map((code) => {
      const { words, source } = retentionReason(code);
      return source === '' ? words : `${words} (${source})`;
    }),
    seeFirst: seeFirstWords(assessment, tree),
    missing: missingWords(tree),
    findings: assessment.findings
      .filter(({ id, feature, layer }) => id === key && feature === row && layer === assessment.job.trees.layer.name)
      .map(({ message, cure }) => `${message}. ${cure}`),
  };
}
