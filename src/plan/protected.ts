// Whether a tree is protected. In: what the survey says and what the rule's own test says; out: yes, no, or not known.
// Terms: the survey's field `protected` takes precedence over the rule's test: an order may protect a tree of any size.
// Constant for a tree.

import type { TreeTable, ZoneTable } from '../model/index.js';

/** Code of a word of the survey that no table knows, and of a test of the rule that lacks a figure. */
const UNKNOWN = 2;

/** true or false; null where neither survey nor rule can tell. */
export function isProtected(
  { protected: given }: Pick<TreeTable, 'protected'>,
  { protectedByRule }: Pick<ZoneTable, 'protectedByRule'>,
  row: number,
): boolean | null {
  const word = given[row]!;
  if (word < UNKNOWN) return word === 1;
  const test = protectedByRule?.[row] ?? UNKNOWN;
  // A survey whose word is not understood may mean yes, whatever the tree's size.
  if (test === 0 && word === UNKNOWN) return null;
  return test === UNKNOWN ? null : test === 1;
}

/** Whether the survey or the rule says that any tree is, or may be, protected. */
export function isProtectedTold(
  { protected: given }: Pick<TreeTable, 'protected'>,
  { protectedByRule }: Pick<ZoneTable, 'protectedByRule'>,
): boolean {
  return protectedByRule !== null || given?.some((word) => word <= UNKNOWN) === true;
}
