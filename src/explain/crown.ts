// The crown against buildings. In: a tree whose crown is known; out: what they take of it, where, and what would help.
// Terms: bearings are clockwise from true north; lift = how far the crown's base would have to rise.

import { cell } from '../write/index.js';
import type { Explained, Page } from './page.js';

export function crownLines(page: Page, { assessment: { options }, tree: { crown } }: Explained): void {
  if (crown === null) return;
  const clearance = options.clearanceM ?? 0;
  page.step('area of the crown, seen from above', page.area(crown.areaM2));
  page.step('kept free round buildings, sideways and upwards', page.length(clearance));
  if (crown.overlapM2 === null || crown.overlapPct === null || crown.arcDegrees === null) {
    page.note('neither works nor existing structures were given: there is nothing for the crown to meet');
    return;
  }
  page.step(
    'taken by buildings and that clearance; buildings that stay below the crown are left out',
    page.area(crown.overlapM2),
    page.percent(crown.overlapPct),
  );
  if (crown.overlapM2 === 0) return;
  const bearing = (degrees: number): string => cell(degrees, 1);
  const arcs = crown.arcs.map(([from, to]) => (to - from >= 360 ? 'all round' : `${bearing(from)} to ${bearing(to)}`));
  page.note(`on the bearings ${arcs.join(', ')}: ${bearing(crown.arcDegrees)} degrees together`);
  if (crown.works !== null) page.note(`of them nearest to the trunk: ${crown.works}`);
  if (crown.liftM === null) page.note('it is not known how far its base would have to rise: a height is missing');
  else page.step('its base would clear all of them if lifted by', page.length(crown.liftM));
  page.note('for information: the verdict is about roots only; pruning is licensed, dangerous work');
}
