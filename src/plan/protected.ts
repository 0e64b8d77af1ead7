// Whether a tree is protected. In: what the survey says and what the rule's own test says; out: yes, no, or not known.
// Terms: the survey's field `protected` takes precedence over the rule's test: an order may protect a tree of any size.

import type { TreeTable, ZoneTable } from '../model/index.js';

/** true or false, null where neither survey nor rule says. */
export function isProtected(
  { protected: given }: Pick<TreeTable, 'protected'>,
  { protectedByRule }: Pick<ZoneTable, 'protectedByRule'>,
  row: number,
): boolean | null {
  const word = given[row]!;
  if (word <= 1) return word === 1;
  return protectedByRule === null ? null : protectedByRule[row] === 1;
}
