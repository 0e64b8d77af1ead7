// Removal and replacement: each lost tree, what it requires, sums per lot and in all. In: an assessment, units; out: a
// sheet.
// Terms: see model/removal.ts; a row's `Of` says what it is about: a tree, a lot, the trees on no lot, the whole site.
// Trees come in input order; sums follow where there is anything to sum.

import { type Assessment, isShown, type Removal, type Replacement, type TreeResult } from '../model/index.js';
import { saysProtected, yesNo } from './columns.js';
import { protectedBy } from './inventory.js';
import { SCALES, type Units } from './numbers.js';
import { type CellColumn, numberColumn, type Sheet, type SheetCell, sheetPieces, textColumn } from './sheet.js';

/** A line of the table: a tree, or a sum. */
interface Line {
  readonly of: 'tree' | 'lot' | 'no lot' | 'site';
  readonly lot: string;
  readonly removal: Removal | null;
  readonly tree: TreeResult | null;
  readonly dbhM: number | null;
  readonly requiredDbhM: number | null;
  readonly requiredTrees: number | null;
}

/** Why a tree is in the list, in words. */
export const WHY_WORDS: Readonly<Record<Removal['why'], string>> = {
  remove: 'to be removed',
  transplant: 'to be moved',
  'over-limit': 'over its limit: counts as lost',
  'stem-in-works': 'its trunk stands in the works, but it is not marked for removal',
};

/** The table for all outputs; without rows where no tree is lost. */
export function removalSheet(assessment: Assessment, units: Units): Sheet {
  const columns = columnsOf(assessment, units);
  return {
    name: 'Removal and replacement',
    columns,
    *rows(): Generator<readonly SheetCell[]> {
      for (const line of linesOf(assessment)) yield columns.map((column) => column.value(line));
    },
  };
}

/**
 * The removal and replacement table as CSV text: a row per tree that goes, then sums per lot and of the site.
 *
 * @example
 * toRemovals(assessment, { units: 'us' }).split('\r\n')[0]; // 'Of,Tree,Species,...'
 */
export function toRemovals(assessment: Assessment, options: { readonly units?: Units | undefined } = {}): string {
  return [...removalPieces(assessment, options)].join('');
}

/** The same row by row. */
export function removalPieces(
  assessment: Assessment,
  options: { readonly units?: Units | undefined } = {},
): Generator<string, void, undefined> {
  return sheetPieces(removalSheet(assessment, options.units ?? 'metric'));
}

function columnsOf(assessment: Assessment, units: Units): CellColumn<Line>[] {
  const { diameterCell } = SCALES[units];
  const { trees } = assessment.job;
  const { mitigation } = assessment.options;
  const inches = (title: string, value: (line: Line) => number | null): CellColumn<Line> =>
    numberColumn(`${title} (${diameterCell.title})`, 1, (line) => {
      const metres = value(line);
      return metres === null ? null : metres * diameterCell.factor;
    });
  const ofTree = (title: string, value: (tree: TreeResult) => string | undefined): CellColumn<Line> =>
    textColumn(title, ({ tree }) => (tree === null ? '' : value(tree)));
  return [
    textColumn('Of', ({ of }) => of),
    ofTree('Tree', ({ key }) => key),
    ...(assessment.job.lots === null ? [] : [textColumn<Line>('Lot', ({ lot }) => lot)]),
    ofTree('Species', ({ row }) => trees.species[row]),
    ofTree('Condition', ({ row }) => trees.text(row, 'condition')),
    inches('Diameter', ({ dbhM }) => dbhM),
    ...(saysProtected(assessment)
      ? [ofTree('Protected', (t) => yesNo(t.isProtected)), ofTree('Protected by', (t) => protectedBy(assessment, t))]
      : []),
    textColumn('Why', ({ removal }) => (removal === null ? '' : WHY_WORDS[removal.why])),
    ofTree('Reason', ({ row }) => trees.text(row, 'reason')),
    ...(mitigation === undefined
      ? []
      : [
          textColumn<Line>('Class', ({ removal }) => removal?.className),
          numberColumn<Line>('Planted per lost', 2, ({ removal }) => removal?.ratio ?? null),
          inches('Diameter to plant', ({ requiredDbhM }) => requiredDbhM),
          numberColumn<Line>('Trees to plant', 0, ({ requiredTrees }) => requiredTrees),
          textColumn<Line>('Not counted', ({ removal }) => (removal?.unknown === true ? 'no diameter' : '')),
        ]),
  ];
}

function* linesOf(assessment: Assessment): Generator<Line> {
  const { removals, lots, totals } = assessment;
  const sums = new Map<string | null, number>();
  let all = 0;
  for (const removal of removals) {
    const tree = assessment.tree(removal.row);
    const { dbhM, requiredDbhM, requiredTrees } = removal;
    const lot = tree.lot;
    sums.set(lot, (sums.get(lot) ?? 0) + (dbhM ?? 0));
    all += dbhM ?? 0;
    if (isShown(assessment, removal.row))
      yield { of: 'tree', lot: lot ?? '', removal, tree, dbhM, requiredDbhM, requiredTrees };
  }
  if (removals.length === 0) return;
  const sum = (of: Line['of'], lot: string, dbhM: number, replacement: Replacement | null): Line => ({
    of,
    lot,
    removal: null,
    tree: null,
    dbhM,
    requiredDbhM: replacement?.requiredDbhM ?? null,
    requiredTrees: replacement?.requiredTrees ?? null,
  });
  for (const { key, figures, accepted } of lots) {
    const own = sums.get(key);
    if (accepted && own !== undefined) yield sum('lot', key, own, figures.replacement);
  }
  const none = sums.get(null);
  if (lots.length > 0 && none !== undefined) yield sum('no lot', '', none, totals.offLots.replacement);
  yield sum('site', '', all, totals.all.replacement);
}
