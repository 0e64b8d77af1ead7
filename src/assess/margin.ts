// How far works may approach, or must retreat, until the verdict turns. In: one reckoning of all trees; out: margins on
// demand. Terms: margin = the distance by which the boundary of all counted works together can move, uniformly, before a
// limit is just met: outwards (positive) where none is broken, inwards (negative) where one is.
//
// Moved works are measured and judged by the ordinary path; the root is bracketed by distances that need no measuring.

import type { Pieces } from '../geometry/index.js';
import { Meter, NEAREST_LIMIT_M, packedBoxes, rootIn, rootOfMost, secantOfMost } from '../geometry/index.js';
import { isOver } from '../model/index.js';
import type { Site } from '../overlap/index.js';
import { type CompiledLimits, compileLimits, excesses } from '../rules/index.js';
import { Steps, TooDear } from './moved-outline.js';
import { NearWorks } from './near-works.js';
import type { Variant } from './variant.js';

/** Room is told up to here, metres: works farther off have no bearing on how a site is laid out. */
export const MOST_ROOM_M = 50;
/** Margins are found to a tenth of a millimetre. */
const WIDTH_M = 0.0001;
/** The way to the far end of a bracket among so many begins with a step of this, metres, and doubles. */
const FIRST_STEP_M = 0.5;
/** A search in steps mostly ends within this, metres. */
const FEW_STEPS_M = 2;
/** A step by a secant goes so much beyond it, as a share, and is held between these of the step before. */
const AHEAD = 0.05;
const LEAST_AHEAD = 0.2;
const MOST_AHEAD = 3;

export class Margins {
  readonly #variant: Variant;
  readonly #limits: CompiledLimits;
  readonly #known = new Map<number, number | null>();
  /** The first row of each kind of tree, and place, that was asked for. */
  readonly #firstOf = new Map<string, number>();
  readonly #tooDear = new Set<number>();

  constructor(variant: Variant) {
    this.#variant = variant;
    this.#limits = compileLimits(variant.rule, variant.areas);
  }

  /**
   * One tree's margin, metres; null for a tree not assessed, for a group, where more than MOST_ROOM_M is left, where
   * works would have to retreat farther than they are looked for, and where it is too dear to look for (`isTooDear`).
   */
  at(row: number): number | null {
    let margin = this.#known.get(row);
    if (margin === undefined) {
      const key = this.#keyOf(row);
      const twin = key === null ? undefined : this.#firstOf.get(key);
      if (twin === undefined) {
        margin = this.#bounded(row, () => this.#find(row));
        if (key !== null) this.#firstOf.set(key, row);
      } else {
        margin = this.#known.get(twin) ?? null;
        if (this.#tooDear.has(twin)) this.#tooDear.add(row);
      }
      this.#known.set(row, margin);
    }
    return margin;
  }

  /** All that a margin hangs on besides the works: trees on one spot with one zone have one. Null for drawn zones and groups. */
  #keyOf(row: number): string | null {
    const { measured, judged, zones, shapes } = this.#variant;
    const site = measured.siteOf(row);
    if (site === undefined || shapes.has(row)) return null;
    return [
      judged[row]?.verdict,
      site.frame.key,
      site.x,
      site.y,
      zones.radiusM[row],
      zones.areaM2[row],
      zones.trunkRadiusM[row],
      zones.classNumber?.[row],
      ...(zones.quarters.get(row) ?? []),
      ...zones.ringRadiusM.map((radius) => radius[row]),
    ].join();
  }

  /** Whether a margin was too dear to look for: works of too many corners cross each other about the tree. */
  isTooDear(row: number): boolean {
    return this.#tooDear.has(row);
  }

  #steps(): Steps {
    return new Steps(undefined, () => this.#variant.look());
  }

