// Lines beside a tree's figures that say where they come from: what an arborist found, and published figures. In: an assessment,
// a tree; out: lines of values, each with its source. Terms: see model/worth.ts, model/tree-facts.ts. No line changes a verdict.
// Linear in the limbs and in what reaches the zone.

import { builtinTreeFacts, densityOf, fillOf, rootsOf, sourceWords, toleranceOf } from '../facts/index.js';
import {
  type Assessment,
  type FillFact,
  lengthInMetres,
  NOT_RECORDED,
  SOILS,
  type Soil,
  TOLERANCES,
  type TreeFacts,
  type TreeResult,
  WORKS_KINDS,
} from '../model/index.js';
import {
  answerWords,
  categoryWords,
  missingWords,
  namesOf,
  retentionReason,
  seeFirstWords,
  spanFor,
  spanWords,
} from './worth-words.js';

/** How lengths, trunks and percents are printed. */
export interface FactFigures {
  length(metres: number): string;
  diameter(metres: number): string;
  percent(value: number): string;
}

/** What, the value, and where each part of it comes from. */
export interface FactLine {
  readonly name: string;
  readonly values: readonly (readonly [value: string, source: string])[];
}

const ENTERED = 'as entered in the survey';
const RECKONED = 'reckoned from the works as given';
const PRACTICE = 'common practice, no source';
const LIMBS_AT_MOST = 8;

interface About {
  readonly assessment: Assessment;
  readonly tree: TreeResult;
  readonly figures: FactFigures;
  readonly facts: TreeFacts;
  readonly soil: Soil | null;
}

/** What an arborist found, and the published figures. */
export function factLines(assessment: Assessment, tree: TreeResult, figures: FactFigures): FactLine[] {
  return [...worthLines(assessment, tree, figures), ...publishedLines(assessment, tree, figures)];
}

/** Published figures beside the tree's own, each line of them with a value. */
export function publishedLines(assessment: Assessment, tree: TreeResult, figures: FactFigures): FactLine[] {
  const { options, job } = assessment;
  const facts = options.treeFacts ?? builtinTreeFacts();
  const soil = SOILS[job.trees.soil?.[tree.row] ?? NOT_RECORDED] ?? options.soil ?? null;
  const about = { assessment, tree, figures, facts, soil };
  const lines = [
    span(about),
    tolerance(about),
    roots(about),
    ...fill(about),
    density(about),
    crown(about),
    pruning(about),
  ];
  return lines.filter(({ values }) => values.length > 0);
}

function worthLines(assessment: Assessment, tree: TreeResult, figures: FactFigures): FactLine[] {
  const { worth } = tree;
  if (worth === null) return [];
  const years = answerWords(assessment, tree, 'remaining_years');
  const taken = takenWords(tree, figures);
  const first = seeFirstWords(assessment, tree).join('; ');
  const missing = missingWords(tree).join(', ');
  const reasons = worth.reasons.map(retentionReason).map(({ words, source }) => [words, source] as const);
  const whose = worth.stated === null ? 'from years and defects; the arborist signs' : ENTERED;
  const lines: FactLine[] = [
    { name: 'Retention category', values: [[categoryWords(tree), whose], ...reasons] },
    {
      name: 'Years beside works',
      values: [
        [years === '' ? 'remaining years not stated' : `remaining years: ${years}`, ENTERED],
        ...(taken === '' ? [] : [[`the works take ${taken}`, RECKONED] as const]),
      ],
    },
    { name: 'To be seen first', values: first === '' ? [] : [[first, `${ENTERED}; order: ${PRACTICE}`]] },
    { name: 'Not recorded', values: missing === '' ? [] : [[missing, ENTERED]] },
  ];
  return lines.filter(({ values }) => values.length > 0);
}

function span({ assessment, tree }: About): FactLine {
  const entered = answerWords(assessment, tree, 'life_span');
  const found = spanFor(assessment, tree);
  return {
    name: 'Likely span of years',
    values: [
      ...(entered === '' ? [] : [[entered, ENTERED] as const]),
      ...(found === undefined ? [] : [[`${spanWords(found)}: shown, not used`, sourceWords(found)] as const]),
    ],
  };
}

function tolerance({ assessment, tree, facts }: About): FactLine {
  const { trees } = assessment.job;
  const entered = TOLERANCES[trees.tolerance[tree.row]!];
  const fact = toleranceOf(facts, namesOf(assessment, tree.row));
  const none = 'not given, and no published table by species or genus could be confirmed';
  return {
    name: 'Tolerance of building',
    values: [
      ...(entered === undefined ? [] : [[entered, ENTERED] as const]),
      ...(fact === undefined ? [] : [[fact.tolerance, sourceWords(fact)] as const]),
      ...(entered === undefined && fact === undefined ? [[none, 'not confirmed'] as const] : []),
    ],
  };
}

function roots({ assessment, tree, facts }: About): FactLine {
  const found = rootsOf(facts, namesOf(assessment, tree.row));
  return { name: 'Depth of roots', values: found.map((fact) => [fact.text, sourceWords(fact)]) };
}

