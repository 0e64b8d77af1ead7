// What an arborist looks at, in words. In: codes of a Worth, fields of a survey, published spans; out: text and titles for
// everything that is printed. Terms: see model/worth.ts. Nothing here concludes: the arborist signs. Constant for a tree.

import { builtinTreeFacts, sourceWords, spanOf, type TreeNames } from '../facts/index.js';
import type { Assessment, SpanFact, TreeResult, TreeText, WorthField } from '../model/index.js';

/** Fields of what an arborist looks at, as headings, in the order of a table. */
export const WORTH_TITLES: Readonly<Record<WorthField, string>> = {
  vigour: 'Vigour',
  crown_density_pct: 'Crown density',
  dieback_pct: 'Dieback',
  live_buds: 'Live buds',
  sounding: 'Trunk by sounding',
  cavities: 'Cavities',
  decay: 'Decay',
  fungi: 'Fungi',
  root_flare: 'Root flare',
  root_disease: 'Root disease',
  codominant: 'Codominant stems',
  included_bark: 'Included bark',
  lean_deg: 'Lean',
  dead_wood: 'Dead wood',
  pests: 'Pests',
  past_damage: 'Past damage',
  irremediable: 'Irremediable defect',
  strikes: 'Would strike',
};

const OTHERS: Readonly<Record<string, string>> = { remaining_years: 'Remaining years', age: 'Age', dbh: 'Diameter' };

/** A field as a heading. */
export function fieldTitle(field: string): string {
  return (WORTH_TITLES as Readonly<Record<string, string>>)[field] ?? OTHERS[field] ?? field;
}

const TABLE_1 = 'BS 5837:2012, table 1, as quoted by practitioners';
const PRACTICE = 'common practice, no source';

/** Why a tree stands on its rung, or on none: words and where they come from. */
const REASONS: Readonly<Record<string, readonly [words: string, source: string]>> = {
  dead: ['dead: U', TABLE_1],
  'overall-decline': ['in overall decline: U', TABLE_1],
  'irremediable-defect': ['a serious defect that can’t be put right: U', TABLE_1],
  'years-not-over-10': ['expected to stay not longer than 10 years: U', TABLE_1],
  'years-at-least-40': ['at least 40 years, no serious defect stated: A at most, where its quality is high', TABLE_1],
  'years-at-least-20': [
    'at least 20 years, no serious defect stated: B at most, where its quality is moderate',
    TABLE_1,
  ],
  'years-at-least-10': ['at least 10 years, no serious defect stated: C', TABLE_1],
  'young-under-150-mm': ['a young tree under 150 mm: C whatever its years', 'from memory: BS 5837:2012, table 1'],
  'young-or-not': [
    'a young tree under 150 mm would be C, and its age or diameter is not given',
    'from memory: BS 5837:2012, table 1',
  ],
  'years-missing': ['no remaining years that can be read: no rung', TABLE_1],
  'years-across-10': ['the remaining years lie on both sides of 10: U or C', TABLE_1],
  'defects-open': ['a defect is noted, and nobody says whether it is serious and past putting right', TABLE_1],
  'trunk-not-seen': ['nothing is said of the trunk (sounding, decay or cavities)', PRACTICE],
  'roots-not-seen': ['nothing is said of the roots (root disease, or a root flare that shows)', PRACTICE],
  'forks-not-seen': ['nothing is said of the forks (included bark)', PRACTICE],
};

/** A reason in words, with its source. */
export function retentionReason(code: string): { readonly words: string; readonly source: string } {
  const [words, source] = REASONS[code] ?? [code, ''];
  return { words, source };
}

/** The category that stands, and whose it is: `B (reckoned)`, `B (survey; years and defects give C)`; open; '' without any answer. */
export function categoryWords({ worth }: TreeResult): string {
  if (worth === null) return '';
  if (worth.category === null) return 'open';
  const { category, stated, reckoned } = worth;
  if (stated === null) return `${category} (reckoned)`;
  return reckoned === null || reckoned === stated
    ? `${category} (survey)`
    : `${category} (survey; years and defects give ${reckoned})`;
}

/** What is to be seen first, in words: `root disease: severe`, `decay: "Ganoderma at base"`. */
export function seeFirstWords({ job: { trees } }: Assessment, { row, worth }: TreeResult): string[] {
  return (worth?.seeFirst ?? []).map((code) => {
    const [field = '', answer = ''] = code.split(':');
    const title = fieldTitle(field);
    if (answer !== 'noted') return field === 'irremediable' ? title : `${title}: ${answer}`;
    return `${title}: ${trees.text(row, field as TreeText) ?? answer}`;
  });
}

/** Fields without an answer, as headings. */
export function missingWords({ worth }: TreeResult): string[] {
  return (worth?.missing ?? []).map(fieldTitle);
}

/** A field as the survey has it; '' where it is blank. */
export function answerWords({ job: { trees } }: Assessment, { row }: TreeResult, field: TreeText): string {
  return trees.text(row, field) ?? '';
}

/** What a tree is called. */
export function namesOf({ job: { trees } }: Assessment, row: number): TreeNames {
  return [trees.species[row], trees.text(row, 'common_name')];
}

/** The published span of a tree's species or genus, for showing alone; undefined where there is none. */
export function spanFor(assessment: Assessment, { row }: TreeResult): SpanFact | undefined {
  return spanOf(assessment.options.treeFacts ?? builtinTreeFacts(), namesOf(assessment, row));
}

/** `about 60 years (one author’s list)`. */
export function spanWords({ years, note }: SpanFact): string {
  const said = typeof years === 'number' ? `about ${years} years` : `${years[0]} to ${years[1]} years`;
  return note === undefined ? said : `${said} (${note})`;
}

/** The same with its source or stamp, in one cell. */
export function spanCell(assessment: Assessment, tree: TreeResult): string {
  const span = spanFor(assessment, tree);
  return span === undefined ? '' : `${spanWords(span)}; ${sourceWords(span)}`;
}

/** What every table of categories says beside it. */
export const WORTH_NOTES: readonly string[] = [
  'Nothing is concluded here. A category is the rung that years and defects, as entered, allow; table 1 of BS 5837:2012 also weighs quality. The arborist judges it and signs.',
  'Where the survey states a category of its own, that one stands.',
  'Remaining years and what the works take stand side by side; neither decides about the other. A percent of area is no share of roots and says nothing of stability.',
  'Published spans of years are shown and never used in sorting.',
  'The order of what to see first: the most pressing answer, then by what holds a tree up (common practice, no source).',
];
