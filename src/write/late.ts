// What is known only after the drawing. In: an assessment and what is written of it; out: findings of fences and of margins.
// Terms: late = found on the way, so that it does not stand among the assessment's own findings.

import type { Assessment, Finding } from '../model/index.js';
import type { Plan } from './options.js';

/** Findings of laying out fences and of margins, each where it is written. */
export function lateFindings(assessment: Assessment, { roles }: Pick<Plan, 'roles'>): readonly Finding[] {
  return [
    ...(roles.includes('fence') ? assessment.fences.findings : []),
    ...(roles.includes('tree') ? assessment.marginFindings : []),
  ];
}
