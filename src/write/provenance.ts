// Where the figures come from. In: an assessment; out: text of the `rootberth` member and of the findings file.
// Terms: names and hashes only: no path of a machine is ever written.

import type { Assessment, Finding, GradesResult } from '../model/index.js';
import { type CautionFacts, cautionFacts, cautionsFrom } from './cautions.js';
import { jsonText, orderedText } from './json.js';
import type { Plan } from './options.js';
import type { OutputSystem } from './shape.js';

/** The short form, where there is no room for all cautions that apply (write/cautions.ts). */
export const CAUTIONS: readonly string[] = [
  'These figures inform a decision; a qualified arborist and the local code make it.',
  'A percent of area is not stability: root plates hold trees up. Pruning and felling are licensed, dangerous work.',
];

/** What the output says about an assessment beside its features: plain data. */
export type Told = Pick<Assessment, 'version' | 'inputs' | 'counts' | 'findings' | 'options' | 'rule' | 'option'> & {
  readonly otherRules: readonly Pick<Assessment['otherRules'][number], 'rule'>[];
  readonly cautions: CautionFacts;
  /** How grades were taken. */
  readonly grades?: object | undefined;
  /** Where not all trees are written. */
  readonly shown?: { readonly only: readonly string[]; readonly count: number; readonly hidden: number } | undefined;
};

/** The plan, as far as it is written. */
export type WrittenAs = Pick<Plan, 'units' | 'prefix' | 'roles' | 'stamp'> & {
  readonly figures?: Plan['figures'];
  readonly output: Pick<OutputSystem, 'crs'> | null;
};

export function toldOf(assessment: Assessment, plan: Pick<Plan, 'roles' | 'stamp'>): Told {
  const { version, inputs, counts, findings, options, rule, option } = assessment;
  const otherRules = assessment.otherRules.map((other) => ({ rule: other.rule }));
  const cautions = cautionFacts(assessment, { stamp: plan.stamp, fenced: plan.roles.includes('fence') });
  const { shown } = assessment;
  const { grades } = assessment;
  const graded = grades === undefined ? {} : { grades: gradesTold(grades) };
  const some = shown === undefined ? {} : { shown: { only: shown.only, count: shown.count, hidden: shown.hidden } };
  return { version, inputs, counts, findings, options, rule, otherRules, option, cautions, ...graded, ...some };
}

/** Which surfaces, the depths the ground is divided at, and what was filled and cut in all. */
function gradesTold({ trees: _, lots: __, ...told }: GradesResult): object {
  return told;
}

/** The foreign member `rootberth` of a collection, in pieces: findings can be as many as features. */
export function provenance(assessment: Assessment, plan: Plan): Generator<string> {
  return provenanceOf(toldOf(assessment, plan), plan);
}

/** The same for an earlier provenance. */
export function* provenanceOf(assessment: Told, plan: WrittenAs): Generator<string> {
  const { shown } = assessment;
  const written = {
    units: plan.units,
    prefix: plan.prefix,
    roles: plan.roles,
    crs: plan.output?.crs.code ?? 'OGC:CRS84',
    positions: positionsWords(assessment, plan.output),
    ...(plan.stamp === undefined ? {} : { stamp: plan.stamp }),
    ...(plan.figures === undefined || plan.figures === null ? {} : { figures: plan.figures }),
    ...(shown === undefined ? {} : { only: shown.only, trees_shown: shown.count, trees_hidden: shown.hidden }),
  };
  yield `{${common(assessment)},"options":${orderedText(assessment.options)},"rule":${jsonText(assessment.rule)},`;
  if (assessment.otherRules.length > 0)
    yield `"otherRules":${jsonText(assessment.otherRules.map(({ rule }) => rule))},`;
  if (assessment.option !== undefined) yield `"designOption":${jsonText(assessment.option)},`;
  if (assessment.grades !== undefined) yield `"grades":${jsonText(assessment.grades)},`;
  const cautions = cautionsFrom(assessment.cautions, assessment.findings).map(({ text }) => text);
  yield `"written":${jsonText(written)},"cautions":${jsonText(cautions)},"findings":`;
  yield* list(assessment.findings);
  yield '}';
}

/** The findings file: all findings by feature, with the counts in and out. */
export function* findingsPieces(
  assessment: Common & Pick<Assessment, 'rule' | 'findings'>,
  more: readonly Finding[],
): Generator<string> {
  yield `{${common(assessment)},\n"rule":${jsonText(assessment.rule.id)},\n"findings":`;
  yield* list([...assessment.findings, ...more]);
  yield '}\n';
}

type Common = Pick<Assessment, 'version' | 'inputs' | 'counts'>;

function common(assessment: Common): string {
  const { version, inputs, counts } = assessment;
  return `"version":${jsonText(version)},\n"inputs":${jsonText(inputs)},\n"counts":${jsonText(counts)}`;
}

/** One finding a line. */
function* list(findings: readonly Finding[]): Generator<string> {
  yield '[';
  for (let i = 0; i < findings.length; i++) yield `${i === 0 ? '' : ','}\n${jsonText(findings[i])}`;
  yield findings.length === 0 ? ']' : '\n]';
}

/**
 * What the coordinates of the output are, in words. RFC 7946 leaves no choice but lon/lat; a ground system has no lon/lat.
 */
export function positionsWords(_assessment: unknown, output: Pick<OutputSystem, 'crs'> | null): string {
  if (output?.crs.kind === 'local')
    return `planar x, y in ${output.crs.unit} of ${output.crs.code} ${output.crs.name}: not longitude and latitude, so not RFC 7946`;
  if (output !== null) {
    const { code, name, unit, kind, datum } = output.crs;
    const axes = kind === 'geographic' ? 'longitude, latitude in degrees' : `easting, northing in ${unit}`;
    const accuracy = datum.accuracyM === null ? 'accuracy not known' : `accuracy ${datum.accuracyM} m`;
    return `${axes} of ${code} ${name}, not RFC 7946; datum from WGS 84: ${datum.operation}, ${accuracy}`;
  }
  return 'longitude, latitude in degrees on WGS 84 (RFC 7946)';
}
