// Which areas a rule's limits ask for. In: a Rule; out: classes of works, and the sets of classes whose union is wanted.
// A limit on several kinds needs the area of their union, which can't be calculated from the area of each kind.
// Terms: class = a kind, or the part of it between two depths that some limit names; set = classes one limit counts.

import { FIRST_CLASS, MOST_CLASSES } from '../geometry/index.js';
import type { Cut, Exemption, Limit, Rule } from '../model/index.js';
import { InputError, WORKS_KINDS, type WorksKind } from '../model/index.js';
import { metres } from './quantities.js';

/** Works of one kind that a rule treats alike. */
export interface WorksClass {
  readonly kind: WorksKind;
  readonly bit: number;
  /** Metres, over .. upTo; NaN for works of unknown depth where depth matters. */
  readonly overM: number;
  readonly upToM: number;
}

/** The union of some classes; with `unsurfaced` only where the ground is not hard today. */
export interface AreaSet {
  readonly bits: number;
  readonly unsurfaced: boolean;
}

/** What the kernel measures for a rule: a function of the rule alone, so that no job's works move a last digit. */
export interface RuleAreas {
  readonly classes: readonly WorksClass[];
  /** Bits by index into WORKS_KINDS. */
  readonly kindBits: readonly number[];
  /** Classes of works whose depth would matter and is not known. */
  readonly unknownBits: number;
  /** The bit that a piece that cuts roots has beside its class, where a ring asks for cuts; 0 where no ring asks. */
  readonly cutBit: number;
  /** Rows of OverlapTable.setM2 and of each ring's. */
  readonly sets: readonly AreaSet[];
}

/** Rings in which any cut threatens a tree's hold on the ground and is reported whatever the verdict. */
export const CUT_RINGS: readonly string[] = ['no-cut', 'structural'];

/** Depth in metres above which works of a kind cut; 0: always; Infinity: never. */
export function cutDepthM(rule: Rule, kind: WorksKind): number {
  const depths = rule.cuts.map((cut: Cut) => {
    if (typeof cut === 'string') return cut === kind ? 0 : Infinity;
    return cut.kind === kind ? metres(cut.deeperThan) : Infinity;
  });
  return Math.min(Infinity, ...depths);
}

/** Every limit of a rule, of its classes and of its rings. */
export function limitsOf(rule: Rule): readonly Limit[] {
  const classes = (rule.classes ?? []).flatMap((one) => one.limits ?? []);
  return [...rule.limits, ...classes, ...rule.rings.flatMap((ring) => ring.limits)];
}

/** Whether the depth of works decides on an exemption. */
export function isByDepth({ deeperThan, atLeast, upTo }: Exemption): boolean {
  return deeperThan !== undefined || atLeast !== undefined || upTo !== undefined;
}

/** Bores lie below the ground that they leave alone, so a limit by depth counts them all. */
function isSplitBy(kind: WorksKind, limit: Limit): boolean {
  return limit.deeperThan !== undefined && kind !== 'bore' && (limit.kinds ?? WORKS_KINDS).includes(kind);
}

/** Whether a rule has both a ring in which cuts count and works that cut. */
function asksForCuts(rule: Rule): boolean {
  return rule.cuts.length > 0 && rule.rings.some((ring) => CUT_RINGS.includes(ring.name));
}

function classesOf(rule: Rule): WorksClass[] {
  const limits = limitsOf(rule);
  const most = asksForCuts(rule) ? MOST_CLASSES - 1 : MOST_CLASSES;
  const classes: WorksClass[] = [];
  for (const kind of WORKS_KINDS) {
    const depths = limits.filter((limit) => isSplitBy(kind, limit)).map((limit) => metres(limit.deeperThan!));
    const bounds = [...new Set(depths)].sort((a, b) => a - b);
    const add = (overM: number, upToM: number): void => {
      classes.push({ kind, bit: FIRST_CLASS << classes.length, overM, upToM });
    };
    [0, ...bounds].forEach((over, i) => void add(over, bounds[i] ?? Infinity));
    const exempt = (rule.exempt ?? []).some((one) => one.kinds.includes(kind) && isByDepth(one));
    if (depths.length > 0 || exempt) add(Number.NaN, Number.NaN);
  }
  if (classes.length <= most) return classes;
  throw new InputError('rule-invalid', `${rule.id} uses more different depths than can be measured together`, {
    cure: `use fewer different depths: kinds and depths make ${classes.length} classes, at most ${most} fit`,
  });
}

