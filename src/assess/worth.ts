// What an arborist looks at, in the run. In: the trees, the diameters used; out: a tree's Worth when asked for, and findings.
// Terms: see model/worth.ts. Nothing where the survey has none of the fields; else a pass over the rows for the findings.

import { AGES, type Finding, finding, given, type Job, type TreeTable, type Worth } from '../model/index.js';
import { counted } from '../text/index.js';
import { statedCategory, worthOf, yearsOf } from '../worth/index.js';

type Facts = Pick<Job, 'zones'> & { readonly trees: TreeTable };

/** One tree's Worth; null where the survey has no answer for it. */
export function treeWorth({ trees, zones }: Facts, row: number): Worth | null {
  const table = trees.worth ?? null;
  if (table === null) return null;
  const age = AGES[trees.age[row]!];
  return worthOf({
    table,
    row,
    years: trees.text(row, 'remaining_years'),
    category: trees.text(row, 'category'),
    isYoung: age === undefined ? null : age === 'young',
    dbhM: given(zones.dbhM[row]),
  });
}

/** Where the survey's own category is not the reckoned one, and years that can't be read. */
export function worthFindings(facts: Facts): Finding[] {
  const { trees } = facts;
  if ((trees.worth ?? null) === null) return [];
  const findings: Finding[] = [];
  const unread = { count: 0, row: -1, text: '' };
  for (let row = 0; row < trees.count; row++) {
    const years = trees.text(row, 'remaining_years');
    if (years !== undefined && yearsOf(years) === null && unread.count++ === 0)
      Object.assign(unread, { row, text: years });
    const stated = statedCategory(trees.text(row, 'category'));
    const reckoned = stated === null ? null : (treeWorth(facts, row)?.reckoned ?? null);
    if (stated === null || reckoned === null || stated === reckoned) continue;
    const place = { layer: trees.layer.name, feature: row, id: trees.key.at(row), path: 'properties.category' };
    const message = `the survey puts tree ${trees.key.at(row)} in category ${stated}; years and defects as entered give ${reckoned}: the survey’s stands`;
    const cure =
      'look at years, defects and category once more; table 1 also weighs quality, which is the arborist’s to judge';
    findings.push(finding('retention-differs', place, message, cure));
  }
  if (unread.count > 0) {
    const place = { layer: trees.layer.name, feature: unread.row, id: trees.key.at(unread.row) };
    const message = `remaining years that can’t be read: ${counted(unread.count, 'tree')}, the first "${unread.text.slice(0, 40)}"; they give no category`;
    findings.push(finding('years-unreadable', place, message, 'write 15, 10-20, 20+ or <10'));
  }
  return findings;
}