  #bounded<T>(row: number, look: () => T): T | null {
    try {
      return look();
    } catch (error) {
      if (!(error instanceof TooDear)) throw error;
      this.#tooDear.add(row);
      return null;
    }
  }

  /**
   * Whether one tree's margin, either way, is wider than `by` metres, as `at` would find it; null where that has none, but for
   * too long a retreat, which is wider. It is asked once instead of looked for: a tenth of the work.
   */
  isWider(row: number, by: number): boolean | null {
    return this.#bounded(row, () => this.#isWider(row, by));
  }

  #isWider(row: number, by: number): boolean | null {
    const asked = this.#ask(row);
    if (asked === null) return null;
    if (asked.isOver) {
      const at = Math.min(by, asked.farthest);
      return by <= 0 || asked.onTrunk(at) > 0 || asked.areas(at) > 0;
    }
    const { short, from, to } = asked;
    const at = by + WIDTH_M; // as much is taken off what is found
    return at <= from || (at < to && short(at) > 0);
  }

  #find(row: number): number | null {
    const asked = this.#ask(row);
    if (asked === null) return null;
    if (asked.isOver) return retreat(asked);
    const { excesses, short, from, to, step } = asked;
    const margin = step < Infinity ? rootFrom(excesses, from, to, step) : rootIn(short, from, to, WIDTH_M);
    return Math.max(margin - WIDTH_M, 0); // never below 0 where no limit is broken
  }

  #ask(row: number): Kept | Passed | null {
    const { measured, judged, zones, shapes } = this.#variant;
    const site = measured.siteOf(row);
    const verdict = judged[row]?.verdict;
    const nearest = measured.table.nearestM[row]!;
    if (site === undefined || verdict === null || verdict === 'not-assessed' || Number.isNaN(nearest)) return null;
    if (shapes.get(row)?.isGroup === true) return null; // there is no trunk to count from
    if (Number.isNaN(zones.radiusM[row]!)) return null; // no zone: no limit to be met
    const rings = zones.ringRadiusM.map((radius) => radius[row]! || 0);
    const reach = Math.max(zones.radiusM[row]!, ...rings);
    const room = nearest - reach; // works that come no nearer than this take nothing
    if (room > MOST_ROOM_M) return null;
    const trunk = zones.trunkRadiusM[row]!;
    if (isOver(verdict)) {
      return this.#passed(row, site, { reach, room, trunk, nearest });
    }
    const [from, to] = [Math.max(room, 0), Math.max(nearest - trunk, 0) + WIDTH_M];
    const near = new NearWorks(site, Math.max(reach, trunk), reach + to, undefined, undefined, this.#steps());
    // A trunk in the works is over whatever the areas: told by its distance, so that there is a root to be found.
    const excesses = (by: number): number[] => [
      ...this.#excesses(row, site, near.grown(by), near.isCrowded, trunk + by > nearest),
      (trunk + by - nearest) / reach,
    ];
    const short = (by: number): number => -Math.max(...excesses(by));
    const step = near.isCrowded ? Math.min(near.stepOf('grown'), FIRST_STEP_M) : Infinity;
    return { isOver: false, excesses, short, from, to, step };
  }

  #passed(row: number, site: Site, { reach, room, trunk, nearest }: Place): Passed | null {
    // Works are looked for within NEAREST_LIMIT_M of every tree; farther off they are there or not as other trees have it,
    // and where they end matters up to a retreat beyond the zone.
    const farthest = NEAREST_LIMIT_M - reach;
    if (!(farthest > WIDTH_M)) return null;
    const most = Math.min(Math.max(-room, WIDTH_M), farthest);
    const steps = this.#steps();
    const wide = new SeenFrom(site, Math.max(reach, trunk), reach, most, steps);
    // Among many works a search goes by small steps, and what it does not come to is not united.
    const zone =
      most > FEW_STEPS_M && wide.upTo(0).isCrowded
        ? new SeenFrom(site, Math.max(reach, trunk), reach, FEW_STEPS_M, steps)
        : wide;
    // Whether works stand on the trunk is asked of those about the trunk alone.
    const face = new SeenFrom(site, trunk, trunk, Math.min(most, FIRST_STEP_M), steps);
    const onTrunk = (by: number): number => {
      const near = face.upTo(by);
      // The trunk is free of the works when they have drawn back to beyond its face. Works cut off at the reach seem no
      // deeper than that, so the depth is asked anew when the reach has grown.
      const left = trunk + (nearest > 0 ? -nearest : near.depth) - by;
      if (!(left > 0)) return left;
      this.#variant.look();
      // Works narrower than that have vanished before.
      return new Meter(near.narrowed(by)).disc(0, 0, Math.max(trunk, WIDTH_M)) > 0 ? left : 0;
    };
    const excesses = (by: number): number[] => {
      const near = zone.upTo(by);
      return this.#excesses(row, site, near.narrowed(by), near.isCrowded, false);
    };
    const areas = (by: number): number => Math.max(-Infinity, ...excesses(by));
    return { isOver: true, onTrunk, areas, excesses, most, farthest, step: () => zone.upTo(0).stepOf('narrowed') };
  }

  /** How far each limit is passed, as a share; where any is above 0 the tree is over it. */
  #excesses(row: number, site: Site, pieces: Pieces, isCrowded: boolean, onTrunk: boolean): number[] {
    const { measured, rule } = this.#variant;
    this.#variant.look(); // one measure may take a tenth of a second
    // Severed ground that is not judged is not looked for: among many works that is most of the cost of a measure.
    if (isCrowded && rule.judge !== 'affected') pieces.cuts.fill(0);
    const { zones, table } = measured.measureOne(row, site, pieces, packedBoxes(pieces.box, ArrayBuffer));
    table.stemInWorks[0] = onTrunk ? 1 : 0;
    return excesses(zones, table, 0, rule, this.#limits);
  }
}

