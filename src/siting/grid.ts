// Positions tried. In: a problem and a turn; out: a grid of standings, the outline of the region where every limit is kept.
// Terms: node = a shift that is a multiple of the spacing, home among them; allowed region = shifts at which the footprint
// fits and every tree is within its limit.

import { circleRing, commonShape, type Ring, rootIn, type Shape, unionShape } from '../geometry/index.js';
import { HOME, type Motion } from './motion.js';
import type { Problem, Standing } from './problem.js';

export interface Grid {
  readonly spacingM: number;
  readonly columns: number;
  readonly rows: number;
  readonly eastM: number; // of the first node
  readonly northM: number;
  /** Row by row from the south-west. */
  readonly nodes: readonly Standing[];
}

/** Spacings that read well on a map, metres. */
const SPACINGS = [0.1, 0.2, 0.25, 0.5, 1, 2, 2.5, 5, 10, 20, 25, 50, 100];
/** Where limits are met on the grid's lines: to a tenth of a millimetre. */
const WIDTH_M = 0.0001;

/** Shifts at which the footprint fits, no farther than it may go. */
export function fittingShifts(problem: Problem, turn: Pick<Motion, 'turnDeg' | 'mirrored'>): Shape {
  const { shiftM } = problem.freedom;
  if (!(shiftM > 0)) return [];
  const circle: Ring = circleRing(shiftM, 0.001);
  return problem.room === null ? [[circle]] : problem.room.shifts(problem.turned(turn).held, circle);
}

/**
 * A box that holds all allowed shifts at which the footprint fits: quick to find, and mostly not much larger than needed.
 */
export function boxOfShifts(problem: Problem, turn: Pick<Motion, 'turnDeg' | 'mirrored'>): Shape {
  const { shiftM } = problem.freedom;
  let [w, s, e, n] = [-shiftM, -shiftM, shiftM, shiftM];
  if (problem.room !== null) {
    const [ground, own] = [cornersBox(problem.room.shape.flat()), cornersBox(problem.turned(turn).held)];
    w = Math.max(w, ground[0] - own[0]);
    s = Math.max(s, ground[1] - own[1]);
    e = Math.min(e, ground[2] - own[2]);
    n = Math.min(n, ground[3] - own[3]);
  }
  return w <= e && s <= n ? [[[w, s, e, s, e, n, w, n]]] : [];
}

function cornersBox(rings: readonly Ring[]): [number, number, number, number] {
  const box: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      box[0] = Math.min(box[0], ring[i]!);
      box[1] = Math.min(box[1], ring[i + 1]!);
      box[2] = Math.max(box[2], ring[i]!);
      box[3] = Math.max(box[3], ring[i + 1]!);
    }
  }
  return box;
}

/** A grid over a shape of shifts, of about so many nodes at most. */
export function gridOver(
  problem: Problem,
  shifts: Shape,
  turn: Pick<Motion, 'turnDeg' | 'mirrored'>,
  most: number,
): Grid | null {
  const box = cornersBox(shifts.flat());
  if (!(box[2] >= box[0])) return null;
  const across = (spacing: number): readonly [number, number, number, number] => [
    Math.floor(box[0] / spacing),
    Math.floor(box[1] / spacing),
    Math.ceil(box[2] / spacing),
    Math.ceil(box[3] / spacing),
  ];
  const spacingM =
    SPACINGS.find((spacing) => {
      const [w, s, e, n] = across(spacing);
      return (e - w + 1) * (n - s + 1) <= most;
    }) ?? SPACINGS.at(-1)!;
  const [w, s, e, n] = across(spacingM);
  const nodes: Standing[] = [];
  for (let row = s; row <= n; row++) {
    for (let column = w; column <= e; column++) {
      nodes.push(problem.at({ ...turn, eastM: clean(column * spacingM), northM: clean(row * spacingM) }));
    }
  }
  return {
    spacingM,
    columns: e - w + 1,
    rows: n - s + 1,
    eastM: clean(w * spacingM),
    northM: clean(s * spacingM),
    nodes,
  };
}

function clean(v: number): number {
  return Math.round(v * 1000) / 1000 + 0;
}

/** The allowed region without a turn: corners lie on it exactly, and its sides cut curves over one cell of the grid. */
export function allowedShifts(problem: Problem, shifts: Shape, grid: Grid): Shape {
  const { columns, rows, nodes } = grid;
  const worstAt = (eastM: number, northM: number): number => problem.at({ ...HOME, eastM, northM }).worst;
  const node = (c: number, r: number): Standing => nodes[r * columns + c]!;
  const known = new Map<string, readonly [number, number]>();
  /** Where between two neighbouring nodes, one within and one not, the limit is met. */
  const between = (kept: Standing, over: Standing): readonly [number, number] => {
    const [a, b] = [kept.motion, over.motion];
    const key = `${a.eastM},${a.northM};${b.eastM},${b.northM}`;
    let place = known.get(key);
    if (place === undefined) {
      const [dx, dy] = [b.eastM - a.eastM, b.northM - a.northM];
      const t = rootIn((u) => worstAt(b.eastM - u * dx, b.northM - u * dy), 0, 1, WIDTH_M / grid.spacingM);
      place = [b.eastM - t * dx, b.northM - t * dy];
      known.set(key, place);
    }
    return place;
  };
  const cells: Ring[][] = [];
  for (let r = 0; r + 1 < rows; r++) {
    for (let c = 0; c + 1 < columns; c++) {
      const corners = [node(c, r), node(c + 1, r), node(c + 1, r + 1), node(c, r + 1)];
      const ring: number[] = [];
      corners.forEach((corner, i) => {
        const next = corners[(i + 1) % 4]!;
        const [kept, keptNext] = [corner.worst <= 0, next.worst <= 0];
        if (kept) ring.push(corner.motion.eastM, corner.motion.northM);
        if (kept !== keptNext) ring.push(...(kept ? between(corner, next) : between(next, corner)));
      });
      if (ring.length >= 6) cells.push([ring]);
    }
  }
  return commonShape(unionShape(cells), shifts);
}
