// What a reader of the figures must know. In: an assessment; out: cautions, each where it applies.
// Terms: always = said in every report. Trade facts here are common practice, no single source, where none is named.
// One table: a caution is a row with the question whether it applies.

import {
  type Assessment,
  DISPOSITIONS,
  everyTreeView,
  type TreeResult,
  treeView,
  WORKS_KINDS,
} from '../model/index.js';

/** The part of a packet where a caution is printed: the figures as a whole, trees one by one, removal, protection. */
export type CautionPart = 'figures' | 'trees' | 'removal' | 'protection';

export interface Caution {
  readonly code: string;
  readonly part: CautionPart;
  readonly text: string;
}

interface Row extends Caution {
  applies(seen: Seen): boolean;
}

/**
 * The facts that decide: counts and columns, and one pass over rings that ends with the first tree that is cut there. Plain
 * data.
 */
export interface CautionFacts {
  readonly over: boolean;
  readonly removed: boolean;
  readonly kept: boolean;
  readonly ringCut: boolean; // works stand inside a ring where nothing should be cut
  readonly onLine: boolean; // a trunk stands on a lot line
  readonly offSite: boolean;
  readonly tall: boolean; // a height is known
  readonly buildings: boolean;
  readonly options: boolean; // design options stand beside each other
  readonly fenced: boolean; // fences are laid out, so that their corners can be staked out
  readonly invented: boolean;
}

interface Seen extends CautionFacts {
  readonly codes: ReadonlySet<string>; // of findings
}

const BUILDING = WORKS_KINDS.indexOf('building');
/** Rings of the roots that hold a tree up. Other rings have their own limits, and being in them is not forbidden. */
const UNCUT_RINGS: readonly string[] = ['no-cut', 'structural'];
const saysCut = (reason: string): boolean => reason.startsWith('cut-in-');
const ALWAYS = (): boolean => true;

const ROWS: readonly Row[] = [
  {
    code: 'informs',
    part: 'figures',
    text: 'These figures inform a decision; they do not make it. A qualified arborist and the local code decide. A verdict is never an approval.',
    applies: ALWAYS,
  },
  {
    code: 'invented',
    part: 'figures',
    text: 'These figures come from invented data. No real place, person or firm is meant. Build nothing from them.',
    applies: (seen) => seen.invented,
  },
  {
    code: 'stability',
    part: 'trees',
    text: 'A percent of area is not stability: root plates hold trees up.',
    applies: ALWAYS,
  },
  {
    code: 'ring-cut',
    part: 'trees',
    text: 'Works stand inside a ring where nothing should be cut (no-cut or structural). Whatever the verdict, these trees may lose their hold on the ground. Have an arborist look at each of them before anybody digs.',
    applies: (seen) => seen.ringCut,
  },
  {
    code: 'severed',
    part: 'trees',
    text: 'Severed ground is a model of area as seen from the trunk, not a map of roots. Only an investigation on site shows where roots really run.',
    applies: (seen) => seen.over,
  },
  {
    code: 'felled-neighbours',
    part: 'removal',
    text: 'Trees will be removed. The trees beside them will meet wind they are not used to. Have their stability checked before the others go, and again after the first storms.',
    applies: (seen) => seen.removed && seen.kept,
  },
  {
    code: 'felling',
    part: 'trees',
    text: 'Felling, pruning and climbing are licensed, dangerous work. A limb list or a crown conflict is not a cutting instruction.',
    applies: ALWAYS,
  },
  {
    code: 'overhead',
    part: 'trees',
    text: 'Near overhead lines only line-clearance crews may work. Ask the owner of the line first.',
    applies: ALWAYS,
  },
  {
    code: 'services',
    part: 'protection',
    text: 'Have buried services located before anybody digs, and before fence posts are set.',
    applies: ALWAYS,
  },
  {
    code: 'law',
    part: 'removal',
    text: 'The law on protection orders, permits, nesting birds and bats applies to every tree, whatever the figures say.',
    applies: ALWAYS,
  },
  {
    code: 'boundary',
    part: 'removal',
    text: 'Trees stand on or beside a lot line or off the site. Find out who owns them and who must agree before anything is done to trunk, crown or roots.',
    applies: (seen) => seen.onLine || seen.offSite,
  },
  {
    code: 'clay',
    part: 'figures',
    text: 'On shrinkable clay, trees kept, felled or planted move the ground: ask a foundation engineer.',
    applies: (seen) => seen.buildings,
  },
  {
    code: 'height',
    part: 'trees',
    text: 'Compare each tree’s height with its distance to people and buildings. What it could hit when it falls is a separate question.',
    applies: (seen) => seen.tall,
  },
  {
    code: 'fence',
    part: 'protection',
    text: 'Put up the protection fence before any machine arrives and leave it until final sign-off. No storage, mixing, washout, fire or parking inside.',
    applies: (seen) => seen.kept,
  },
  {
    code: 'stakes',
    part: 'protection',
    text: 'Stake-out files are not a boundary survey. A licensed surveyor must verify them, with their coordinate system, unit, factor and check points, before a stake is set.',
    applies: (seen) => seen.fenced,
  },
  {
    code: 'old-survey',
    part: 'figures',
    text: 'Part of the survey is older than the age limit: trees grow, die and are felled. Have the survey updated before you rely on the figures.',
    applies: (seen) => seen.codes.has('survey-old'),
  },
  {
    code: 'depth',
    part: 'figures',
    text: 'Works without a stated depth count in full.',
    applies: (seen) => seen.codes.has('depth-unknown'),
  },
  {
    code: 'options',
    part: 'figures',
    text: 'The plain figures, the plan and the cards show one design option. On the plan, works of the other options have a broken outline.',
    applies: (seen) => seen.options,
  },
  {
    code: 'datum',
    part: 'figures',
    text: 'Layers are on datums whose shift is unknown or taken as zero. They may be shifted by metres against each other.',
    applies: (seen) => seen.codes.has('crs-datum-null') || seen.codes.has('crs-mixed-datums'),
  },
];

