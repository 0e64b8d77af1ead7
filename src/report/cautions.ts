// What a reader of the figures must be told. In: an assessment; out: cautions, each where it applies.
// Terms: always = said in every report. Trade facts here are common practice, no single source, where none is named.
// One table: a caution is a row with the question whether it applies.

import { type Assessment, type TreeResult, WORKS_KINDS } from '../types.js';
import { hasFences } from './layers.js';

export interface Caution {
  readonly code: string;
  readonly text: string;
}

interface Row extends Caution {
  applies(seen: Seen): boolean;
}

/** What one pass over the trees finds. */
interface Seen {
  readonly assessment: Assessment;
  readonly over: number;
  readonly removed: number;
  readonly kept: number;
  readonly ringCut: number; // trees with works inside a ring where nothing should be cut
  readonly onLine: boolean; // a trunk stands on a lot line
  readonly offSite: boolean;
  readonly tall: boolean; // a height is known
  readonly codes: ReadonlySet<string>; // of findings
  readonly fenced: boolean; // fences are laid out, so that their corners can be staked out
  readonly invented: boolean;
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
    text: 'This report is of invented data: no place, person or firm is meant, and nothing may be built from it.',
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
    applies: (seen) => seen.ringCut > 0,
  },
  {
    code: 'severed',
    text: 'Severed ground is a model of area as seen from the trunk, not a map of roots. Where roots really run, only an investigation on site tells.',
    applies: (seen) => seen.over > 0,
  },
  {
    code: 'felled-neighbours',
    text: 'Trees are to be removed. Those that stood beside them meet wind they have not grown for: have their stability looked at before the neighbours go, and again after the first storms.',
    applies: (seen) => seen.removed > 0 && seen.kept > 0,
  },
  {
    code: 'felling',
    text: 'Felling, pruning and climbing are licensed, dangerous work. A limb or a crown conflict in this report is no cutting instruction.',
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
    applies: (seen) => seen.assessment.job.works.kind.some((kind) => kind === BUILDING),
  },
  {
    code: 'height',
    text: 'Hold each tree’s height against its distance to people and buildings: what it can reach is a question of its own.',
    applies: (seen) => seen.tall,
  },
  {
    code: 'fence',
    text: 'The protection fence stands before any machine arrives and stays until final sign-off. No storage, mixing, washout, fire or parking inside.',
    applies: (seen) => seen.kept > 0,
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
    text: 'The plan and the cards show the works of one design option; works of the others have a broken outline.',
    applies: (seen) => seen.assessment.otherOptions.length > 0,
  },
  {
    code: 'datum',
    text: 'Layers stand on datums whose shift is unknown or taken as zero: everything may be shifted by metres against everything else.',
    applies: (seen) => seen.codes.has('crs-datum-null') || seen.codes.has('crs-mixed-datums'),
  },
];

/** The cautions that apply, in a fixed order. */
export function cautionsOf(assessment: Assessment, about: { readonly stamp?: string | undefined } = {}): Caution[] {
  const seen = look(assessment, about.stamp !== undefined);
  return ROWS.filter((row) => row.applies(seen)).map(({ code, text }) => ({ code, text }));
}

function look(assessment: Assessment, invented: boolean): Seen {
  const { trees } = assessment.job;
  const count = { over: 0, removed: 0, kept: 0, ringCut: 0 };
  for (const tree of assessment.eachTree()) {
    if (tree.disposition === 'remove') count.removed++;
    else count.kept++;
    if (isOver(tree)) count.over++;
    if (tree.rings.some(({ name, overlapPct }) => UNCUT_RINGS.includes(name) && overlapPct > 0)) count.ringCut++;
    else if (assessment.otherRules.some((other) => other.see(tree.row).reasons.some(saysCut))) count.ringCut++;
  }
  const codes = new Set<string>(assessment.findings.map((one) => one.code));
  return {
    assessment,
    ...count,
    onLine: assessment.lots.length > 0 && assessment.totals.all.onLine > 0,
    offSite: trees.offSite?.some((mark) => mark === 1) === true,
    tall: trees.heightM?.some((height) => Number.isFinite(height)) === true,
    codes,
    fenced: hasFences(assessment) && assessment.fences.fences.length > 0,
    invented,
  };
}

export function isOver({ verdict }: Pick<TreeResult, 'verdict'>): boolean {
  return verdict === 'over-limit' || verdict === 'stem-in-works';
}