/** No limit is passed: `short` is above 0 as long as works that are widened by so much pass none. */
interface Kept {
  readonly isOver: false;
  readonly short: (by: number) => number;
  /** How far each limit is passed then: below 0 while it is kept. */
  readonly excesses: (by: number) => readonly number[];
  readonly from: number;
  readonly to: number;
  /** Length of the first step of the search; Infinity: every distance costs the same. */
  readonly step: number;
}

/**
 * A limit is passed. Works that are drawn back by so much stand on the trunk as long as `onTrunk` is above 0, and pass a
 * limit of areas as long as `areas` is; at `most` they mostly do neither.
 */
interface Passed {
  readonly isOver: true;
  readonly onTrunk: (by: number) => number;
  readonly areas: (by: number) => number;
  /** How far each limit of areas is passed. */
  readonly excesses: (by: number) => readonly number[];
  readonly most: number;
  readonly farthest: number;
  /** As in Kept; works out the outline of all works. */
  readonly step: () => number;
}

/** Works about a tree as they must be seen to draw back so far: farther off, the farther they draw back. */
class SeenFrom {
  readonly #site: Site;
  readonly #zone: number;
  readonly #reach: number;
  readonly #steps: Steps;
  #seen: number;
  #near: NearWorks;

  constructor(site: Site, zone: number, reach: number, seen: number, steps: Steps) {
    this.#site = site;
    this.#zone = zone;
    this.#reach = reach;
    this.#seen = seen;
    this.#steps = steps;
    this.#near = this.#within(reach + seen);
  }

  upTo(by: number): NearWorks {
    if (by > this.#seen) {
      this.#seen = this.#near.isCrowded ? Math.max(by, 2 * this.#seen) : by;
      this.#near = this.#within(this.#reach + this.#seen);
    }
    return this.#near;
  }

  #within(reach: number): NearWorks {
    return new NearWorks(this.#site, this.#zone, reach, undefined, undefined, this.#steps);
  }
}

/**
 * The margin where a limit is passed: first the way to leave the trunk, which is cheap to find; mostly no limit of areas is
 * passed there any more.
 */
function retreat({ onTrunk, areas, excesses, most: usual, farthest, step: stepOf }: Passed): number | null {
  let least = 0;
  if (onTrunk(0) > 0) {
    let most = Math.min(FIRST_STEP_M, farthest);
    for (; onTrunk(most) > 0; most = Math.min(most * 2, farthest)) if (most >= farthest) return null;
    least = rootIn(onTrunk, 0, most, WIDTH_M);
  }
  let there = excesses(least);
  if (Math.max(-Infinity, ...there) <= 0) return -least;
  const step = stepOf();
  const isDear = step < Infinity; // every distance does not cost the same
  let most = Math.min(isDear ? least + step : Math.max(usual, least * 2), farthest);
  let beyond = excesses(most);
  while (Math.max(...beyond) > 0) {
    if (most >= farthest) return null;
    const next = isDear ? most + ahead(least, most, there, beyond) : most * 2;
    [least, there] = [most, beyond];
    most = Math.min(next, farthest);
    beyond = excesses(most);
  }
  if (isDear) return -rootOfMost(excesses, least, most, WIDTH_M, 1, { from: there, to: beyond });
  return -rootIn(areas, least, most, WIDTH_M, { from: Math.max(...there), to: Math.max(...beyond) });
}

/** How far on from b, where something is above 0, it may fall to 0: by its secant and a little more, within bounds. */
function ahead(a: number, b: number, there: readonly number[], beyond: readonly number[]): number {
  const step = b - a;
  const by = (secantOfMost(a, b, there, beyond, 1) - b) * (1 + AHEAD);
  return by >= step * LEAST_AHEAD && Number.isFinite(by) ? Math.min(by, step * MOST_AHEAD) : step;
}

/** Metres: farthest ring, room left beyond it, trunk, nearest works. */
interface Place {
  readonly reach: number;
  readonly room: number;
  readonly trunk: number;
  readonly nearest: number;
}

/** The root in a bracket whose far end is dear: the end is brought near by steps that double. */
function rootFrom(f: (x: number) => readonly number[], from: number, to: number, first: number): number {
  let a = from;
  let fa = f(a);
  for (let step = first; ; step *= 2) {
    const b = Math.min(a + step, to);
    const fb = f(b);
    if (Math.max(...fb) >= 0 || b === to) return rootOfMost(f, a, b, WIDTH_M, -1, { from: fa, to: fb });
    a = b;
    fa = fb;
  }
}
