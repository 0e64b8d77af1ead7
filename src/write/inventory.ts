// The tree inventory: every tree with what the survey says about it and what was found. In: an assessment, units; out: a
// sheet.
// Terms: as in model/; two readings of one field (stems and the diameter used) stand side by side. A row per tree, in input order.

import { AGES, type Assessment, type TreeResult, type TreeTable, type TreeText, treeViews } from '../model/index.js';
import { saysProtected, yesNo } from './columns.js';
import { cell, SCALES, type Units } from './numbers.js';
import { type CellColumn, numberColumn, type Sheet, sheetPieces, textColumn } from './sheet.js';
import { categoryWords, missingWords, seeFirstWords, spanCell, WORTH_TITLES } from './worth-words.js';

type Column = CellColumn<TreeResult>;

/** The inventory as a table: every printed form uses these columns and cells. */
export function inventorySheet(assessment: Assessment, units: Units): Sheet {
  const columns = inventoryColumns(assessment, units);
  return {
    name: 'Inventory',
    columns,
    *rows() {
      for (const tree of treeViews(assessment)) yield columns.map((column) => column.value(tree));
    },
  };
}

/**
 * The tree inventory as CSV text: every tree read, with its species, stems, sizes, condition, protection, disposition,
 * zone, overlap and verdict. Columns without any survey data are left out.
 *
 * @example
 * toInventory(assessment, { units: 'us' }).split('\r\n')[0]; // 'Tree,Species,Common name,Stems (in),...'
 */
export function toInventory(assessment: Assessment, options: { readonly units?: Units | undefined } = {}): string {
  return [...inventoryPieces(assessment, options)].join('');
}

/** The same row by row. */
export function inventoryPieces(
  assessment: Assessment,
  options: { readonly units?: Units | undefined } = {},
): Generator<string, void, undefined> {
  return sheetPieces(inventorySheet(assessment, options.units ?? 'metric'));
}

/** Columns of the inventory, in their order; brief: without the answers that a section of their own shows. */
export function inventoryColumns(assessment: Assessment, units: Units, isBrief = false): Column[] {
  const { trees } = assessment.job;
  const { length } = SCALES[units];
  const all = [
    ...surveyColumns(assessment, units),
    ...worthColumns(assessment, isBrief),
    ...foundColumns(assessment, units),
    numberColumn<TreeResult>(`Position surveyed to (${length.title})`, 2, (t) =>
      scaled(trees.accuracyM[t.row]!, length.factor),
    ),
    own(trees, 'Surveyed', 'surveyed'),
    own(trees, 'Surveyor', 'surveyor'),
    own(trees, 'Remarks', 'remarks'),
  ];
  const empty = emptyOf(
    assessment,
    all.filter(({ title }) => !ALWAYS.has(title)),
  );
  return all.filter((column) => !empty.has(column));
}

/** Columns of every inventory, with or without survey data. */
const ALWAYS: ReadonlySet<string> = new Set(['Tree', 'Species', 'Disposition', 'Verdict']);

function surveyColumns({ job: { trees } }: Assessment, units: Units): Column[] {
  const { length, diameterCell } = SCALES[units];
  const lengths = (title: string, of: (row: number) => number): Column =>
    numberColumn(`${title} (${length.title})`, 1, (t) => scaled(of(t.row), length.factor));
  const crown = (row: number, side: number): number => trees.crownM[row * 4 + side]!;
  const isRound = (row: number): boolean => [1, 2, 3].every((side) => crown(row, side) === crown(row, 0));
  const radiiOf = (row: number): string => {
    const sides = [0, 1, 2, 3].map((side) => crown(row, side));
    return sides.some(Number.isFinite) ? sides.map((side) => shownLength(side * length.factor)).join(' / ') : '';
  };
  const stemsOf = (row: number): string =>
    (trees.stemsM.get(row) ?? []).map((stem) => Number((stem * diameterCell.factor).toFixed(1))).join(' + ');
  return [
    textColumn('Tree', (t) => t.key),
    textColumn('Tag', (t) => differing(trees.text(t.row, 'tag'), t.key)),
    textColumn('Species', (t) => trees.species[t.row]),
    textColumn('Common name', (t) => differing(trees.text(t.row, 'common_name'), trees.species[t.row])),
    textColumn(`Stems (${diameterCell.title})`, (t) => stemsOf(t.row)),
    numberColumn(`Diameter used (${diameterCell.title})`, 1, (t) => scaled(t.dbhM, diameterCell.factor)),
    textColumn('Estimated', (t) => (trees.estimated?.[t.row] === 1 ? 'yes' : '')),
    lengths('Height', (row) => trees.heightM[row]!),
    lengths('Crown base', (row) => trees.crownBaseM[row]!),
    lengths('Crown spread', (row) => (isRound(row) ? 2 * crown(row, 0) : Number.NaN)),
    textColumn(`Crown radii N, E, S, W (${length.title})`, (t) => (isRound(t.row) ? '' : radiiOf(t.row))),
    textColumn('Age', (t) => AGES[trees.age[t.row]!]),
    textColumn('Veteran', (t) => (trees.veteran[t.row] === 1 ? 'yes' : '')),
    own(trees, 'Condition', 'condition'),
    own(trees, 'Category', 'category'),
    own(trees, 'Remaining years', 'remaining_years'),
  ];
}

