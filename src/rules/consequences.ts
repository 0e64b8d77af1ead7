// Consequences that read the same under every rule. In: nothing; out: one sentence for each verdict that needs one.
// Term: consequence = what a verdict means for the plan, in words. Cost: none.

/** For trees whose trunk the works stand on. */
export const STEM_IN_WORKS = 'Works stand on the trunk. The tree cannot stay with this plan.';

/** For trees without a verdict. */
export const NOT_ASSESSED = 'This tree cannot be judged until the problems that its reasons name are fixed.';
