// Where can the footprint go? In: a job, what moves and how far; out: up to five sitings, each assessed by the ordinary
// path, with the map and the region behind them. Terms: see siting/search.ts and docs/siting.md; footprint = the works that
// move together; siting = one place for it; travel = the root mean square distance its corners go.

import { type AssessJob, assess } from '../assess/index.js';
import { placeLayers } from '../crs/index.js';
import type { Shape } from '../geometry/index.js';
import { DEGREES_PER_METRE, eastward } from '../geometry/index.js';
import {
  type Assessment,
  type Frame,
  firstVertex,
  InputError,
  type Job,
  type LonLatPolygons,
  type PlacedFootprint,
  type Siting,
  type SitingCell,
  type SitingOptions,
  type SitingStatus,
  staysByCode,
  WORKS_KINDS,
} from '../model/index.js';
import { didYouMean } from '../text/index.js';
import { findingsOf } from './findings.js';
import { movingGround } from './ground.js';
import { type Home, heldRows, outlines, roomOf } from './lot-room.js';
import { aboutPoint, type Footprint, footprintOf, type Motion } from './motion.js';
import { movedInputs } from './moved.js';
import { Problem } from './problem.js';
import { type Found, search } from './search.js';

/** How far a footprint may move by default, metres. */
export const USUAL_SHIFT_M = 15;

/** Works named in a message. */
const MOST_NAMES = 12;
const BUILDING = WORKS_KINDS.indexOf('building');

/**
 * Looks for the smallest move of some works that puts every tree to be kept within its limits, or for the best trades.
 * The same job and options give the same sitings. The job's signal is looked at before each measure of a tree, at each place.
 *
 * @throws InputError as `assess` does, and `siting-no-works`, `works-unknown`, `siting-no-lot`, `siting-no-buildable`,
 *   `siting-too-intricate`
 * @example
 * const { sitings } = siting({ trees, works: [{ layer: house }], lots }, { setback: 3, turnDeg: 15 });
 * sitings[0]?.travelM; // 2.31: all trees within their limits so far from where it is drawn
 */
export function siting(job: AssessJob, options: SitingOptions = {}): Siting {
  // Margins take milliseconds a tree and none is asked for here.
  const whole: AssessJob = { ...job, options: { ...job.options, margins: job.options?.margins ?? false } };
  const look = (): void => job.signal?.throwIfAborted();
  const before = assess(whole);
  const moved = movingRows(before, options.move);
  const home = homeOf(before, moved);
  const held = outlines(before, heldRows(before, moved), home);
  const shiftM = options.shiftM ?? USUAL_SHIFT_M;
  look();
  const footprint = footprintAt(before, moved, home);
  look();
  const size = farthestAlong(outlines(before, moved, home)) * Math.SQRT2 + 1;
  const trees = treesNear(before, home, shiftM + size);
  const { ground, moving } = movingGround(before, trees, moved, home.frame, look);
  const room = roomOf(before, moved, held, home, shiftM + 2 * size, options, look);
  const freedom = { shiftM, turnDeg: options.turnDeg ?? 0, mirror: options.mirror === true };
  const problem = new Problem(ground, footprint, aboutPoint(moving, home.x, home.y), held, room, freedom, look);
  const found = search(problem);
  const { works = [] } = job;
  const { placed } = placeLayers(
    works.map(({ layer }) => ({ role: 'works' as const, layer })),
    before.options,
  );
  const transforms = placed.map(({ transform }) => transform);
  const assessedAt = (motion: Motion): Assessment => {
    if (isHome(motion)) return before;
    return assess({
      ...whole,
      works: movedInputs(works, transforms, before.job.works, moved, footprint, motion, home.frame),
    });
  };
  const rowsOf = (places: readonly number[]): number[] => places.map((t) => trees[t]!);
  const sitings = found.sitings.map((standing, i): PlacedFootprint => {
    const { motion, travelM, lostM2 } = standing;
    const over = rowsOf(standing.over);
    return { rank: i + 1, ...motion, travelM, over, lostM2, after: assessedAt(motion) };
  });
  return {
    status: statusOf(found),
    before,
    options,
    moved,
    trees,
    beyondHelp: rowsOf(problem.beyondHelp),
    reference: lonLatAt(home.frame, home.x, home.y),
    sitings,
    allowed: drawn(found.allowed, home),
    buildable: room === null ? [] : drawn(room.shape, home),
    map: { spacingM: found.grid?.spacingM ?? 0, cells: cellsOf(found, home) },
    isProven: found.isProven,
    findings: findingsOf(before, found, problem, rowsOf, shiftM),
  };
}

/** The largest coordinate of any corner, either way. */
function farthestAlong(rings: readonly (readonly number[])[]): number {
  let most = 0;
  for (const ring of rings) for (const value of ring) most = Math.max(most, Math.abs(value));
  return most;
}

function isHome({ eastM, northM, turnDeg, mirrored }: Motion): boolean {
  return eastM === 0 && northM === 0 && turnDeg === 0 && !mirrored;
}

function statusOf({ sitings }: Found): SitingStatus {
  const [best] = sitings;
  if (best === undefined) return 'no-room';
  if (best.over.length > 0) return 'trade';
  return isHome(best.motion) ? 'in-place' : 'sited';
}