/** What an arborist looks at, field by field, and what it comes to; nothing where the survey has none of it. */
function worthColumns(assessment: Assessment, isBrief: boolean): Column[] {
  const { trees } = assessment.job;
  const ages = [own(trees, 'Age in years', 'age_years'), own(trees, 'Likely span of years', 'life_span')];
  const category = textColumn('Retention category', categoryWords);
  if (isBrief && trees.worth) return [...ages, category];
  if (!trees.worth) return ages;
  const fields = Object.keys(WORTH_TITLES) as (keyof typeof WORTH_TITLES)[];
  return [
    ...ages,
    textColumn('Published span, not used', (t) => spanCell(assessment, t)),
    ...fields.map((field) => own(trees, WORTH_TITLES[field], field)),
    category,
    textColumn('See first', (t) => seeFirstWords(assessment, t).join('; ')),
    textColumn('Not recorded', (t) => missingWords(t).join(', ')),
  ];
}

function foundColumns(assessment: Assessment, units: Units): Column[] {
  const { job, rule } = assessment;
  const { length } = SCALES[units];
  const { trees } = job;
  const protectedColumns: Column[] = [
    textColumn('Protected', (t) => yesNo(t.isProtected)),
    textColumn('Protected by', (t) => protectedBy(assessment, t)),
  ];
  return [
    ...(saysProtected(assessment) ? protectedColumns : []),
    textColumn('Disposition', (t) => t.disposition),
    own(trees, 'Reason', 'reason'),
    numberColumn(`Zone radius (${length.title})`, 2, (t) => scaled(t.zoneRadiusM, length.factor)),
    numberColumn('Overlap (%)', 1, (t) => t.overlapPct),
    ...rule.rings.map(({ name, title }) =>
      numberColumn<TreeResult>(
        `${title ?? `Ring ${name}`} (%)`,
        1,
        (t) => t.rings.find((ring) => ring.name === name)?.overlapPct ?? null,
      ),
    ),
    textColumn('Verdict', (t) => t.verdict),
    textColumn('Lot', (t) => t.lot),
  ];
}

/** Who says that a tree is protected. */
export function protectedBy({ job: { trees } }: Assessment, { row, isProtected }: TreeResult): string {
  if (isProtected !== true) return '';
  return trees.protected[row] === 1 ? 'survey' : 'rule';
}

/** A field of the survey as it was read. */
function own(trees: TreeTable, title: string, field: TreeText): Column {
  return textColumn(title, ({ row }) => trees.text(row, field));
}

/** Columns in which no tree has a value; the walk ends when each has been seen to hold one. */
function emptyOf(assessment: Assessment, columns: readonly Column[]): ReadonlySet<Column> {
  const empty = new Set(columns);
  for (const tree of treeViews(assessment)) {
    for (const column of empty) {
      const value = column.value(tree);
      if (value !== null && value !== '') empty.delete(column);
    }
    if (empty.size === 0) break;
  }
  return empty;
}

function shownLength(value: number): string {
  return Number.isFinite(value) ? cell(value, 1) : '?';
}

function differing(text: string | undefined, from: string | undefined): string {
  return text === undefined || text === from ? '' : text;
}

function scaled(value: number | null, factor: number): number | null {
  return value === null || !Number.isFinite(value) ? null : value * factor;
}
