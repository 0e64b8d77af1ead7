// Match lines of a sheet. In: cells, the one in hand, the paper; out: SVG: a broken line where the next sheet goes on, with its
// number. Terms: see cells.ts.

import { INK } from '../drawing/palette.js';
import type { Paper } from '../drawing/paper.js';
import { mm } from '../drawing/svg.js';
import type { Cell } from './cells.js';

export function matchLines(cells: readonly Cell[], at: number, numbers: readonly number[], paper: Paper): string {
  const own = cells[at]!;
  const { x0, y0, x1, y1 } = own.box;
  const sides: readonly (readonly [dx: number, dy: number, ends: readonly number[], turn: number])[] = [
    [-1, 0, [x0, y0, x0, y1], -90],
    [1, 0, [x1, y0, x1, y1], -90],
    [0, -1, [x0, y1, x1, y1], 0],
    [0, 1, [x0, y0, x1, y0], 0],
  ];
  return sides
    .map(([dx, dy, ends, turn]) => {
      const next = cells.findIndex(({ column, row }) => column === own.column + dx && row === own.row + dy);
      if (next < 0) return '';
      const [ax, ay, bx, by] = paper.ring(ends) as [number, number, number, number];
      const [mx, my] = [(ax + bx) / 2, (ay + by) / 2];
      const words = `Match line: sheet ${numbers[next]}`;
      return (
        `<path d="M${mm(ax)},${mm(ay)}L${mm(bx)},${mm(by)}" fill="none" stroke="${INK}" stroke-width=".5" stroke-dasharray="6 1.5 1 1.5"/>` +
        `<text class="rb-match" x="${mm(mx)}" y="${mm(my - 1)}" font-size="2.6" text-anchor="middle" transform="rotate(${turn} ${mm(mx)} ${mm(my)})">${words}</text>`
      );
    })
    .join('');
}
