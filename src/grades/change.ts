// Two surfaces to grade change. In: surfaces, their systems, the depths of the rules; out: works, figures of trees and lots, findings.
// Terms: see model/grades.ts and cells.ts. Cost: that of cells.ts; then the cells about each tree and in each lot.

import {
  type CrsTransform,
  type Finding,
  finding,
  type GradeChange,
  type GradeDepths,
  type Grades,
  InputError,
  type StopSignal,
  type Surface,
} from '../model/index.js';
import { type Cells, cellsOf, MOST_LEVELS, type PlaneFaces } from './cells.js';
import { GradedGround } from './ground.js';
import { measured } from './measure.js';
import { type Piece, piecesOf } from './stitch.js';
import { boundsOf, worksLayer } from './works.js';

/** How grades are taken; metres. */
export interface GradesOptions {
  /** A change up to this is none. Default 0.01 m: heights are given to 0.01 ft or 0.01 m (common practice, no source). */
  readonly leastM?: number;
  /** Depths to divide the ground at, beside those of the rule. */
  readonly depthsM?: readonly number[];
}

const LEAST_M = 0.01;
/** Heights that differ everywhere by more are on two datums, or in two units. */
const DATUM_M = 1;

/**
 * Two surfaces as the grades of a job. Nothing is worked out before the job asks.
 *
 * @throws InputError `option-grades` for a `leastM` or a depth that is not above 0
 * @example
 * assess({ trees, works: [], grades: gradesOf(existing, proposed, { depthsM: [0.3] }) });
 */
export function gradesOf(existing: Surface, proposed: Surface, options: GradesOptions = {}): Grades {
  const { leastM = LEAST_M, depthsM = [] } = options;
  if (!(leastM >= 1e-5) || !depthsM.every((depth) => depth > 0) || depthsM.length > MOST_LEVELS / 2) {
    throw new InputError(
      'option-grades',
      'depths and the least change of grades are lengths above 0, at most 100 of them',
      {
        cure: 'write --grade-depths 4in,1ft and --grade-least 0.02ft',
        usage: true,
      },
    );
  }
  return {
    existing: existing.layer,
    proposed: proposed.layer,
    change: ({ depths, signal, ...systems }) => {
      const all = {
        fill: above(leastM, [...depths.fill, ...depthsM]),
        excavation: above(leastM, [...depths.excavation, ...depthsM]),
      };
      const first = { fillDepthM: above(leastM, depths.fill)[0], cutDepthM: above(leastM, depths.excavation)[0] };
      return changeOf(existing, proposed, { ...systems, leastM, depths: all, ...first, signal });
    },
  };
}

function above(leastM: number, depths: readonly number[]): number[] {
  return [...new Set(depths)].filter((depth) => depth > leastM).sort((a, b) => a - b);
}

interface Given {
  readonly existing: CrsTransform;
  readonly proposed: CrsTransform;
  readonly leastM: number;
  readonly depths: GradeDepths;
  readonly fillDepthM: number | undefined;
  readonly cutDepthM: number | undefined;
  readonly signal: StopSignal | undefined;
}

function changeOf(existing: Surface, proposed: Surface, given: Given): GradeChange {
  const { leastM, depths, signal } = given;
  const levels = [...depths.excavation.map((depth) => -depth).reverse(), ...[-leastM, 0, leastM], ...depths.fill];
  const { planes, origin, extent } = inOnePlane(existing, proposed, given);
  const cells = cellsOf(planes[0], planes[1], levels, extent, signal);
  if (cells.count === 0) throw surfacesApart(existing, proposed);
  const middle = levels.indexOf(0);
  const isNoChange = (band: number): boolean => band === middle || band === middle + 1;
  const pieces = sorted(piecesOf(cells, isNoChange, signal), middle);
  const names = { existing: existing.layer.name, proposed: proposed.layer.name };
  const about = {
    name: `grades of ${names.proposed}`,
    existing: existing.layer,
    proposed: proposed.layer,
    levels,
    origin,
  };
  const ground = new GradedGround(cells, lonLatOf(cells, origin, given.existing));
  const fillDepthM = given.fillDepthM ?? leastM;
  const cutDepthM = given.cutDepthM ?? leastM;
  return {
    works: worksLayer(cells, pieces, about),
    findings: [...existing.findings, ...proposed.findings, ...datumFinding(cells, names.proposed)],
    measure: (site) =>
      measured(ground, site, {
        ...names,
        leastM,
        fillDepthM,
        cutDepthM,
        depths,
        bounds: Array.from({ length: levels.length + 1 }, (_, band) => boundsOf(levels, band)),
      }),
  };
}

/** Fill first, the shallow before the deep, as they are counted and named. */
function sorted(pieces: readonly Piece[], middle: number): Piece[] {
  const rank = ({ band }: Piece): number => (band > middle ? band : 1000 - band);
  return [...pieces].sort((a, b) => rank(a) - rank(b));
}

/** Both surfaces in the native plane of the existing one, about an origin near them. */
function inOnePlane(existing: Surface, proposed: Surface, systems: Pick<Given, 'existing' | 'proposed'>) {
  const other = proposed.xy.slice();
  if (systems.existing.crs.code === 'custom' || systems.existing.crs.code !== systems.proposed.crs.code) {
    systems.proposed.toLonLat(other);
    systems.existing.fromLonLat(other);
  }
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const xy of [existing.xy, other]) {
    for (let i = 0; i < xy.length; i += 2) {
      [west, south] = [Math.min(west, xy[i]!), Math.min(south, xy[i + 1]!)];
      [east, north] = [Math.max(east, xy[i]!), Math.max(north, xy[i + 1]!)];
    }
  }
  // Whole numbers are taken off without rounding: faces keep their shape to the last bit.
  const origin = [Math.floor(west), Math.floor(south)] as const;
  const about = (xy: Float64Array): Float64Array => xy.map((v, i) => v - origin[i % 2 === 0 ? 0 : 1]);
  const planes: readonly [PlaneFaces, PlaneFaces] = [
    { xy: about(existing.xy), z: existing.z, faces: existing.faces },
    { xy: about(other), z: proposed.z, faces: proposed.faces },
  ];
  return { planes, origin, extent: Math.max(east - origin[0], north - origin[1]) };
}

function lonLatOf({ x, y }: Cells, origin: readonly [number, number], transform: CrsTransform): Float64Array {
  const out = new Float64Array(x.length * 2);
  for (let p = 0; p < x.length; p++) {
    out[p * 2] = x[p]! + origin[0];
    out[p * 2 + 1] = y[p]! + origin[1];
  }
  if (!transform.isLonLat) transform.toLonLat(out);
  return out;
}

function surfacesApart(existing: Surface, proposed: Surface): InputError {
  const message = `${existing.layer.name} and ${proposed.layer.name} have no ground in common`;
  return new InputError('grade-apart', message, {
    layer: proposed.layer.name,
    cure: 'check their coordinate systems and units: --grades-crs, or both surfaces from one export',
  });
}

function datumFinding({ change }: Cells, layer: string): Finding[] {
  let least = Infinity;
  let [anyUp, anyDown] = [false, false];
  for (const value of change) {
    least = Math.min(least, Math.abs(value));
    if (value > 0) anyUp = true;
    else anyDown = true;
  }
  if (!(least > DATUM_M) || (anyUp && anyDown)) return [];
  const message = `the two surfaces are ${least.toFixed(2)} m apart or more everywhere: their heights may be on two datums or in two units`;
  return [finding('grade-datum', { layer }, message, 'check the unit (--grade-unit) and the benchmark of both')];
}
