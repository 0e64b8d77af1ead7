// Lost trees -> what is to be planted. In: a mitigation table and trees one by one; out: diameters and numbers of trees.
// Terms: see mitigation.ts; required = diameter to plant, metres; whole trees follow where the table says their size.

import type { Loss, Mitigation, MitigationClass, Requirement, TotalTable } from '../model/index.js';
import {
  type Disposition,
  isOver,
  lengthInMetres,
  METRES_PER,
  type Replacement,
  type Verdict,
} from '../model/index.js';

/** What the table asks of a tree. */
export interface LostTree {
  readonly dbhM: number | null;
  readonly species: string | undefined;
  readonly commonName: string | undefined;
  readonly condition: string | undefined;
  readonly protected: boolean;
}

/** 1e-9 m: a diameter of 8.0 in written in metres counts as 8.0 in, whatever its last bit. */
const SLACK_M = 1e-9;

/** Whether a tree counts as lost under a table. */
export function isLost(lost: readonly Loss[], disposition: Disposition, verdict: Verdict | null): boolean {
  if (disposition === 'remove' || disposition === 'transplant') return lost.includes(disposition);
  return isOver(verdict) && lost.includes(verdict);
}

/** Adds up what lost trees require. */
export class ReplacementSum {
  readonly #mitigation: Mitigation;
  #requiredM = 0;
  #trees = 0;
  #lostM = 0;
  #lost = 0;
  #unknown = 0;

  constructor(mitigation: Mitigation) {
    this.#mitigation = mitigation;
  }

  add(tree: LostTree): void {
    this.#lost++;
    this.#lostM += tree.dbhM ?? 0;
    const requirement = requirementOf(this.#mitigation, tree)?.require ?? null;
    if (requirement === null || (tree.dbhM === null && this.#mitigation.total !== undefined)) this.#unknown++;
    else if ('trees' in requirement) this.#trees += requirement.trees;
    else if ('ratio' in requirement) {
      if (tree.dbhM === null) this.#unknown++;
      else this.#requiredM += requirement.ratio * tree.dbhM;
    }
  }

  get result(): Replacement {
    const { total, planted } = this.#mitigation;
    const plantedM = planted === undefined ? null : (lengthInMetres(planted) ?? null);
    const base = { lost: this.#lost, lostDbhM: this.#lostM, plantedM, unknown: this.#unknown };
    if (total !== undefined) return { ...base, requiredDbhM: null, requiredTrees: fromTable(total, this.#lostM) };
    const byRatio = plantedM === null ? 0 : Math.ceil((this.#requiredM - SLACK_M) / plantedM);
    const counts = plantedM !== null || this.#trees > 0 || !usesRatio(this.#mitigation);
    return { ...base, requiredDbhM: this.#requiredM, requiredTrees: counts ? this.#trees + byRatio : null };
  }
}

function usesRatio({ classes, otherwise }: Mitigation): boolean {
  return [otherwise, ...classes.map((c) => c.require)].some((r) => 'ratio' in r);
}

/** The first class that holds, else what the table says of all others; null when a class asks for a diameter that is not given. */
export function requirementOf(
  mitigation: Mitigation,
  tree: LostTree,
): { readonly className: string | null; readonly require: Requirement } | null {
  for (const one of mitigation.classes) {
    const holds = isOf(one, tree);
    if (holds === null) return null;
    if (holds) return { className: one.name, require: one.require };
  }
  return { className: null, require: mitigation.otherwise };
}

function isOf(one: MitigationClass, tree: LostTree): boolean | null {
  const among = (list: readonly string[], word: string | undefined): boolean =>
    word !== undefined && list.some((item) => item.trim().toLowerCase() === word.trim().toLowerCase());
  if (one.species !== undefined && !among(one.species, tree.species) && !among(one.species, tree.commonName))
    return false;
  if (one.condition !== undefined && !among(one.condition, tree.condition)) return false;
  if (one.protected !== undefined && one.protected !== tree.protected) return false;
  if (one.from === undefined && one.below === undefined) return true;
  if (tree.dbhM === null) return null;
  const from = lengthInMetres(one.from ?? '0 m') ?? 0;
  const below = one.below === undefined ? Infinity : (lengthInMetres(one.below) ?? Infinity);
  return tree.dbhM >= from - SLACK_M && tree.dbhM < below - SLACK_M;
}

/** Trees by a sum of diameters; 0 for nothing lost, null where the table has no figure. */
function fromTable({ rows, rounding }: TotalTable, lostM: number): number | null {
  if (lostM <= 0) return 0;
  const inches = lostM / METRES_PER.in;
  const sum = rounding === 'nearest-in' ? Math.round(inches + 1e-9) * METRES_PER.in : lostM;
  const row = rows.find(({ upTo }) => sum <= (lengthInMetres(upTo) ?? 0) + SLACK_M);
  return row === undefined ? null : row.trees;
}
