// The answer on top of the page: the report's own sentences. In: an assessment; out: HTML, escaped by the report. The trees
// one by one are folded away, so that the plan stays in sight.

import type { Assessment, Units } from '../core.js';
import { figuresIn } from '../report/figures.js';
import { overLimitsHtml } from '../report/page/answer.js';

export function answer(assessment: Assessment | null, units: Units): string {
  if (assessment === null) return '';
  if (assessment.job.trees.count === 0) return '<p>No tree is on the plan yet.</p>';
  return overLimitsHtml(assessment, { units }, figuresIn(units), units)
    .replace('<ol>', '<details><summary>Tree by tree</summary><ol>')
    .replace('</ol>', '</ol></details>');
}