function movingRows({ job, works }: Assessment, ids: readonly string[] | undefined): number[] {
  const { works: table } = job;
  if (ids === undefined) {
    const rows = works
      .filter(({ row, counted }) => counted !== 'false' && table.kind[row] === BUILDING)
      .map(({ row }) => row);
    if (rows.length > 0) return rows;
    throw new InputError('siting-no-works', 'no building among the works can be moved', {
      cure: 'name the works to move by their id: --move house',
      usage: true,
    });
  }
  const names = Array.from({ length: table.count }, (_, row) => table.key.at(row)!);
  const rows = ids.map((id) => {
    const row = names.indexOf(id);
    if (row >= 0 && !table.rejected.has(row)) return row;
    const message =
      row < 0 ? `no works are called "${id}"${didYouMean(id, names)}` : `the works "${id}" cannot be measured`;
    throw new InputError('works-unknown', message, {
      cure:
        row < 0
          ? `give one of: ${names.slice(0, MOST_NAMES).join(', ')}`
          : 'fix the problems that the findings name for it',
      usage: true,
    });
  });
  return [...new Set(rows)].sort((a, b) => a - b);
}

/** The frame of what moves, and the mean of its corners there. */
function homeOf({ job }: Assessment, rows: readonly number[]): Home {
  const [first = 0] = rows;
  const at = verticesOf(job, first);
  const frame = job.frameAt(at[0]!, at[1]!);
  const all = rows.flatMap((row) => [...verticesOf(job, row)]);
  const xy = Float64Array.from(all);
  frame.toFrame(xy, xy);
  const { x, y } = footprintOf(xy, []);
  return { frame, x, y };
}

function footprintAt(assessment: Assessment, rows: readonly number[], { frame, x, y }: Home): Footprint {
  const { job } = assessment;
  const xy = Float64Array.from(rows.flatMap((row) => [...verticesOf(job, row)]));
  frame.toFrame(xy, xy);
  const edges = outlines(assessment, heldRows(assessment, rows), { frame, x, y }).flatMap((ring) =>
    ring.flatMap((_, i) =>
      i % 2 === 0 ? [ring[i], ring[i + 1], ring[(i + 2) % ring.length], ring[(i + 3) % ring.length]] : [],
    ),
  ) as number[];
  return { ...footprintOf(xy, edges), x, y };
}

function verticesOf({ works, worksLonLat }: Job, row: number): Float64Array {
  return worksLonLat.subarray(firstVertex(works.geometry, row) * 2, firstVertex(works.geometry, row + 1) * 2);
}

/** Assessed trees to be kept whose zones or rings come within a distance of the reference, generously. */
function treesNear({ job }: Assessment, { frame, x, y }: Home, withinM: number): number[] {
  const { radiusM, ringRadiusM } = job.zones;
  const [lon0, lat0] = lonLatAt(frame, x, y);
  const isLocal = job.treeTransform?.crs.kind === 'local';
  const at = new Float64Array(2);
  const rows: number[] = [];
  for (let row = 0; row < radiusM.length; row++) {
    if (!(radiusM[row]! > 0) || !staysByCode(job.trees.disposition[row]!)) continue;
    const reachM = withinM + Math.max(radiusM[row]!, ...ringRadiusM.map((ring) => ring[row]! || 0));
    const [lon, lat] = [job.treeLonLat[row * 2]!, job.treeLonLat[row * 2 + 1]!];
    if (!isLocal) {
      const dLat = reachM * DEGREES_PER_METRE;
      if (Math.abs(lat - lat0) > dLat || Math.abs(lon - lon0) > eastward(dLat, lat0)) continue;
    }
    at.set([lon, lat]);
    frame.toFrame(at, at);
    if (Math.hypot(at[0]! - x, at[1]! - y) > reachM) continue;
    rows.push(row);
  }
  return rows;
}

function lonLatAt(frame: Frame, x: number, y: number): readonly [number, number] {
  const at = Float64Array.of(x, y);
  frame.toLonLat(at, at);
  return [at[0]!, at[1]!];
}

function drawn(shape: Shape, { frame, x, y }: Home): LonLatPolygons {
  return shape.map((polygon) =>
    polygon.map((ring) => {
      const xy = Float64Array.from(ring, (v, i) => v + (i % 2 === 0 ? x : y));
      frame.toLonLat(xy, xy);
      const out: [number, number][] = [];
      for (let i = 0; i < xy.length; i += 2) out.push([xy[i]!, xy[i + 1]!]);
      out.push([xy[0]!, xy[1]!]);
      return out;
    }),
  );
}

function cellsOf({ grid }: Found, home: Home): SitingCell[] {
  if (grid === null) return [];
  const h = grid.spacingM / 2;
  return grid.nodes.map(({ motion: { eastM, northM }, worstPct, over, fits }) => {
    const [w, s, e, n] = [eastM - h, northM - h, eastM + h, northM + h];
    return { eastM, northM, worstPct, over: over.length, fits, shape: drawn([[[w, s, e, s, e, n, w, n]]], home) };
  });
}
