// All variants of a job. In: the ground, rules, verdicts found elsewhere; out: the main variant and the others beside it.
// Terms: variant = what is judged under one rule and one design option. As many passes over the trees as variants.

import { type Rule, VERDICTS, type WorksTable } from '../model/index.js';
import { type Ground, type Variant, variantOf } from './variant.js';

export interface Variants {
  /** Under the first rule, with the first design option. */
  readonly main: Variant;
  /** Under each further rule, with the same design option. */
  readonly otherRules: readonly Variant[];
  /** With each further design option, under the first rule. */
  readonly otherOptions: readonly Variant[];
}

export function variantsOf(
  ground: Ground,
  rules: readonly [Rule, ...Rule[]],
  verdicts: Uint8Array | undefined,
): Variants {
  const [rule, ...others] = rules;
  const [option, ...otherOptions] = designOptions(ground.works);
  return {
    main: judgedBy(verdicts, variantOf(ground, rule, option)),
    otherRules: others.map((other) => variantOf(ground, other, option)),
    otherOptions: otherOptions.map((other) => variantOf(ground, rule, other)),
  };
}

/** Design options in order of first mention; one that is undefined where works have none. */
function designOptions({ option, rejected }: WorksTable): readonly (string | undefined)[] {
  const names = new Set(option.filter((name, row) => name !== undefined && !rejected.has(row)));
  return names.size === 0 ? [undefined] : [...names];
}

/** The variant, with verdicts found elsewhere. */
function judgedBy(verdicts: Uint8Array | undefined, variant: Variant): Variant {
  if (verdicts === undefined) return variant;
  const of = [...VERDICTS, null].map((verdict) => ({ verdict, consequence: '', reasons: [] }));
  return { ...variant, judged: Array.from(verdicts, (number) => of[number]!) };
}
