// A site cut into sheets. In: the ground, the window of a sheet, a scale; out: cells. Terms: cell = the ground of one sheet
// between its match lines; overlap = ground that neighbours both show, so that what lies on a match line is whole on one of them.

import { InputError } from '../../model/index.js';
import { type Box, grown } from '../drawing/ground.js';
import type { Scale } from './sheet.js';

/** Ground beyond a match line that a sheet still shows, mm of paper. */
export const OVERLAP_MM = 8;
/** More sheets than this are hardly meant. */
const SHEETS_AT_MOST = 80;

/** A cell and its place in the grid. */
export interface Cell {
  readonly box: Box;
  readonly column: number;
  readonly row: number; // from the north
}

/**
 * Cells that cover the ground, from the north-west corner by rows; those that hold nothing fall away.
 *
 * @throws InputError `scale-too-large` (usage) where they would be too many
 */
export function cellsOf(
  extent: Box,
  room: { readonly widthMm: number; readonly heightMm: number },
  scale: Scale,
  holdsAnything: (box: Box) => boolean,
): Cell[] {
  const stepX = ((room.widthMm - 2 * OVERLAP_MM) * scale.ratio) / 1000;
  const stepY = ((room.heightMm - 2 * OVERLAP_MM) * scale.ratio) / 1000;
  const columns = Math.ceil((extent.x1 - extent.x0) / stepX);
  const rows = Math.ceil((extent.y1 - extent.y0) / stepY);
  if (!(columns * rows <= SHEETS_AT_MOST * 4)) throw tooMany(scale, columns * rows);
  // The grid lies centred over the ground.
  const left = (extent.x0 + extent.x1) / 2 - (columns * stepX) / 2;
  const top = (extent.y0 + extent.y1) / 2 + (rows * stepY) / 2;
  const cells: Cell[] = [];
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const box = {
        x0: left + column * stepX,
        y0: top - (row + 1) * stepY,
        x1: left + (column + 1) * stepX,
        y1: top - row * stepY,
      };
      if (holdsAnything(box)) cells.push({ box, column, row });
    }
  }
  if (cells.length > SHEETS_AT_MOST) throw tooMany(scale, cells.length);
  return cells;
}

/** What a sheet of a cell shows. */
export function shownOf({ box }: Cell, scale: Scale): Box {
  return grown(box, (OVERLAP_MM * scale.ratio) / 1000);
}

function tooMany(scale: Scale, sheets: number): InputError {
  return new InputError('scale-too-large', `at ${scale.label} the site takes ${sheets} sheets`, {
    cure: `choose a smaller scale with --scale, or a larger sheet with --sheet: at most ${SHEETS_AT_MOST} sheets are drawn`,
    usage: true,
  });
}
