// Which unions of works kinds a rule asks about. In: a Rule; out: the distinct sets of kinds its limits name.
// A limit on several kinds needs the area of their union, which can't be had from each kind's own area.
// Terms: kind set = kinds named together by one limit, in the order of WORKS_KINDS, without repeats.

import type { Rule } from '../rule.js';
import { WORKS_KINDS, type WorksKind } from '../types.js';

/** Kinds in column order, each once. */
export function canonicalKinds(kinds: readonly WorksKind[]): readonly WorksKind[] {
  return WORKS_KINDS.filter((kind) => kinds.includes(kind));
}

/** Rings in which any cut threatens a tree's hold on the ground and is told whatever the verdict. */
export const CUT_RINGS: readonly string[] = ['no-cut', 'structural'];

/**
 * The distinct kind sets a rule's figures are needed for, in column order within a set: first those of the rings
 * (limits by kind, and the kinds that cut where a ring is one of CUT_RINGS), then those of the zone's limits.
 *
 * A set of one kind is needed for rings only: for the zone there is a column per kind (OverlapTable.byKindM2).
 * Every kind together is the whole overlap and needs no set.
 *
 * @returns rows of OverlapTable.kindSetM2 and of each ring's ringKindSetM2; `[]` when nothing names kinds.
 * @example
 * kindSets(builtinRule('bs5837-2012')); // [['building', 'excavation', 'trench', 'fill', 'compaction']]
 */
export function kindSets(rule: Rule): readonly (readonly WorksKind[])[] {
  const sets = new Map<string, readonly WorksKind[]>();
  const add = (kinds: readonly WorksKind[] | undefined, least: number): void => {
    const set = canonicalKinds(kinds ?? []);
    if (set.length >= least && set.length < WORKS_KINDS.length) sets.set(setKey(set), set);
  };
  for (const ring of rule.rings) {
    if (CUT_RINGS.includes(ring.name)) add(rule.cuts, 1);
    for (const limit of ring.limits) add(limit.kinds, 1);
  }
  for (const limit of rule.limits) add(limit.kinds, 2);
  return [...sets.values()];
}

/** One text per set of kinds, whatever the order they were written in. */
export function setKey(kinds: readonly WorksKind[]): string {
  return canonicalKinds(kinds).join('+');
}
