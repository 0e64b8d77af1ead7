// Grade change in files and tables: columns of trees, of the schedule, of lots. In: an assessment with grades, units; out: columns, none
// without grades. Terms: see model/grade-result.ts. Constant a row.

import type { Assessment, GradesResult, GroundGrade, TreeGrade, TreeResult } from '../model/index.js';
import type { Column } from './column.js';
import { figure, SCALES, type Units } from './numbers.js';

/** Whether a row of works was made from grades. */
export function isFromGrades({ grades, job }: Assessment, row: number): boolean {
  return grades !== undefined && job.works.layerOf[row] === job.works.layers.length - 1;
}

const scaled = (value: number | null, factor: number): number | null => (value === null ? null : value * factor);

/** A figure of a tree's grade: `name` without prefix and unit, `title` as a heading. */
interface TreeFigure {
  readonly name: string;
  readonly title: string;
  readonly of: 'length' | 'area' | 'percent';
  readonly value: (grade: TreeGrade, zoneM2: number | null) => number | null;
}

const share = (part: number | null, whole: number | null): number | null =>
  part === null || whole === null || whole === 0 ? null : Math.min(Math.max((part / whole) * 100, 0), 100);

function treeFigures({ fillDepthM, cutDepthM }: GradesResult, units: Units): TreeFigure[] {
  const deep = (metres: number): string => depthWords(metres, units);
  return [
    { name: 'grade_change', title: 'Grade change at the trunk', of: 'length', value: (g) => g.changeM },
    { name: 'filled', title: `Filled deeper than ${deep(fillDepthM)}`, of: 'area', value: (g) => g.filledM2 },
    {
      name: 'filled',
      title: `Filled deeper than ${deep(fillDepthM)}`,
      of: 'percent',
      value: (g, z) => share(g.filledM2, z),
    },
    { name: 'cut', title: `Cut deeper than ${deep(cutDepthM)}`, of: 'area', value: (g) => g.cutM2 },
    { name: 'cut', title: `Cut deeper than ${deep(cutDepthM)}`, of: 'percent', value: (g, z) => share(g.cutM2, z) },
    { name: 'grade_unknown', title: 'Grade not known', of: 'area', value: (g) => g.unknownM2 },
  ];
}

/** A depth as people say it: inches or centimetres. */
export function depthWords(metres: number, units: Units): string {
  const { factor, title } = SCALES[units].diameterCell;
  return `${(metres * factor).toFixed(1)} ${title}`;
}

/** Columns of tree features. */
export function gradeColumns({ grades }: Assessment, units: Units): Column<TreeResult>[] {
  if (grades === undefined) return [];
  const { length, area } = SCALES[units];
  return treeFigures(grades, units).map(({ name, of, value }): Column<TreeResult> => {
    const scale = of === 'length' ? length : of === 'area' ? area : { suffix: 'pct', factor: 1 };
    const read = (t: TreeResult): number | null =>
      figure(scaled(value(grades.trees[t.row]!, t.zoneAreaM2), scale.factor));
    return { name: `${name}_${scale.suffix}`, type: 'real', value: read };
  });
}

/** The same for the schedule: heading, decimals, value. */
export function gradeCells(
  { grades }: Assessment,
  units: Units,
): { readonly title: string; readonly decimals: number; readonly value: (tree: TreeResult) => number | null }[] {
  if (grades === undefined) return [];
  const { length, area } = SCALES[units];
  return treeFigures(grades, units).map(({ title, of, value }) => {
    const scale = of === 'length' ? length : of === 'area' ? area : { title: '%', factor: 1 };
    return {
      title: `${title} (${scale.title})`,
      decimals: of === 'percent' ? 1 : 2,
      value: (t) => scaled(value(grades.trees[t.row]!, t.zoneAreaM2), scale.factor),
    };
  });
}

/** A figure of a lot's grades. */
export interface LotGradeFigure {
  readonly name: string;
  readonly title: string;
  readonly of: 'area' | 'volume';
  readonly value: (grade: GroundGrade) => number;
}

/** Figures of lots, in their order. */
export const LOT_GRADES: readonly LotGradeFigure[] = [
  { name: 'filled', title: 'Ground filled', of: 'area', value: (g) => g.filledM2 },
  { name: 'fill', title: 'Fill', of: 'volume', value: (g) => g.fillM3 },
  { name: 'cut', title: 'Ground cut', of: 'area', value: (g) => g.cutM2 },
  { name: 'cut', title: 'Cut', of: 'volume', value: (g) => g.cutM3 },
  { name: 'grade_unknown', title: 'Grade not known', of: 'area', value: (g) => g.unknownM2 },
];

/** The grades that a lot has by its row; null where it has none. */
export function lotGrade({ grades }: Assessment, row: number): GroundGrade | null {
  return grades?.lots[row] ?? null;
}
