// Where can it go? In: a problem; out: up to five sitings, ranked, the grid and the allowed region behind them, and what
// stands in the way. Terms: start = a node of a grid better than its neighbours; different = some corner of one siting lies
// a metre or more from every corner of the other. Nothing is random: the same problem gives the same sitings.

import type { Shape } from '../geometry/index.js';
import { descend, settled, type Wish } from './descent.js';
import { allowedShifts, boxOfShifts, fittingShifts, type Grid, gridOver } from './grid.js';
import { HOME, type Motion, travelM } from './motion.js';
import { nearestShift } from './nearest.js';
import type { Problem, Standing } from './problem.js';

/** The most sitings that are listed. */
export const MOST_SITINGS = 5;
/** Sitings nearer to each other than this are one, metres. */
export const DIFFERENT_M = 1;
/** Nodes of the grid without a turn, which is also the map; and of the others. */
const MAP_NODES = 1600;
const TURNED_NODES = 200;
/** Turns looked at on either side; the local method finds those between. */
const TURNS_A_SIDE = 3;
const MOST_STARTS = 10;
/** Looks of the search for a shorter shift, at each turn. */
const MOST_LOOKS = 8000;

export interface Found {
  readonly home: Standing;
  /** Best first: fewest trees over, least ground lost, shortest way. */
  readonly sitings: readonly Standing[];
  /** Without a turn, not mirrored; null where no shift fits. */
  readonly grid: Grid | null;
  /** Shifts without a turn at which it fits, and of them those that keep every limit. */
  readonly fitting: Shape;
  readonly allowed: Shape;
  /**
   * Whether it was proven, at the turns tried, that no shorter shift keeps all limits (to SHORTEST_TO_M), or that none does
   * at all.
   */
  readonly isProven: boolean;
  /** How far the footprint stands outside at least, where it fits at none of the places tried; metres. */
  readonly escapeM: number;
}

type Turn = Pick<Motion, 'turnDeg' | 'mirrored'>;
const NOTHING: Wish = { givenUp: [], loseLeast: false };

/** Looks for sitings. */
export function search(problem: Problem): Found {
  const home = problem.home();
  const turns = turnsOf(problem);
  const fitting = fittingShifts(problem, HOME);
  const grids = turns.map((turn, i) => {
    const shifts = i === 0 ? fitting : boxOfShifts(problem, turn);
    return gridOver(problem, shifts, turn, i === 0 ? MAP_NODES : TURNED_NODES);
  });
  const found: Standing[] = [];
  const add = (one: Standing | null): void => {
    if (one?.fits === true) found.push(one);
  };
  add(home.fits && home.over.length === 0 ? home : null);
  for (const start of startsOf(problem, grids, home)) add(bestNear(problem, start));
  const within = (): readonly Standing[] => found.filter(({ over }) => over.length === 0);
  let isProven = true;
  for (const turn of turns) {
    const best = Math.min(...within().map((one) => one.travelM), Infinity);
    const turned = travelM(problem.footprint, { ...HOME, ...turn });
    if (turned >= best) continue;
    const bar = best === Infinity ? Infinity : Math.sqrt(best ** 2 - turned ** 2);
    const nearest = nearestShift(problem, turn, bar, MOST_LOOKS);
    isProven &&= nearest.isProven;
    if (nearest.motion !== null) add(settled(problem, descend(problem, nearest.motion, NOTHING, 0).motion, NOTHING));
  }
  const shortest = ranked(within())[0];
  if (shortest !== undefined) for (const trade of tradesFor(problem, shortest)) add(trade);
  const [grid = null] = grids;
  return {
    home,
    sitings: told(distinct(problem, ranked(found))),
    grid,
    fitting,
    allowed: grid === null ? [] : allowedShifts(problem, fitting, grid),
    isProven,
    escapeM: found.length > 0 ? 0 : leastEscape(problem, turns),
  };
}

/** Leaves out places that gain nothing by giving up more trees: another place keeps the same trees at no higher cost. */
function told(ranked: readonly Standing[]): Standing[] {
  return ranked
    .filter((one, i) => {
      if (i === 0 || one.over.length === 0) return true;
      const isWorse = ranked.slice(0, i).some((other) => {
        const keepsMore = other.over.every((t) => one.over.includes(t));
        return keepsMore && other.lostM2 <= one.lostM2 && other.travelM <= one.travelM;
      });
      return !isWorse && !isHome(one.motion);
    })
    .slice(0, MOST_SITINGS);
}

/** The place as drawn is listed beside every siting, so it is not one of the trades. */
function isHome({ eastM, northM, turnDeg, mirrored }: Motion): boolean {
  return eastM === 0 && northM === 0 && turnDeg === 0 && !mirrored;
}

function turnsOf({ freedom }: Problem): Turn[] {
  const turns: number[] = [0];
  for (let k = 1; k <= TURNS_A_SIDE && freedom.turnDeg > 0; k++) {
    const by = (freedom.turnDeg * k) / TURNS_A_SIDE;
    turns.push(by, -by);
  }
  const sides = freedom.mirror ? [false, true] : [false];
  return sides.flatMap((mirrored) => turns.map((turnDeg) => ({ turnDeg, mirrored })));
}

