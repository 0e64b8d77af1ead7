// What the zone stage reports about trees. In: reasons by row; out: the maps of a ZoneTable, and findings.
// Terms: rejected = not assessed, one finding per tree; note = still assessed, named in rb_reasons and
// summed up in one finding per layer, since a whole survey may share it.

import type { ReasonCode, Rule, TreeTable } from '../../model/index.js';
import { type Finding, type FindingCode, finding } from '../../model/index.js';
import { counted } from '../../text/index.js';
import { RowMap } from './row-map.js';

/** Why a tree has no zone. */
export type Reason = 'dbh-missing' | 'crown-missing' | 'height-missing' | 'diameter-outside-table' | 'zone-empty';

type Said = (tree: string, rule: string) => readonly [message: string, cure: string];

const WHY: Readonly<Record<Reason, Said>> = {
  'dbh-missing': (tree, rule) => [
    `${tree} has no usable trunk diameter, which rule ${rule} needs`,
    'fill dbh, stems or girth with its unit, or give a zone radius',
  ],
  'crown-missing': (tree, rule) => [
    `${tree} lacks a crown radius on at least one side, which rule ${rule} needs`,
    'fill crown_radius, or all of crown_n, crown_e, crown_s and crown_w, or give a zone radius',
  ],
  'height-missing': (tree, rule) => [
    `${tree} has no height, which rule ${rule} needs`,
    'fill height with its unit, or give a zone radius',
  ],
  'diameter-outside-table': (tree, rule) => [
    `${tree} is thicker than the last row of rule ${rule}'s table`,
    'add a row to the rule, the last with "upTo": null, or give a zone radius',
  ],
  'zone-empty': (tree, rule) => [
    `rule ${rule} gives ${tree} no radius above 0`,
    'check the figures the rule reads, or give a zone radius',
  ],
};

/** Notes that are findings as well, with what to do. */
const TOLD: readonly (readonly [FindingCode & ReasonCode, string, string])[] = [
  [
    'zone-overridden',
    'a zone radius in the survey, used instead of the rule',
    'leave zone_radius empty to use the rule',
  ],
  ['base-dia-assumed', 'no diameter above the root buttress; the one at breast height was used', 'measure base_dia'],
  ['tolerance-assumed', 'no tolerance; moderate was used', 'fill tolerance with good, moderate or poor'],
  ['age-assumed', 'no age; mature was used', 'fill age with young, mature or overmature'],
  ['ring-unmeasured', 'too few figures to size a ring of the rule', 'fill the trunk diameter'],
];

/** Lists of codes that trees share: a million trees with the same notes hold one list. */
class SharedLists {
  /** The first belongs to trees without notes. */
  readonly lists: (readonly ReasonCode[])[] = [[]];
  readonly #longer: Map<ReasonCode, number>[] = [new Map()];

  /** A list with one more code; the same list when it already has the code. */
  withCode(list: number, code: ReasonCode): number {
    const longer = this.#longer[list]!;
    const known = longer.get(code);
    if (known !== undefined) return known;
    const codes = this.lists[list]!;
    const next = codes.includes(code) ? list : this.lists.push([...codes, code]) - 1;
    if (next !== list) this.#longer.push(new Map());
    longer.set(code, next);
    return next;
  }
}

export class ZoneNotes {
  readonly #trees: TreeTable;
  readonly #rejected = new Map<number, Reason>();
  readonly #shared = new SharedLists();
  readonly #listOf: Uint16Array; // per tree: its list; some two dozen codes in a fixed order make few lists

  constructor(trees: TreeTable) {
    this.#trees = trees;
    this.#listOf = new Uint16Array(trees.count);
  }

  reject(row: number, reason: Reason): void {
    this.#rejected.set(row, reason);
  }

  add(row: number, code: ReasonCode): void {
    this.#listOf[row] = this.#shared.withCode(this.#listOf[row]!, code);
  }

  /** Notes by row; trees of the same notes share one list. */
  notes(): ReadonlyMap<number, readonly string[]> {
    const lists = this.#shared.lists;
    const listOf = this.#listOf;
    return new RowMap(listOf.length, (row) => (listOf[row] === 0 ? undefined : lists[listOf[row]!]));
  }

  /** Every tree that is not assessed: those rejected before, and those the rule could not size. */
  rejected(): ReadonlyMap<number, readonly string[]> {
    const all = new Map(this.#trees.rejected);
    for (const [row, reason] of this.#rejected) all.set(row, [reason]);
    return all;
  }

  findings(rule: Rule): readonly Finding[] {
    const layer = this.#trees.layer.name;
    const found: Finding[] = [];
    for (const [row, reason] of this.#rejected) {
      const id = this.#trees.key.at(row);
      const [message, cure] = WHY[reason](`tree ${id ?? row}`, rule.id);
      found.push(finding(reason, { layer, feature: row, id }, message, cure));
    }
    const uses = new Uint32Array(this.#shared.lists.length);
    for (const list of this.#listOf) uses[list] = uses[list]! + 1;
    for (const [code, what, cure] of TOLD) {
      let count = 0;
      this.#shared.lists.forEach((list, i) => {
        if (list.includes(code)) count += uses[i]!;
      });
      if (count > 0) {
        const who = counted(count, 'tree has', 'trees have');
        found.push(finding(code, { layer }, `${who} ${what}`, cure));
      }
    }
    return found;
  }
}