/** The classes a limit counts, as bits. */
function bitsOf(limit: Pick<Limit, 'kinds' | 'deeperThan'>, classes: readonly WorksClass[]): number {
  const kinds = limit.kinds ?? WORKS_KINDS;
  const least = limit.deeperThan === undefined ? 0 : metres(limit.deeperThan);
  return classes.reduce((bits, { kind, bit, overM }) => {
    const counts = kinds.includes(kind) && (kind === 'bore' || !(overM < least));
    return counts ? bits | bit : bits;
  }, 0);
}

/** The set of a limit; null when it counts all works on all ground, which is the whole overlap. */
export function setOf(limit: Pick<Limit, 'kinds' | 'deeperThan' | 'of'>, areas: RuleAreas): AreaSet | null {
  const bits = bitsOf(limit, areas.classes);
  const unsurfaced = limit.of === 'unsurfaced';
  const all = areas.classes.reduce((every, { bit }) => every | bit, 0);
  return bits === all && !unsurfaced ? null : { bits, unsurfaced };
}

/** The works that cut, where a rule has a ring that asks; null when none do. Works marked no_dig never cut. */
export function cutSet({ cutBit }: Pick<RuleAreas, 'cutBit'>): AreaSet | null {
  return cutBit === 0 ? null : { bits: cutBit, unsurfaced: false };
}

/** The classes that an allowance does not name. */
export function beyondAllowance(rule: Rule, areas: Pick<RuleAreas, 'classes'>): AreaSet | null {
  const { allowance } = rule;
  if (allowance === undefined) return null;
  const others = WORKS_KINDS.filter((kind) => !allowance.kinds.includes(kind));
  return { bits: bitsOf({ kinds: others }, areas.classes), unsurfaced: false };
}

/** The row of a set; -1 where it was not asked for. */
export function placeOf(set: AreaSet, areas: RuleAreas): number {
  return areas.sets.findIndex((other) => other.bits === set.bits && other.unsurfaced === set.unsurfaced);
}

/**
 * The classes and sets that a rule's limits need, each once, in the order of the rule.
 *
 * @throws InputError `rule-invalid` when a rule names so many depths that its classes do not fit.
 * @example
 * ruleAreas(builtinRule('as4970-2009')).sets; // [{ bits: of building, excavation, trench, ..., unsurfaced: false }]
 */
export function ruleAreas(rule: Rule): RuleAreas {
  const classes = classesOf(rule);
  const kindBits = WORKS_KINDS.map((kind) => bitsOf({ kinds: [kind] }, classes));
  const unknownBits = classes.reduce((bits, one) => (Number.isNaN(one.overM) ? bits | one.bit : bits), 0);
  const cutBit = asksForCuts(rule) ? FIRST_CLASS << classes.length : 0;
  const areas = { classes, kindBits, unknownBits, cutBit, sets: [] as AreaSet[] };
  const add = (set: AreaSet | null): void => {
    if (set !== null && placeOf(set, areas) < 0) areas.sets.push(set);
  };
  for (const ring of rule.rings) {
    if (CUT_RINGS.includes(ring.name)) add(cutSet(areas));
    for (const limit of ring.limits) add(setOf(limit, areas));
  }
  for (const limit of [...rule.limits, ...(rule.classes ?? []).flatMap((one) => one.limits ?? [])]) {
    add(setOf(limit, areas));
  }
  add(beyondAllowance(rule, areas));
  return areas;
}

/** The bit of a piece of works by its kind and depth; NaN depth is unknown. */
export function classBitOf(kind: number, depthM: number, areas: RuleAreas): number {
  const of = areas.classes.filter((one) => one.kind === WORKS_KINDS[kind]);
  const known = of.filter((one) => !Number.isNaN(one.overM));
  const unknown = of.find((one) => Number.isNaN(one.overM)) ?? known[0];
  const found = Number.isNaN(depthM) ? unknown : (known.find((one) => depthM <= one.upToM) ?? known.at(-1));
  if (found === undefined) throw new Error(`no class for works of kind ${kind}`);
  return found.bit;
}
