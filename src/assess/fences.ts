// Fences on demand. In: the job's tables and verdicts; out: a FencePlan. Joins plan/fence/fence.ts to the shapes of works and of
// drawn zones. Terms: see plan/fence/fence.ts.

import type { Ring } from '../geometry/index.js';
import { BoxIndex, DEGREES_PER_METRE, eastward, NearRings, type Rectangle } from '../geometry/index.js';
import type { FenceOptions, FencePlan, Frame, Job, JudgedTree, StopSignal } from '../model/index.js';
import { type PlacedWorks, untagged, widest, worksBoxes, worksPieces } from '../overlap/index.js';
import { fencePlan } from '../plan/index.js';
import { ringsOf } from './drawing.js';

/** Works of more corners than this are cut to what lies near a group; those of fewer are taken as they are. */
const LONG_CORNERS = 500;
/** Corners of works in frames that are kept for the next group. */
const MOST_KEPT = 4_000_000;

export function fencesOf(
  job: Job,
  judged: readonly JudgedTree[],
  options: FenceOptions | undefined,
  signal?: StopSignal,
): FencePlan {
  const near = new WorksNearGroups(untagged(job.works, job.worksLonLat));
  return fencePlan({
    ...job,
    judged,
    options,
    signal,
    worksNear: worksFinder(job),
    worksRings: (row, frame, x, y, box) => near.rings(row, frame, x, y, box),
    drawnZone: (row, frame, x, y) => drawnZone(job, row, frame, x, y),
  });
}

/** Works in the frames of groups: each row is projected once a frame, and walked only where it comes near a group. */
class WorksNearGroups {
  readonly #placed: PlacedWorks;
  readonly #known = new Map<number, Map<number, NearRings>>();
  #kept = 0;

  constructor(placed: PlacedWorks) {
    this.#placed = placed;
  }

  rings(row: number, frame: Frame, x: number, y: number, box: Rectangle): Ring[][] {
    const known = this.#known.get(frame.key)?.get(row);
    if (known !== undefined) return known.within(box, x, y);
    const pieces = worksPieces(this.#placed, Uint32Array.of(row), frame);
    if (pieces.xy.length / 2 <= LONG_CORNERS) return ringsOf(pieces, x, y);
    const near = new NearRings(pieces);
    this.#keep(frame.key, row, near, pieces.xy.length / 2);
    return near.within(box, x, y);
  }

  #keep(frame: number, row: number, near: NearRings, corners: number): void {
    if (this.#kept + corners > MOST_KEPT) {
      this.#known.clear();
      this.#kept = 0;
    }
    this.#kept += corners;
    const rows = this.#known.get(frame);
    if (rows === undefined) this.#known.set(frame, new Map([[row, near]]));
    else rows.set(row, near);
  }
}

function worksFinder({ works, worksLonLat }: Job) {
  const boxes = worksBoxes(works, worksLonLat);
  // A row without vertices has a box that is inside out: a point nobody asks for stands in for it.
  for (let i = 0; i < boxes.length; i += 4) if (!(boxes[i]! <= boxes[i + 2]!)) boxes.fill(1e9, i, i + 4);
  const index = new BoxIndex(boxes);
  const beyond = widest(works);
  return (box: readonly [number, number, number, number], reachM: number): number[] => {
    const [west, south, east, north] = box;
    const dLat = (reachM + beyond) * DEGREES_PER_METRE;
    const dLon = eastward(dLat, Math.max(Math.abs(south), Math.abs(north)));
    const rows = new Set<number>();
    for (const turn of [-360, 0, 360]) {
      const n = index.search(west - dLon + turn, south - dLat, east + dLon + turn, north + dLat);
      for (const row of index.found.subarray(0, n)) rows.add(row);
    }
    return [...rows].sort((a, b) => a - b);
  };
}

/** A zone that is not a disc (drawn, or of a group), in another frame than the tree's own. */
function drawnZone(job: Job, row: number, frame: Frame, x: number, y: number): Ring[][] | null {
  const shape = job.zoneShapes.get(row);
  if (shape === undefined) return null;
  const own = job.frameAt(job.treeLonLat[row * 2]!, job.treeLonLat[row * 2 + 1]!);
  if (own.key === frame.key) return ringsOf(shape.pieces, x, y);
  const xy = shape.pieces.xy.slice();
  own.toLonLat(xy, xy);
  frame.toFrame(xy, xy);
  return ringsOf({ ...shape.pieces, xy }, x, y);
}
