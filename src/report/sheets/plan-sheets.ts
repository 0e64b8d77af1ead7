// A plan as numbered sheets. In: an assessment, drawings, sheet and scale; out: SVG, a sheet each. Terms: see cells.ts and
// drawings.ts. Where the scale asked for does not fit, the site is cut; else each drawing is one sheet.

import { type Assessment, firstVertex, type GeometryTable } from '../../model/index.js';
import type { Drawing } from '../drawing/drawings.js';
import { type Box, boxOfPairs, meets } from '../drawing/ground.js';
import { type Scene, sceneOf } from '../drawing/scene.js';
import type { PlanOptions } from '../options.js';
import { type Cell, cellsOf, shownOf } from './cells.js';
import { drawEmptyPlan } from './empty.js';
import { matchLines } from './match-lines.js';
import { drawScene, roomFor, type SheetView } from './plan.js';
import { fits, type Scale, scaleNamed } from './sheet.js';

/** A sheet of a plan. */
export interface PlanSheet {
  /** Counted from 1 through all drawings. */
  readonly number: number;
  readonly drawing: Drawing;
  readonly svg: string;
}

/** Every sheet of a plan, in their order: drawing by drawing, from the north-west by rows. */
export function drawSheets(assessment: Assessment, options: PlanOptions): PlanSheet[] {
  const scene = sceneOf(assessment);
  if (scene === null) return [{ number: 1, drawing: 'all', svg: drawEmptyPlan(assessment, options) }];
  const drawings = options.drawings ?? (['all'] as const);
  const scale = options.scale === undefined ? null : scaleNamed(options.scale);
  const cells = scale === null ? null : cutCells(assessment, scene, options, scale);
  const each = cells?.length ?? 1;
  const of = drawings.length * each;
  return drawings.flatMap((drawing, d) =>
    Array.from({ length: each }, (_, cell): PlanSheet => {
      const number = d * each + cell + 1;
      const numbers = Array.from({ length: each }, (_unused, i) => d * each + i + 1);
      const view: SheetView = {
        drawing,
        shown: cells === null || scale === null ? null : shownOf(cells[cell]!, scale),
        place: of === 1 ? null : { number, of, cells: (cells ?? []).map(({ box }) => box), cell, numbers },
        over: (paper) => (cells === null ? '' : matchLines(cells, cell, numbers, paper)),
      };
      return { number, drawing, svg: drawScene(assessment, scene, options, false, view).svg };
    }),
  );
}

/** Cells of the site at a scale; null where it fits on one sheet. */
function cutCells(assessment: Assessment, scene: Scene, options: PlanOptions, scale: Scale): Cell[] | null {
  const rooms = roomFor(assessment, scene, options);
  const { x0, y0, x1, y1 } = scene.extent;
  if (rooms.some((room) => fits(scale, { widthM: x1 - x0, heightM: y1 - y0 }, room))) return null;
  const works = boxesOf(scene, assessment.job.works.geometry, assessment.job.worksLonLat);
  const holdsAnything = (box: Box): boolean =>
    scene.trees.some(({ x, y, radiusM: r }) => meets(box, { x0: x - r, y0: y - r, x1: x + r, y1: y + r })) ||
    works.some((own) => meets(box, own));
  return cellsOf(scene.extent, rooms[0]!, scale, holdsAnything);
}

function boxesOf({ ground }: Scene, table: GeometryTable, lonLat: Float64Array): Box[] {
  const xy = ground.metres(lonLat);
  return Array.from({ length: table.kind.length }, (_, row) =>
    boxOfPairs(xy.subarray(firstVertex(table, row) * 2, firstVertex(table, row + 1) * 2)),
  ).filter((box) => box !== null);
}