/** Each piece of fill in the zone: its depth beside the depths that harm. */
function fill({ assessment, tree, figures, facts, soil }: About): FactLine[] {
  const { works } = assessment.job;
  const FILL = WORKS_KINDS.indexOf('fill');
  const pieces = (assessment.reckoning(tree.row)?.pieces ?? []).filter(
    ({ works: row, ownM2 }) => works.kind[row] === FILL && ownM2 > 0,
  );
  const known = fillOf(facts, soil);
  return pieces.map(({ works: row }): FactLine => {
    const depthM = works.depthM[row]!;
    const deep = Number.isNaN(depthM) ? 'depth not given' : `${figures.length(depthM)} deep`;
    const ground = soil === null ? 'soil not given' : `soil: ${soilWords(soil)}`;
    const own: readonly (readonly [string, string])[] = [[`${deep}; ${ground}`, soil === null ? RECKONED : ENTERED]];
    const noneForSoil = soil !== null && !known.some((fact) => fact.soil !== undefined);
    const none = noneForSoil
      ? ([[`no published depth of fill for ${soilWords(soil)} could be confirmed`, 'not confirmed']] as const)
      : [];
    return {
      name: `Fill ${works.key.at(row) ?? ''}`,
      values: [...own, ...none, ...known.map((fact) => [fillWords(fact, depthM), sourceWords(fact)] as const)],
    };
  });
}

/** `above 1 in damage starts: this fill is deeper`. */
function fillWords({ depth, from, text }: FillFact, depthM: number): string {
  const limitM = lengthInMetres(depth) ?? Number.NaN;
  const passed = from === true ? depthM >= limitM - LEAST_M : depthM > limitM + LEAST_M;
  const said = Number.isNaN(depthM) ? '' : passed ? ': this fill is as deep' : ': this fill is not';
  return `${from === true ? 'from' : 'above'} ${depth}: ${text}${said}`;
}

/** Depths nearer than this are one. */
const LEAST_M = 1e-6;

function density({ facts, soil }: About): FactLine {
  return {
    name: 'Soil that holds roots back',
    values: densityOf(facts, soil).map((fact) => {
      const range = fact.to === undefined ? `above ${fact.from}` : `${fact.from} to ${fact.to}`;
      return [`${soilWords(soil!)}: bulk density ${range} g/cm³`, sourceWords(fact)];
    }),
  };
}

/** How much of the crown may follow the roots: as much again, and no more than the published share. */
function crown({ tree: { affectedPct }, figures, facts }: About): FactLine {
  if (affectedPct === null || affectedPct <= 0) return { name: 'Crown after roots', values: [] };
  const most = Math.min(affectedPct, ...facts.crown.map(({ share }) => share * 100));
  const own = `up to ${figures.percent(most)} of the crown, where ${figures.percent(affectedPct)} of the zone’s area is taken or cut off (area, not roots); an arborist says whether any pruning helps`;
  return {
    name: 'Crown after roots',
    values: [[own, PRACTICE], ...facts.crown.map((fact) => [fact.text, sourceWords(fact)] as const)],
  };
}

/** The limbs of the tree that are listed, with their cuts; those above the limit that was set are marked. */
function pruning({ assessment, tree, figures }: About): FactLine {
  const limbs = assessment.limbs.filter(({ treeRow, conflict }) => treeRow === tree.row && conflict !== false);
  if (limbs.length === 0) return { name: 'Pruning list', values: [] };
  const limitM = assessment.options.limbs?.limitM;
  const each = limbs.slice(0, LIMBS_AT_MOST).map((limb) => {
    const size = limb.diameterM === null ? 'cut not measured' : `cut of ${figures.diameter(limb.diameterM)}`;
    const share = limb.share === null ? '' : `, ${figures.percent(limb.share * 100)} of the live crown`;
    const over = limb.reasons.includes('limb-over-diameter') ? ', ABOVE THE LIMIT SET' : '';
    return [
      `${limb.key}: ${size}${share}${limb.works === null ? '' : `, in the way of ${limb.works}`}${over}`,
      'as entered in the limb list',
    ] as const;
  });
  const rest = limbs.length - each.length;
  const limit = limitM === undefined ? 'no limit was set' : `limit set: ${figures.diameter(limitM)}`;
  const closure = `${limit}; no published size of wound that closes could be confirmed${rest > 0 ? `; ${rest} more in the limb schedule` : ''}`;
  return { name: 'Pruning list', values: [...each, [closure, 'not confirmed']] };
}

function soilWords(soil: Soil): string {
  return soil.replaceAll('-', ' ');
}

/** What the works take; it stands beside the years, and no figure is made of both. */
export function takenWords({ overlapPct, affectedPct }: TreeResult, figures: FactFigures): string {
  if (overlapPct === null) return '';
  const withCut =
    affectedPct === null || affectedPct === overlapPct ? '' : `, ${figures.percent(affectedPct)} with what is cut off`;
  return `${figures.percent(overlapPct)} of the zone${withCut}`;
}
