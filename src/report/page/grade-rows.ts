// Grades in a tree's card. In: an assessment, a tree; out: rows of the card, none without grades. Terms: see model/grade-result.ts.

import type { Assessment, TreeResult } from '../../model/index.js';
import { depthWords, type Units } from '../../write/index.js';
import type { Figures } from '../figures.js';

export function gradeRows(
  { grades }: Assessment,
  { row, zoneAreaM2 }: TreeResult,
  figures: Figures,
): readonly (readonly [name: string, value: string])[] {
  const grade = grades?.trees[row];
  if (grades === undefined || grade === undefined) return [];
  const units: Units = figures.diameterUnit === 'in' ? 'us' : 'metric';
  const { changeM, filledM2, cutM2, unknownM2 } = grade;
  const trunk =
    changeM === null
      ? 'not known: the surfaces do not reach it'
      : Math.abs(changeM) <= grades.leastM
        ? 'unchanged'
        : `${changeM > 0 ? 'raised' : 'lowered'} by ${depthWords(Math.abs(changeM), units)}`;
  const part = (areaM2: number | null, depthM: number): string => {
    if (areaM2 === null || zoneAreaM2 === null) return 'not known';
    const pct = figures.percent((100 * areaM2) / zoneAreaM2);
    const atLeast = (unknownM2 ?? 0) > 0 ? 'at least ' : '';
    return `${atLeast}${pct}, ${figures.area(areaM2)}, by more than ${depthWords(depthM, units)}`;
  };
  return [
    ['Ground at the trunk', trunk],
    ['Filled in the zone', part(filledM2, grades.fillDepthM)],
    ['Cut in the zone', part(cutM2, grades.cutDepthM)],
    ...((unknownM2 ?? 0) > 0 ? [['Grade not known', `${figures.area(unknownM2)} of the zone`] as const] : []),
  ];
}
