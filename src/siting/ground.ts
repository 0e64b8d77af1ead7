// The trees about works that move, as the search sees them. In: an assessment, the trees, the rows that move; out: a Ground.
// Terms: see siting/problem.ts. Figures come from the ordinary measuring and limits from the ordinary tests; slopes from the
// boundary (siting/slope.ts), or by differences where a limit counts what is severed.

import { EXISTING, type Pieces, WORKS } from '../geometry/index.js';
import type { Assessment, Frame, Rule } from '../model/index.js';
import { trunkOrPoint } from '../model/index.js';
import { type MovingWorks, movingWorks } from '../overlap/index.js';
import {
  ALL,
  type CompiledLimits,
  compileLimits,
  excess,
  lookAtAll,
  mostAllowed,
  type RuleAreas,
  ruleAreas,
  type Test,
  type View,
  viewOf,
  weigh,
} from '../rules/index.js';
import { HOME, turnedPieces } from './motion.js';
import type { Ground } from './problem.js';
import { type Slope, slopeOf, type Taken, type Zone } from './slope.js';

/** Works that stand on a trunk are over by at least this share of its zone, whatever they take. */
const ON_TRUNK = 1e-4;
/** Step of the differences, metres and radians. */
const STEP = 1e-4;

export interface MovingGround {
  readonly ground: Ground;
  /** The pieces that move, at home, in the frame. */
  readonly moving: Pieces;
}

/** Trees by row, works that move by row; all measured in one frame. `look` is called between its steps and within them. */
export function movingGround(
  assessment: Assessment,
  trees: readonly number[],
  rows: readonly number[],
  frame: Frame,
  look: () => void = () => {},
): MovingGround {
  const { job, rule, option, options } = assessment;
  const areas = ruleAreas(rule);
  const { existing } = job;
  look();
  const works = movingWorks(
    {
      zones: job.zones,
      shapes: job.zoneShapes,
      treeLonLat: job.treeLonLat,
      works: job.works,
      worksLonLat: job.worksLonLat,
      weights: weigh(rule, areas, job.works, option),
      areas,
      ...(existing === null
        ? {}
        : { existing: { ...existing, spared: (options.existingUse ?? 'counted') !== 'counted' } }),
      frameAt: job.frameAt,
    },
    trees,
    rows,
    frame,
  );
  look();
  return { ground: new TreeGround(works, rule, areas, trees.length, look), moving: works.moving };
}

class TreeGround implements Ground {
  readonly count: number;
  readonly xy: Float64Array;
  readonly reachM: Float64Array;
  readonly zoneM2: Float64Array;
  readonly #works: MovingWorks;
  readonly #rule: Rule;
  readonly #areas: RuleAreas;
  readonly #limits: CompiledLimits;
  readonly #view: View;
  readonly #width: number; // of all moving pieces together, seen from the side where it is largest
  readonly #crossings: number; // a line can enter the moving pieces so often at most