/** Nodes better than all their neighbours, by what they break and by how far they are from breaking anything. */
function startsOf(problem: Problem, grids: readonly (Grid | null)[], home: Standing): Standing[] {
  const all: Standing[] = home.fits ? [home] : [];
  for (const grid of grids) {
    if (grid === null) continue;
    for (const better of [isBefore, isRoomier]) all.push(...peaks(grid, better));
  }
  const picked: Standing[] = [];
  for (const start of ranked(all)) {
    if (picked.length >= MOST_STARTS) break;
    if (picked.every((other) => isDifferent(problem, start.motion, other.motion))) picked.push(start);
  }
  // A place that keeps all limits may lie between nodes that do not: the roomiest nodes are looked at too.
  const roomiest = [...all].sort((a, b) => (isRoomier(a, b) ? -1 : isRoomier(b, a) ? 1 : 0)).slice(0, 2);
  const lost: Standing = problem.at(HOME);
  return [...picked, ...roomiest.filter((one) => !picked.includes(one)), ...(picked.length === 0 ? [lost] : [])];
}

function peaks({ columns, rows, nodes }: Grid, better: (a: Standing, b: Standing) => boolean): Standing[] {
  return nodes.filter((node, i) => {
    if (!node.fits) return false;
    const [c0, r0] = [i % columns, Math.floor(i / columns)];
    for (let r = Math.max(r0 - 1, 0); r <= Math.min(r0 + 1, rows - 1); r++) {
      for (let c = Math.max(c0 - 1, 0); c <= Math.min(c0 + 1, columns - 1); c++) {
        const other = nodes[r * columns + c]!;
        if (other.fits && better(other, node)) return false;
      }
    }
    return true;
  });
}

/** All limits kept near a start, if possible; else the best trade from there. */
function bestNear(problem: Problem, start: Standing): Standing | null {
  const kept = descend(problem, start.motion, NOTHING, 0);
  const whole = settled(problem, kept.motion, NOTHING);
  if (whole !== null) return whole;
  const from = start.fits && start.over.length <= kept.over.length ? start : kept;
  if (from.over.length === 0) return null;
  const wish: Wish = { givenUp: from.over, loseLeast: true };
  return settled(problem, descend(problem, from.motion, wish, 0).motion, wish);
}

/** The saving from giving up one of the trees that bind. */
function tradesFor(problem: Problem, best: Standing): Standing[] {
  const binding: number[] = [];
  for (let t = 0; t < problem.ground.count; t++) {
    if (problem.reaches(t, best.motion) && problem.excess(t, best.motion) > -BINDING) binding.push(t);
  }
  return binding.flatMap((t) => {
    const wish: Wish = { givenUp: [t], loseLeast: false };
    const standing = settled(problem, descend(problem, best.motion, wish, 0).motion, wish);
    return standing !== null && standing.travelM < best.travelM - DIFFERENT_M ? [standing] : [];
  });
}

/** Room left, as a share of the zone, under which a limit binds. */
const BINDING = 2e-3;

/** How far out it stands at least: all trees given up, from home. */
function leastEscape(problem: Problem, turns: readonly Turn[]): number {
  const all = Array.from({ length: problem.ground.count }, (_, t) => t);
  const ends = turns.map((turn) => descend(problem, { ...HOME, ...turn }, { givenUp: all, loseLeast: false }, 0));
  return Math.min(...ends.map(({ escapeM }) => escapeM));
}

function ranked(standings: readonly Standing[]): Standing[] {
  return standings
    .map((standing, place) => ({ standing, place }))
    .sort((a, b) => (isBefore(a.standing, b.standing) ? -1 : isBefore(b.standing, a.standing) ? 1 : a.place - b.place))
    .map(({ standing }) => standing);
}

/** Fewest trees over, least ground lost, shortest way; then not mirrored, then the smaller turn. */
export function isBefore(a: Standing, b: Standing): boolean {
  if (a.over.length !== b.over.length) return a.over.length < b.over.length;
  const [lostA, lostB] = [Math.round(a.lostM2 / EQUAL_M2), Math.round(b.lostM2 / EQUAL_M2)];
  if (lostA !== lostB) return lostA < lostB;
  const [wayA, wayB] = [Math.round(a.travelM / EQUAL_M), Math.round(b.travelM / EQUAL_M)];
  if (wayA !== wayB) return wayA < wayB;
  if (a.motion.mirrored !== b.motion.mirrored) return b.motion.mirrored;
  return Math.abs(a.motion.turnDeg) < Math.abs(b.motion.turnDeg);
}

/** Steps of ground and travel: smaller differences count as equal. */
const EQUAL_M2 = 1e-3;
const EQUAL_M = 1e-4;

function isRoomier(a: Standing, b: Standing): boolean {
  return a.worst < b.worst - 1e-9;
}

function distinct(problem: Problem, standings: readonly Standing[]): Standing[] {
  const out: Standing[] = [];
  for (const one of standings) {
    if (out.every((other) => isDifferent(problem, one.motion, other.motion))) out.push(one);
  }
  return out;
}

/** Whether some corner of one lies far from every corner of the other: a mirrored rectangle is the same one. */
function isDifferent(problem: Problem, a: Motion, b: Motion): boolean {
  const [one, other] = [cornersOf(problem, a), cornersOf(problem, b)];
  return isFar(one, other) || isFar(other, one);
}

function isFar(from: Float64Array, to: Float64Array): boolean {
  for (let i = 0; i < from.length; i += 2) {
    let nearest2 = Infinity;
    for (let k = 0; k < to.length; k += 2) {
      const dx = from[i]! - to[k]!;
      const dy = from[i + 1]! - to[k + 1]!;
      nearest2 = Math.min(nearest2, dx * dx + dy * dy);
    }
    if (nearest2 >= DIFFERENT_M ** 2) return true;
  }
  return false;
}

function cornersOf(problem: Problem, motion: Motion): Float64Array {
  return problem.turned(motion).pieces.xy.map((v, i) => v + (i % 2 === 0 ? motion.eastM : motion.northM));
}
