// Which unions of works kinds a rule asks about. In: a Rule; out: the distinct sets of kinds its limits name.
// A limit on several kinds needs the area of their union, which can't be had from each kind's own area.
// Terms: kind set = kinds named together by one limit, in the order of WORKS_KINDS, without repeats.

import type { Limit, Rule } from '../rule.js';
import { WORKS_KINDS, type WorksKind } from '../types.js';

/** Kinds in column order, each once. */
export function canonicalKinds(kinds: readonly WorksKind[]): readonly WorksKind[] {
  return WORKS_KINDS.filter((kind) => kinds.includes(kind));
}

/** The limits of a rule: the zone's, then each ring's. */
function allLimits(rule: Rule): readonly Limit[] {
  return [...rule.limits, ...rule.rings.flatMap((ring) => ring.limits)];
}

/**
 * The distinct kind sets that a rule's limits name, zone and rings, in order of first appearance.
 *
 * A set of one kind is left out in the zone only if no ring names it: columns per single kind exist for the zone
 * (OverlapTable.byKindM2) but not for rings. A limit on every kind is the whole overlap and needs no set.
 *
 * @returns rows of OverlapTable.kindSetM2 and of each ring's ringKindSetM2; `[]` when no limit names kinds.
 * @example
 * kindSets(builtinRule('bs5837-2012')); // [['building', 'excavation', 'trench', 'fill', 'compaction']]
 */
export function kindSets(rule: Rule): readonly (readonly WorksKind[])[] {
  const inRings = new Set(
    rule.rings.flatMap((ring) => ring.limits.map((limit) => (limit.kinds ? setKey(limit.kinds) : ''))),
  );
  const sets = new Map<string, readonly WorksKind[]>();
  for (const { kinds } of allLimits(rule)) {
    if (!kinds) continue;
    const set = canonicalKinds(kinds);
    if (set.length === 0 || set.length === WORKS_KINDS.length) continue;
    const key = setKey(set);
    if (set.length > 1 || inRings.has(key)) sets.set(key, set);
  }
  return [...sets.values()];
}

/** One text per set of kinds, whatever the order they were written in. */
export function setKey(kinds: readonly WorksKind[]): string {
  return canonicalKinds(kinds).join('+');
}
