// How each piece of works counts under a rule. In: a rule's areas and the works; out: per row whether it counts, its
// class and whether it cuts. Terms: exempt = not counted at all; option = a design alternative, of which one is weighed.

import type { Exemption, Rule } from '../model/index.js';
import { WORKS_KINDS, type WorksTable, type WorksWeights } from '../model/index.js';
import { classBitOf, cutDepthM, type RuleAreas } from './areas.js';
import { metres } from './quantities.js';

/**
 * Depths are written to the millimetre and converted by unit factors: a fill of exactly 4 in does not count as deeper.
 */
const DEPTH_SLACK_M = 1e-6;

function isExempt(exemption: Exemption, works: WorksTable, row: number): boolean {
  if (!exemption.kinds.includes(WORKS_KINDS[works.kind[row]!]!)) return false;
  const depth = works.depthM[row]!;
  if (exemption.noDig === true && works.noDig[row] === 0) return false;
  if (exemption.deeperThan !== undefined && !(depth > metres(exemption.deeperThan) + DEPTH_SLACK_M)) return false;
  if (exemption.atLeast !== undefined && !(depth >= metres(exemption.atLeast) - DEPTH_SLACK_M)) return false;
  return exemption.upTo === undefined || depth <= metres(exemption.upTo) + DEPTH_SLACK_M;
}

/**
 * Weighs every row of works under a rule. With `option` the works of other design options do not count; works without
 * one always do. A missing depth never exempts a piece and never keeps it out of a limit.
 *
 * @returns columns, one entry per row of works; `whyNot` says why a row does not count.
 */
export function weigh(rule: Rule, areas: RuleAreas, works: WorksTable, option?: string): WorksWeights {
  const n = works.count;
  const counts = new Uint8Array(n).fill(1);
  const classBit = new Uint32Array(n);
  const cuts = new Uint8Array(n);
  const whyNot = new Map<number, string>();
  const exemptions = rule.exempt ?? [];
  const cutDepth = WORKS_KINDS.map((kind) => cutDepthM(rule, kind));
  const bits = WORKS_KINDS.map((_, kind) => classBitOf(kind, Number.NaN, areas));
  const byDepth = WORKS_KINDS.map((name) => areas.classes.filter((one) => one.kind === name).length > 1);
  for (let row = 0; row < n; row++) {
    const kind = works.kind[row]!;
    const depth = works.depthM[row]!;
    classBit[row] = byDepth[kind] ? classBitOf(kind, depth - DEPTH_SLACK_M, areas) : bits[kind]!;
    const least = cutDepth[kind]!;
    if (works.noDig[row] === 0 && (least === 0 || depth > least + DEPTH_SLACK_M)) {
      cuts[row] = 1;
      classBit[row] = classBit[row]! | areas.cutBit;
    }
    const own = works.option[row];
    const exemption = exemptions.find((one) => isExempt(one, works, row));
    if (own !== undefined && option !== undefined && own !== option) whyNot.set(row, 'other-option');
    else if (exemption !== undefined) whyNot.set(row, exemption.reason ?? 'exempt');
    if (whyNot.has(row)) counts[row] = 0;
  }
  return { counts, classBit, cuts, whyNot };
}
