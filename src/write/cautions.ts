// What a reader of the figures must be told. In: an assessment; out: cautions, each where it applies.
// Terms: always = said in every report. Trade facts here are common practice, no single source, where none is named.
// One table: a caution is a row with the question whether it applies.

import { type Assessment, DISPOSITIONS, type TreeResult, treeView, treeViews, WORKS_KINDS } from '../model/index.js';

export interface Caution {
  readonly code: string;
  readonly text: string;
}

interface Row extends Caution {
  applies(seen: Seen): boolean;
}

/** What decides: counts and columns, and one look at rings that ends with the first tree that is cut there. Plain data. */
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
/** Rings that stand for what holds a tree up; others have limits of their own and forbid nothing by themselves. */
const UNCUT_RINGS: readonly string[] = ['no-cut', 'structural'];
const saysCut = (reason: string): boolean => reason.startsWith('cut-in-');
const ALWAYS = (): boolean => true;

const ROWS: readonly Row[] = [
  {
    code: 'informs',
    text: 'These figures inform a decision; they never take it. A qualified arborist and the local code decide. A verdict is never an approval.',
    applies: ALWAYS,
  },
  {
    code: 'invented',
    text: 'These figures are of invented data: no place, person or firm is meant, and nothing may be built from it.',
    applies: (seen) => seen.invented,
  },
  {
    code: 'stability',
    text: 'A percent of area is not stability: root plates hold trees up.',
    applies: ALWAYS,
  },
  {
    code: 'ring-cut',
    text: 'Works stand inside a ring where nothing should be cut (no-cut or structural). Whatever the verdict, the tree’s hold on the ground is at stake: an arborist looks at each of these trees before anything is dug.',
    applies: (seen) => seen.ringCut,
  },
  {
    code: 'severed',
    text: 'Severed ground is a model of area as seen from the trunk, not a map of roots. Where roots really run, only an investigation on site tells.',
    applies: (seen) => seen.over,
  },
  {
    code: 'felled-neighbours',
    text: 'Trees are to be removed. Those that stood beside them meet wind they have not grown for: have their stability looked at before the neighbours go, and again after the first storms.',
    applies: (seen) => seen.removed && seen.kept,
  },
  {
    code: 'felling',
    text: 'Felling, pruning and climbing are licensed, dangerous work. A limb list or a crown conflict is no cutting instruction.',
    applies: ALWAYS,
  },
  {
    code: 'overhead',
    text: 'Overhead lines: near them only line-clearance crews may work. Ask the line’s owner first.',
    applies: ALWAYS,
  },
  {
    code: 'services',
    text: 'Buried services are located before anybody digs, fence posts included.',
    applies: ALWAYS,
  },
  {
    code: 'law',
    text: 'Protection orders, permits, nesting birds and bats: their law applies whatever the figures say, and to trees outside every limit too.',
    applies: ALWAYS,
  },
  {
    code: 'boundary',
    text: 'Trees stand on or beside a lot line or off the site. Whose they are, and who must agree, is settled before anything is done to trunk, crown or roots.',
    applies: (seen) => seen.onLine || seen.offSite,
  },
  {
    code: 'clay',
    text: 'On shrinkable clay, trees kept, felled or planted move the ground: ask a foundation engineer.',
    applies: (seen) => seen.buildings,
  },
  {
    code: 'height',
    text: 'Hold each tree’s height against its distance to people and buildings: what it can reach is a question of its own.',
    applies: (seen) => seen.tall,
  },
  {
    code: 'fence',
    text: 'The protection fence stands before any machine arrives and stays until final sign-off. No storage, mixing, washout, fire or parking inside.',
    applies: (seen) => seen.kept,
  },
  {
    code: 'stakes',
    text: 'Stake-out files are no boundary survey: a licensed surveyor verifies them, with their coordinate system, unit, factor and check points, before a stake is set.',
    applies: (seen) => seen.fenced,
  },
  {
    code: 'old-survey',
    text: 'Part of the survey is older than the age set: trees grow, die and are felled. Have it brought up to date before relying on the figures.',
    applies: (seen) => seen.codes.has('survey-old'),
  },
  {
    code: 'depth',
    text: 'Works without a stated depth count in full.',
    applies: (seen) => seen.codes.has('depth-unknown'),
  },
  {
    code: 'options',
    text: 'Plain figures, plan and cards are of one design option; on the plan works of the others have a broken outline.',
    applies: (seen) => seen.options,
  },
  {
    code: 'datum',
    text: 'Layers stand on datums whose shift is unknown or taken as zero: everything may be shifted by metres against everything else.',
    applies: (seen) => seen.codes.has('crs-datum-null') || seen.codes.has('crs-mixed-datums'),
  },
];

export interface CautionsAbout {
  /** Given for data that is not of a real place. */
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
  return ROWS.filter((row) => row.applies(seen)).map(({ code, text }) => ({ code, text }));
}

/** What the cautions of a job turn on. */
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
  for (const tree of treeViews(assessment)) if (isRingCut(assessment, tree)) return true;
  return false;
}

/** The same of one tree. */
export function isRingCut(assessment: Assessment, tree: TreeResult): boolean {
  const { otherRules } = assessment;
  if (!hasUncutRings(assessment)) return false;
  if (tree.rings.some((ring) => isUncut(ring) && ring.overlapPct > 0)) return true;
  return otherRules.some((other) => treeView(other, tree.row).reasons.some(saysCut));
}

function hasUncutRings({ rule, otherRules }: Assessment): boolean {
  return rule.rings.some(isUncut) || otherRules.some((other) => other.rule.rings.some(isUncut));
}

const isUncut = ({ name }: { readonly name: string }): boolean => UNCUT_RINGS.includes(name);
