// One tree's answers. In: the survey's codes; out: the word of each field, and what the word means for the ladder and the list
// of what is to be seen first. Terms: see model/worth.ts; weight = how pressing an answer is. Constant.

import {
  NOT_RECORDED,
  OWN_WORDS,
  WORTH_FIGURES,
  WORTH_VALUES,
  type WorthField,
  type WorthTable,
  type WorthWordField,
} from '../model/index.js';

/** In the order of what holds a tree up; then what may fall, then how it lives (common practice, no source). */
export const LOOKED_AT: readonly WorthField[] = [
  'irremediable',
  'root_disease',
  'root_flare',
  'sounding',
  'decay',
  'fungi',
  'cavities',
  'included_bark',
  'codominant',
  'lean_deg',
  'past_damage',
  'dead_wood',
  'vigour',
  'live_buds',
  'crown_density_pct',
  'dieback_pct',
  'pests',
  'strikes',
];

/** The word of a field; `noted` for the survey's own words and for figures above 0, undefined where there is no answer. */
export function answerOf({ codes }: WorthTable, row: number, field: WorthField): string | undefined {
  const code = codes.get(field)?.[row] ?? NOT_RECORDED;
  if (code === NOT_RECORDED) return undefined;
  if (code === OWN_WORDS) return 'noted';
  if ((WORTH_FIGURES as readonly string[]).includes(field)) return code === 0 ? 'none' : 'noted';
  const word: string | undefined = WORTH_VALUES[field as WorthWordField][code];
  return word === 'not-seen' ? undefined : word;
}

/** How pressing an answer is: 4 most, 0 not at all. An answer that nobody graded comes before a moderate one. */
export function weightOf(field: WorthField, answer: string): number {
  if (field === 'crown_density_pct' || field === 'dieback_pct' || field === 'strikes') return 0; // figures without a published limit
  if (field === 'lean_deg') return answer === 'none' ? 0 : 3; // nor has a lean, and it may be new
  if (field === 'live_buds' && answer === 'none') return 3;
  return WEIGHTS[answer] ?? 0;
}

const WEIGHTS: Readonly<Record<string, number>> = {
  severe: 4,
  hollow: 4,
  damaged: 4,
  moribund: 4,
  dead: 4,
  present: 3,
  noted: 3,
  buried: 3,
  dull: 3,
  moderate: 2,
  partly: 2,
  poor: 2,
  few: 2,
  slight: 1,
};

/** Whether an answer leaves open if a serious defect is past putting right. Forks alone are none: their bark is asked. */
export function isOpen(field: WorthField, answer: string): boolean {
  if (field === 'codominant') return false;
  return STRUCTURAL.has(field) && OPEN.has(answer);
}

const STRUCTURAL: ReadonlySet<WorthField> = new Set([
  'root_disease',
  'root_flare',
  'sounding',
  'decay',
  'fungi',
  'cavities',
  'included_bark',
  'past_damage',
]);
const OPEN: ReadonlySet<string> = new Set(['severe', 'present', 'noted', 'hollow', 'dull', 'damaged']);
