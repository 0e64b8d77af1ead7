// The ladder of BS 5837:2012, table 1, as practitioners quote it. In: years and defects as entered; out: a category, or null
// with what keeps it open. Terms: see model/worth.ts; part = what holds a tree up: trunk, roots, forks; open = a defect is noted
// and nobody says whether it is serious and past putting right. Constant.
//
// U: not longer than 10 years, a serious irremediable defect, dead or in overall decline. A: at least 40 years, B: at least 20,
// C: at least 10, or a young tree under 150 mm (the 150 is from memory). Quality, which table 1 weighs beside the years, is the
// arborist's to judge: years alone give the highest category that they allow.

import type { RetentionCategory, Years } from '../model/index.js';

export const U_UP_TO_YEARS = 10;
const RUNGS: readonly (readonly [RetentionCategory, years: number])[] = [
  ['A', 40],
  ['B', 20],
  ['C', 10],
];
/** From memory. */
const YOUNG_BELOW_M = 0.15;

export interface LadderFacts {
  readonly dead: boolean;
  readonly moribund: boolean;
  readonly years: Years | null;
  /** Whether a serious defect can't be put right, as the arborist says; null: not said. */
  readonly irremediable: boolean | null;
  /** Fields with a defect whose weight nobody states. */
  readonly open: readonly string[];
  /** Parts without any answer. */
  readonly unseen: readonly string[];
  readonly isYoung: boolean | null;
  readonly dbhM: number | null;
}

export interface Rung {
  readonly category: RetentionCategory | null;
  readonly reasons: readonly string[];
  /** Fields that would settle it. */
  readonly needs: readonly string[];
}

/** The category that years and defects give; it reads no other field. */
export function rungOf(facts: LadderFacts): Rung {
  const { years, irremediable, open, unseen } = facts;
  const surelyU = [
    ...(facts.dead ? ['dead'] : []),
    ...(facts.moribund ? ['overall-decline'] : []),
    ...(irremediable === true ? ['irremediable-defect'] : []),
    ...(years !== null && isShort(years) ? ['years-not-over-10'] : []),
  ];
  if (surelyU.length > 0) return { category: 'U', reasons: surelyU, needs: [] };
  const isOpen = irremediable === null && open.length > 0;
  const isUnseen = irremediable === null && unseen.length > 0;
  const rung = years === null ? undefined : RUNGS.find(([, least]) => years.from !== null && years.from >= least);
  const reasons = [
    ...(years === null ? ['years-missing'] : rung === undefined ? ['years-across-10'] : []),
    ...(isOpen ? ['defects-open'] : []),
    ...(isUnseen ? unseen.map((part) => `${part}-not-seen`) : []),
  ];
  if (rung === undefined || reasons.length > 0) {
    const needs = [
      ...(rung === undefined ? ['remaining_years'] : []),
      ...(isOpen || isUnseen ? ['irremediable'] : []),
      ...(isUnseen ? unseen.flatMap((part) => FIELDS_OF[part] ?? []) : []),
    ];
    return { category: null, reasons, needs };
  }
  return youngOr(rung, facts);
}

/** The fields of each part: one answer among them is enough. */
export const FIELDS_OF: Readonly<Record<string, readonly string[]>> = {
  trunk: ['sounding', 'decay', 'cavities'],
  roots: ['root_disease', 'root_flare'],
  forks: ['included_bark', 'codominant'],
};

/** Not longer than 10 years for certain. Ten years alone are at least 10. */
function isShort({ from, to }: Years): boolean {
  return to !== null && to <= U_UP_TO_YEARS && (from === null || from < U_UP_TO_YEARS);
}

/** A young tree under 150 mm is C whatever its years; where it may be one, the ladder waits. */
function youngOr([category, least]: (typeof RUNGS)[number], { isYoung, dbhM }: LadderFacts): Rung {
  const reasons = [`years-at-least-${least}`];
  const isThin = dbhM === null ? null : dbhM < YOUNG_BELOW_M;
  if (category === 'C' || isYoung === false || isThin === false) return { category, reasons, needs: [] };
  if (isYoung === true && isThin === true)
    return { category: 'C', reasons: [...reasons, 'young-under-150-mm'], needs: [] };
  const needs = [...(isYoung === null ? ['age'] : []), ...(isThin === null ? ['dbh'] : [])];
  return { category: null, reasons: [...reasons, 'young-or-not'], needs };
}
