// How one piece of works changes the figures while it moves. In: an assessment, a row of works, how far; out: the figures of the
// trees it reaches. Terms: home = where the assessment has it; centre = the mean of its corners there. Same stages, same figures as `assess` of works that were
// moved in the file; only the trees that the piece reaches, at home or there, are measured again.

import { DEGREES_PER_METRE, eastward } from '../geometry/index.js';
import type { Assessment, Job, Verdict, ZoneTable } from '../model/index.js';
import { firstVertex } from '../model/index.js';
import { overlaps } from '../overlap/index.js';
import { affectedPct, judgeAll, ruleAreas, weigh } from '../rules/index.js';

/** One tree's figures with the piece where it is; percent 0 to 100. */
export interface MovedTree {
  readonly row: number;
  readonly overlapPct: number;
  readonly severedPct: number;
  readonly affectedPct: number;
  readonly verdict: Verdict | null;
}

/** One piece of works, to be moved about. */
export interface WorksMover {
  readonly row: number;
  /**
   * Moves the piece so far from home along the frame's axes (true north within a tenth of a degree), metres, turned about its
   * centre by degrees clockwise (default 0). Gives all trees that it reaches there or reached at home; the others are as the
   * assessment has them.
   */
  to(eastM: number, northM: number, turnDeg?: number): readonly MovedTree[];
  /** The point about which it turns: the mean of its corners at home. */
  readonly centre: readonly [lon: number, lat: number];
  /** The piece's vertices where it is now, lon/lat pairs in the order of `job.works.geometry`. */
  readonly lonLat: Float64Array;
}

/**
 * A piece of works of an assessment, ready to be moved. The assessment itself stays as it is.
 *
 * @example
 * const mover = moveWorks(assessment, 3);
 * mover.to(2, 0)[0]?.overlapPct; // the first tree it reaches, with the piece two metres further east
 */
export function moveWorks(assessment: Assessment, row: number): WorksMover {
  const { job, rule, option, options } = assessment;
  const areas = ruleAreas(rule);
  const weights = weigh(rule, areas, job.works, option);
  const worksLonLat = job.worksLonLat.slice();
  const [from, to] = verticesOf(job, row);
  const home = worksLonLat.slice(from * 2, to * 2);
  const frame = job.frameAt(home[0]!, home[1]!);
  const homeXy = new Float64Array(home.length);
  frame.toFrame(home, homeXy);
  const middle = meanOf(homeXy);
  const centre = Float64Array.from(middle);
  frame.toLonLat(centre, centre);
  const atHome = reached(job, row, home);
  const moved = worksLonLat.subarray(from * 2, to * 2);
  const { existing } = job;
  return {
    row,
    lonLat: moved,
    centre: [centre[0]!, centre[1]!],
    to(eastM, northM, turnDeg = 0) {
      if (eastM === 0 && northM === 0 && turnDeg === 0) moved.set(home);
      else {
        carry(homeXy, middle, { eastM, northM, turnDeg }, moved);
        frame.toLonLat(moved, moved);
      }
      const rows = [...new Set([...atHome, ...reached(job, row, moved)])].sort((a, b) => a - b);
      const zones = only(job.zones, rows);
      const { table } = overlaps({
        zones,
        shapes: job.zoneShapes,
        treeLonLat: job.treeLonLat,
        works: job.works,
        worksLonLat,
        weights,
        areas,
        ...(existing === null
          ? {}
          : { existing: { ...existing, spared: (options.existingUse ?? 'counted') !== 'counted' } }),
        frameAt: job.frameAt,
      });
      const judged = judgeAll(job.trees, zones, table, rule);
      return rows.map((tree): MovedTree => {
        const zoneM2 = zones.areaM2[tree]!;
        const overlapM2 = table.overlapM2[tree]!;
        const severedM2 = table.severedM2[tree]!;
        const { verdict } = judged[tree]!;
        return {
          row: tree,
          overlapPct: (overlapM2 / zoneM2) * 100,
          severedPct: (severedM2 / zoneM2) * 100,
          affectedPct: affectedPct(overlapM2, severedM2, zoneM2, table.stemInWorks[tree] === 1),
          verdict,
        };
      });
    },
  };
}

function verticesOf(job: Job, row: number): readonly [from: number, to: number] {
  const { geometry } = job.works;
  return [firstVertex(geometry, row), firstVertex(geometry, row + 1)];
}

function meanOf(xy: Float64Array): readonly [number, number] {
  let [x, y] = [0, 0];
  for (let i = 0; i < xy.length; i += 2) {
    x += xy[i]! / (xy.length / 2);
    y += xy[i + 1]! / (xy.length / 2);
  }
  return [x, y];
}

/** Pairs in a frame, turned clockwise about a middle and then shifted; `out` may be `xy`. */
export function carry(
  xy: Float64Array,
  middle: readonly [number, number],
  { eastM, northM, turnDeg }: { readonly eastM: number; readonly northM: number; readonly turnDeg: number },
  out: Float64Array,
): void {
  const angle = (-turnDeg * Math.PI) / 180;
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  for (let i = 0; i < xy.length; i += 2) {
    const [x, y] = [xy[i]!, xy[i + 1]!];
    const [dx, dy] = [x - middle[0], y - middle[1]];
    // Without a turn the middle is not used, so no bit is lost.
    out[i] = (turnDeg === 0 ? x : middle[0] + dx * cos - dy * sin) + eastM;
    out[i + 1] = (turnDeg === 0 ? y : middle[1] + dx * sin + dy * cos) + northM;
  }
}

/** Trees whose zone may hold some of a piece: by boxes, generously. */
function reached(job: Job, row: number, lonLat: Float64Array): number[] {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < lonLat.length; i += 2) {
    west = Math.min(west, lonLat[i]!);
    east = Math.max(east, lonLat[i]!);
    south = Math.min(south, lonLat[i + 1]!);
    north = Math.max(north, lonLat[i + 1]!);
  }
  const orZero = (value: number): number => (Number.isNaN(value) ? 0 : value);
  // A mitred corner lies at most twice the offset away.
  const ownM = 2 * (orZero(job.works.widthM[row]!) / 2 + orZero(job.works.overdigM[row]!));
  const rows: number[] = [];
  const { radiusM } = job.zones;
  for (let tree = 0; tree < radiusM.length; tree++) {
    const reachM = radiusM[tree]! + ownM;
    if (!(reachM > 0)) continue;
    const dLat = reachM * DEGREES_PER_METRE;
    const dLon = eastward(dLat, Math.max(Math.abs(south), Math.abs(north)));
    const lon = job.treeLonLat[tree * 2]!;
    const lat = job.treeLonLat[tree * 2 + 1]!;
    if (lon >= west - dLon && lon <= east + dLon && lat >= south - dLat && lat <= north + dLat) rows.push(tree);
  }
  return rows;
}

/** The same zones for some trees only: a tree without a radius is not measured. */
function only(zones: ZoneTable, rows: readonly number[]): ZoneTable {
  const radiusM = new Float64Array(zones.radiusM.length).fill(Number.NaN);
  for (const row of rows) radiusM[row] = zones.radiusM[row]!;
  return { ...zones, radiusM };
}