  constructor(works: MovingWorks, rule: Rule, areas: RuleAreas, count: number, look: () => void) {
    this.count = count;
    this.xy = works.xy;
    this.zoneM2 = works.zones.areaM2;
    this.#works = works;
    this.#rule = rule;
    this.#areas = areas;
    this.#limits = compileLimits(rule, areas);
    this.#view = viewOf(works.zones, works.table);
    const { radiusM, ringRadiusM } = works.zones;
    this.reachM = radiusM.map((r, t) => Math.max(r, ...ringRadiusM.map((ring) => ring[t]! || 0)));
    [this.#width, this.#crossings] = breadth(works.moving, look);
  }

  excess(place: number, pieces: Pieces | null, x: number, y: number): number {
    this.#works.measure(place, pieces, x, y);
    const { zones, table } = this.#works;
    const most = excess(zones, table, place, this.#rule, this.#limits);
    return table.stemInWorks[place] === 1 ? Math.max(most, this.#onTrunk(place)) : most;
  }

  /** How deep works stand on the trunk, as a share of the reach. */
  #onTrunk(place: number): number {
    const { zones, table } = this.#works;
    const deep = trunkOrPoint(zones.trunkRadiusM, place) - table.nearestM[place]!;
    return ON_TRUNK + Math.max(deep, 0) / this.reachM[place]!;
  }

  overlapPct(place: number): number {
    return (this.#works.table.overlapM2[place]! / this.zoneM2[place]!) * 100;
  }

  slope(place: number, pieces: Pieces, x: number, y: number): Slope {
    const value = this.excess(place, pieces, x, y);
    const { table } = this.#works;
    if (table.stemInWorks[place] === 1 && (this.#rule.judge === 'affected' || value === this.#onTrunk(place))) {
      // Works on the trunk: moving away from it is an improvement.
      const [dx, dy] = [x - this.xy[place * 2]!, y - this.xy[place * 2 + 1]!];
      const per = 1 / ((Math.hypot(dx, dy) || 1) * this.reachM[place]!);
      return { east: -dx * per, north: -dy * per, turn: 0 };
    }
    const { test, ring, allowance } = this.#worst(place);
    if (test === undefined) return { east: 0, north: 0, turn: 0 };
    if (test.source === ALL && ring < 0 && this.#rule.judge === 'affected') return this.#bySteps(place, pieces, x, y);
    const { meter } = this.#works;
    const [tx, ty] = [this.xy[place * 2]!, this.xy[place * 2 + 1]!];
    const zone = this.#zone(place, ring);
    const r = zone.radiusM;
    const n = meter.index.search(tx - r, ty - r, tx + r, ty + r);
    const stay = meter.index.found.slice(0, n);
    const laid = { pieces, x, y };
    const out = slopeOf(
      zone,
      tx,
      ty,
      laid,
      { pieces: meter.pieces, x: 0, y: 0 },
      stay,
      this.#taken(place, test, allowance),
    );
    const whole = this.zoneM2[place]!;
    return { east: out.east / whole, north: out.north / whole, turn: out.turn / whole };
  }

  steepest(place: number): number {
    if (this.#rule.judge === 'affected') return Number.POSITIVE_INFINITY; // what is severed can change at once
    const r = this.reachM[place]!;
    const width = Math.min(this.#width, 2 * r * this.#crossings);
    return Math.max(width / this.zoneM2[place]!, 1 / r);
  }

  /** The limit that is passed most, as measured last. */
  #worst(place: number): { readonly test: Test | undefined; readonly ring: number; readonly allowance: number } {
    let most = -Infinity;
    let worst: { test: Test | undefined; ring: number; allowance: number } = {
      test: undefined,
      ring: -1,
      allowance: 0,
    };
    lookAtAll(this.#view, place, this.#limits, this.#rule, (test, area, whole, ring, _, allowance) => {
      const over = area - mostAllowed(whole, test);
      if (over > most) [most, worst] = [over, { test, ring, allowance }];
    });
    return worst;
  }

  #taken(place: number, test: Test, allowance: number): Taken {
    const without = this.#works.meter.touching.spare | (test.unsurfaced ? EXISTING : 0);
    if (test.source !== ALL) return { bits: this.#areas.sets[test.source]?.bits ?? WORKS, without };
    const { allowance: rule } = this.#limits;
    // An allowance that is not used up takes off all ground that only its kinds cover. The rest counts.
    const isOpen = rule !== null && allowance < rule.share * this.zoneM2[place]!;
    const others = isOpen && rule.others !== ALL ? this.#areas.sets[rule.others]?.bits : undefined;
    return { bits: others ?? WORKS, without };
  }

  #zone(place: number, ring: number): Zone {
    const { zones, shapes, convergence } = this.#works;
    if (ring >= 0) return { radiusM: zones.ringRadiusM[ring]![place]! };
    const shape = shapes.get(place);
    const [x, y] = [this.xy[place * 2]!, this.xy[place * 2 + 1]!];
    if (shape !== undefined) return { polygons: shape.pieces, x, y, radiusM: shape.reachM };
    const quarters = zones.quarters.get(place);
    if (quarters === undefined) return { radiusM: zones.radiusM[place]! };
    return { quarters, turn: (-convergence[place]! * Math.PI) / 180, radiusM: Math.max(...quarters) };
  }

  /** By differences: what is severed has no boundary integral here. */
  #bySteps(place: number, pieces: Pieces, x: number, y: number): Slope {
    const spot = { x: 0, y: 0, rmsM: 0, mirrorX: 0, mirrorY: 1 };
    const at = (dx: number, dy: number, turn: number): number => {
      const laid = turn === 0 ? pieces : turnedPieces(pieces, spot, (-turn * 180) / Math.PI, HOME.mirrored);
      return this.excess(place, laid, x + dx, y + dy);
    };
    const by = (dx: number, dy: number, turn: number): number => (at(dx, dy, turn) - at(-dx, -dy, -turn)) / (2 * STEP);
    return { east: by(STEP, 0, 0), north: by(0, STEP, 0), turn: by(0, 0, STEP) };
  }
}

/** Directions in half a turn that widths are seen from, and corners between two looks. */
const DIRECTIONS = 36;
const LOOK_EVERY = 8192;

/** Width of pieces summed, seen from the direction where that is largest, and how often a line can enter them at most. */
function breadth(pieces: Pieces, look: () => void): readonly [width: number, crossings: number] {
  const { ringStart, vertexStart, xy } = pieces;
  const angles = Array.from({ length: DIRECTIONS }, (_, d) => (Math.PI * d) / DIRECTIONS);
  const [cos, sin] = [angles.map(Math.cos), angles.map(Math.sin)];
  const widths = new Float64Array(DIRECTIONS);
  let crossings = 0;
  for (let p = 0; p < pieces.count; p++) {
    crossings++;
    for (let r = ringStart[p]!; r < ringStart[p + 1]!; r++) {
      const [from, to] = [vertexStart[r]!, vertexStart[r + 1]!];
      for (let v = from; v < to; v++) {
        if (v % LOOK_EVERY === 0) look();
        const at = (k: number): readonly [number, number] => {
          const w = from + ((k - from) % (to - from));
          return [xy[w * 2]!, xy[w * 2 + 1]!];
        };
        const [[ax, ay], [bx, by], [cx, cy]] = [at(v), at(v + 1), at(v + 2)];
        if ((bx - ax) * (cy - by) - (by - ay) * (cx - bx) < 0) crossings++; // a corner that points inwards, or a hole's
        for (let d = 0; d < DIRECTIONS; d++) {
          widths[d] = widths[d]! + Math.abs((bx - ax) * sin[d]! - (by - ay) * cos[d]!) / 2;
        }
      }
    }
  }
  // Between two of the directions a width is larger by the cosine of half a step at most.
  return [Math.max(...widths) / Math.cos(Math.PI / (2 * DIRECTIONS)), crossings];
}
