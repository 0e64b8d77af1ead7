// The figures of a lot, defined once for all outputs: properties of lot features and columns of the lot table. In: an
// assessment and units; out: names, headings and values. Terms: see LotFigures; lot table = one row a lot, then trees on no
// lot, then all.

import type { Assessment, GroundGrade, LotFigures } from '../model/index.js';
import { inert, quoted } from './csv-cell.js';
import { LOT_GRADES, lotGrade } from './grades.js';
import { cell, SCALES, type Units } from './numbers.js';
import { shownWords } from './shown-words.js';

/** One figure of a lot: `name` as a property (without prefix and unit), `title` as a heading. */
interface LotFigure {
  readonly name: string;
  readonly title: string;
  readonly of: 'count' | 'diameter';
  readonly value: (figures: LotFigures) => number | null;
}

const count = (name: string, title: string, value: LotFigure['value']): LotFigure => ({
  name,
  title,
  of: 'count',
  value,
});
const diameter = (name: string, title: string, value: LotFigure['value']): LotFigure => ({
  name,
  title,
  of: 'diameter',
  value,
});

const FIGURES: readonly LotFigure[] = [
  count('tree_count', 'Trees', (f) => f.trees),
  count('on_line', 'On a lot line', (f) => f.onLine),
  count('off_site', 'Marked off site', (f) => f.offSite),
  count('reaching_in', 'Zones reaching in', (f) => f.reachingIn),
  count('reaching_in_off_site', 'Reaching in from off site', (f) => f.reachingInOffSite),
  count('kept', 'Kept', (f) => f.kept),
  count('removed', 'Removed', (f) => f.removed),
  count('transplanted', 'Transplanted', (f) => f.transplanted),
  count('disposition_unknown_count', 'Kept for want of a known word', (f) => f.dispositionUnknown),
  count('protected_count', 'Protected', (f) => f.protected),
  count('protected_unknown_count', 'Protected or not: unknown', (f) => f.protectedUnknown),
  count('protected_removed', 'Protected and removed', (f) => f.protectedRemoved),
  count('over_limit', 'Kept, over the limit', (f) => f.overLimit),
  count('stem_in_works', 'Kept, stem in works', (f) => f.stemInWorks),
  count('going_over', 'Removed or moved: over the limit', (f) => f.goingOver),
  count('not_assessed', 'Not assessed', (f) => f.notAssessed),
  diameter('dbh_kept', 'Diameter kept', (f) => f.keptDbhM),
  diameter('dbh_removed', 'Diameter removed', (f) => f.removedDbhM),
  diameter('dbh_transplanted', 'Diameter transplanted', (f) => f.transplantedDbhM),
  diameter('dbh_protected_removed', 'Diameter protected and removed', (f) => f.protectedRemovedDbhM),
  count('without_dbh', 'Without diameter', (f) => f.withoutDbh),
];

const REPLACEMENT: readonly LotFigure[] = [
  count('lost', 'Lost under the mitigation table', (f) => f.replacement?.lost ?? null),
  diameter('dbh_lost', 'Diameter lost', (f) => f.replacement?.lostDbhM ?? null),
  diameter('dbh_required', 'Diameter to plant', (f) => f.replacement?.requiredDbhM ?? null),
  count('trees_required', 'Trees to plant', (f) => f.replacement?.requiredTrees ?? null),
];

const figuresOf = (assessment: Assessment): readonly LotFigure[] =>
  assessment.options.mitigation === undefined ? FIGURES : [...FIGURES, ...REPLACEMENT];

/** Figures of a lot as properties: name with its unit, and a value in that unit. */
export function lotProperties(
  assessment: Assessment,
  units: Units,
): { readonly name: string; readonly value: (figures: LotFigures, row: number) => number | null }[] {
  const scale = SCALES[units].diameter;
  const grades = assessment.grades === undefined ? [] : LOT_GRADES;
  const own = figuresOf(assessment).map(({ name, of, value }) =>
    of === 'count'
      ? { name, value }
      : { name: `${name}_${scale.suffix}`, value: (f: LotFigures) => scaled(value(f), scale.factor) },
  );
  const ofGrades = grades.map(({ name, of, value }) => {
    const { suffix, factor } = SCALES[units][of];
    return {
      name: `${name}_${suffix}`,
      value: (_: LotFigures, row: number) => {
        const grade = lotGrade(assessment, row);
        return grade === null ? null : value(grade) * factor;
      },
    };
  });
  return [...own, ...ofGrades];
}

/** A row of the lot table; numbers unrounded, with the decimals they are shown with. */
export interface LotRow {
  readonly lot: string;
  readonly of: 'lot' | 'no-lot' | 'total';
  readonly cells: readonly { readonly value: number | null; readonly decimals: number }[];
}

/** Headings and rows of the lot table: each lot in input order, the trees on no lot, the total. Every sink draws from it. */
export function lotTable(assessment: Assessment, units: Units): { readonly titles: string[]; readonly rows: LotRow[] } {
  const scale = SCALES[units].diameterCell;
  const figures = figuresOf(assessment);
  const grades = assessment.grades === undefined ? [] : LOT_GRADES;
  const graded = (grade: GroundGrade | null): LotRow['cells'] =>
    grades.map(({ of, value }) => ({
      value: grade === null ? null : value(grade) * SCALES[units][of].factor,
      decimals: 1,
    }));
  const row = (lot: string, of: LotRow['of'], values: LotFigures, grade: GroundGrade | null): LotRow => ({
    lot,
    of,
    cells: figures
      .map(({ of: kind, value }) =>
        kind === 'count'
          ? { value: value(values), decimals: 0 }
          : { value: scaled(value(values), scale.factor), decimals: 1 },
      )
      .concat(graded(grade)),
  });
  const { all, offLots } = assessment.totals;
  return {
    titles: [
      'Lot',
      ...figures.map(({ title, of }) => (of === 'count' ? title : `${title} (${scale.title})`)),
      ...grades.map(({ title, of }) => `${title} (${SCALES[units][of].title})`),
    ],
    rows: [
      ...assessment.lots
        .filter((lot) => lot.accepted)
        .map((lot) => row(lot.key, 'lot', lot.figures, lotGrade(assessment, lot.row))),
      row('on no lot', 'no-lot', offLots, null),
      row('total', 'total', all, assessment.grades?.total ?? null),
    ],
  };
}

/**
 * The lot table as CSV text (RFC 4180, UTF-8): one row a lot, the trees on no lot, the total. A tree counts on one lot;
 * zones that reach in are counted on every lot they reach, so that column has no total.
 *
 * @example
 * toLotTable(assessment, { units: 'us' }).split('\r\n').at(-2); // 'total,254,...'
 */
export function toLotTable(assessment: Assessment, options: { readonly units?: Units | undefined } = {}): string {
  return [...lotTablePieces(assessment, options)].join('');
}

/** The same row by row. */
export function* lotTablePieces(
  assessment: Assessment,
  options: { readonly units?: Units | undefined } = {},
): Generator<string, void, undefined> {
  const { titles, rows } = lotTable(assessment, options.units ?? 'metric');
  yield `${titles.map(quoted).join(',')}\r\n`;
  for (const { lot, cells } of rows) {
    yield `${[inert(lot), ...cells.map((c) => cell(c.value, c.decimals))].map(quoted).join(',')}\r\n`;
  }
  const some = shownWords(assessment);
  if (some !== '') yield `${[some, ...titles.slice(1).map(() => '')].map(quoted).join(',')}\r\n`;
}

function scaled(value: number | null, factor: number): number | null {
  return value === null ? null : value * factor;
}
