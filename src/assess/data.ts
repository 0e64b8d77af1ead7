// An assessment as data alone. In: an assessment; out: an object that can be cloned, stored and sent to another thread.
// Terms: data = plain objects, lists, numbers, texts; no methods. Its trees, works and totals are made if they were not yet.

import type { Assessment, AssessmentData } from '../model/index.js';

/**
 * The content of an assessment, without its methods. Shift grids are code and are left out of the options; the inputs still
 * name the operation that was used.
 *
 * @example
 * const copy = structuredClone(assessmentData(assessment));
 * copy.trees[0]?.verdict; // 'within-limit'
 */
export function assessmentData(assessment: Assessment): AssessmentData {
  const { grids: _, ...options } = assessment.options;
  return {
    version: assessment.version,
    rule: assessment.rule,
    options,
    option: assessment.option,
    inputs: assessment.inputs,
    counts: assessment.counts,
    findings: assessment.findings,
    trees: assessment.trees,
    limbs: assessment.limbs,
    works: assessment.works,
    lots: assessment.lots,
    ...(assessment.grades === undefined ? {} : { grades: assessment.grades }),
    totals: assessment.totals,
    removals: assessment.removals,
  };
}