export interface CautionsAbout {
  /** For data that is not from a real place. */
  readonly stamp?: string | undefined;
  /** Whether fences are written or drawn. */
  readonly fenced: boolean;
}

/** The cautions that apply, in a fixed order. */
export function cautionsOf(assessment: Assessment, about: CautionsAbout): Caution[] {
  return cautionsFrom(cautionFacts(assessment, about), assessment.findings);
}

/** The same from facts that were gathered before. */
export function cautionsFrom(facts: CautionFacts, findings: Assessment['findings']): Caution[] {
  const seen: Seen = { ...facts, codes: new Set<string>(findings.map((one) => one.code)) };
  return ROWS.filter((row) => row.applies(seen)).map(({ code, part, text }) => ({ code, part, text }));
}

/** The facts that decide the cautions of a job. */
export function cautionFacts(assessment: Assessment, { stamp, fenced }: CautionsAbout): CautionFacts {
  const { trees, works } = assessment.job;
  const { verdicts } = assessment.counts;
  const removed = DISPOSITIONS.indexOf('remove');
  return {
    over: verdicts['over-limit'] + verdicts['stem-in-works'] > 0,
    removed: trees.disposition.includes(removed),
    kept: trees.disposition.some((one) => one !== removed),
    ringCut: hasRingCut(assessment),
    onLine: assessment.lots.length > 0 && assessment.totals.all.onLine > 0,
    offSite: trees.offSite.includes(1),
    tall: trees.heightM.some((height) => Number.isFinite(height)),
    buildings: works.kind.some((kind) => kind === BUILDING),
    options: assessment.otherOptions.length > 0,
    fenced: fenced && assessment.fences.fences.length > 0,
    invented: stamp !== undefined,
  };
}

/** Whether works stand in a ring where nothing should be cut, under any rule. */
function hasRingCut(assessment: Assessment): boolean {
  if (!hasUncutRings(assessment)) return false;
  for (const tree of everyTreeView(assessment)) if (isRingCut(assessment, tree)) return true;
  return false;
}

/** The same for one tree. */
export function isRingCut(assessment: Assessment, tree: TreeResult): boolean {
  const { otherRules } = assessment;
  if (!hasUncutRings(assessment)) return false;
  if (tree.rings.some((ring) => isUncut(ring) && (ring.overlapPct ?? 0) > 0)) return true;
  return otherRules.some((other) => treeView(other, tree.row).reasons.some(saysCut));
}

function hasUncutRings({ rule, otherRules }: Assessment): boolean {
  return rule.rings.some(isUncut) || otherRules.some((other) => other.rule.rings.some(isUncut));
}

const isUncut = ({ name }: { readonly name: string }): boolean => UNCUT_RINGS.includes(name);
