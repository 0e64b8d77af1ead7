// Least squares over all readings. In: first positions, readings, what is held; out: positions, the residual of each reading, and
// the cofactors they come from. Terms: residual = adjusted less observed; redundancy = the share of a reading that the others
// check (0: nothing does); variance = weighted squares over what is measured too often, 1 where accuracies are as assumed;
// swing = an unknown turn of all bearings; scale = one of all tapes. Gauss and Newton, each step halved until it helps (normal
// equations by Cholesky: C. D. Ghilani, Adjustment Computations, from memory). Cost: unknowns cubed for each step.

import { factor, inverse, solve } from './cholesky.js';
import type { Reading } from './types.js';

export interface Network {
  readonly xy: Float64Array; // first positions; NaN: not placed
  /** Per coordinate: 1 is held where it is. */
  readonly held: Uint8Array;
  readonly readings: readonly Reading[]; // of placed points only
  readonly sign: ArrayLike<number>; // of each value
  readonly swing: boolean;
  readonly scale: boolean;
}

export interface Adjusted {
  readonly xy: Float64Array;
  readonly swing: number;
  readonly scale: number;
  readonly scaleSigma: number;
  readonly residual: Float64Array; // per reading
  readonly redundancy: Float64Array;
  readonly standardised: Float64Array; // residual over its own standard error; NaN where nothing checks it
  readonly degrees: number; // readings too many
  readonly squares: number; // weighted sum of squares of residuals
  /** Cofactor of two coordinates (point * 2, + 1 for north); 0 where one is held. */
  cofactor(one: number, two: number): number;
  /** Correlation of the residuals of two readings. */
  correlation(one: number, two: number): number;
}

/** Which point is not fixed. */
export interface NotFixed {
  readonly point: number; // -1: the turn of the bearings
}

interface Row {
  readonly at: number[]; // unknowns
  readonly by: number[]; // derivatives over the standard error
  misclosure: number; // observed less computed, over the standard error
}

const MOST_STEPS = 60;
/** A step this small, in metres, no longer changes what is printed. */
const STILL_M = 1e-9;
/** Below it a residual is rounding, not a check. */
const NO_CHECK = 1e-7;

/** Adjusts; a point that nothing fixes is told instead. */
export function adjust(net: Network): Adjusted | NotFixed {
  const unknown = unknownsOf(net);
  const n = unknown.count;
  let state: State = { xy: net.xy.slice(), swing: net.swing ? firstSwing(net) : 0, scale: 1 };
  let rows = rowsOf(net, state, unknown);
  let lower = normal(rows, n);
  for (let step = 0; step < MOST_STEPS; step++) {
    const lost = factor(lower, n);
    if (lost >= 0) return { point: unknown.pointOf(lost) };
    const change = rightSide(rows, n);
    solve(lower, n, change);
    const moved = change.reduce((most, d) => Math.max(most, Math.abs(d)), 0);
    const before = squaresOf(rows);
    for (let share = 1; ; share /= 2) {
      const next = moveBy(state, change, share, unknown);
      const nextRows = rowsOf(net, next, unknown);
      if (squaresOf(nextRows) <= before * (1 + 1e-12) + 1e-18 || share < 1e-4) {
        state = next;
        rows = nextRows;
        break;
      }
    }
    lower = normal(rows, n);
    if (moved < STILL_M) break;
  }
  const lost = factor(lower, n);
  if (lost >= 0) return { point: unknown.pointOf(lost) };
  return figures(net, state, rows, unknown, inverse(lower, n));
}

interface State {
  readonly xy: Float64Array;
  readonly swing: number;
  readonly scale: number;
}

interface Unknowns {
  readonly count: number;
  readonly at: Int32Array; // per coordinate; -1 where it is held or not placed
  readonly swing: number;
  readonly scale: number;
  pointOf(unknown: number): number;
}

function unknownsOf({ xy, held, swing, scale }: Network): Unknowns {
  const at = new Int32Array(xy.length).fill(-1);
  const points: number[] = [];
  for (let i = 0; i < xy.length; i++) {
    if (Number.isNaN(xy[i]!) || held[i] === 1) continue;
    at[i] = points.length;
    points.push(i >> 1);
  }
  const swingAt = swing ? points.push(-1) - 1 : -1;
  const scaleAt = scale ? points.push(-1) - 1 : -1;
  return { count: points.length, at, swing: swingAt, scale: scaleAt, pointOf: (unknown) => points[unknown]! };
}

/** The mean turn between the bearings and the first positions. */
function firstSwing({ readings, xy }: Network): number {
  let [sin, cos] = [0, 0];
  for (const { kind, p, q, value } of readings) {
    if (kind !== 'bearing') continue;
    const turn = Math.atan2(xy[p * 2]! - xy[q * 2]!, xy[p * 2 + 1]! - xy[q * 2 + 1]!) - value;
    sin += Math.sin(turn);
    cos += Math.cos(turn);
  }
  return Math.atan2(sin, cos);
}

function moveBy({ xy, swing, scale }: State, change: Float64Array, share: number, unknown: Unknowns): State {
  const next = xy.map((value, i) => (unknown.at[i]! < 0 ? value : value + share * change[unknown.at[i]!]!));
  return {
    xy: next,
    swing: unknown.swing < 0 ? swing : swing + share * change[unknown.swing]!,
    scale: unknown.scale < 0 ? scale : scale + share * change[unknown.scale]!,
  };
}

/** Between -pi and pi. */
export function wrapped(angle: number): number {
  return angle - 2 * Math.PI * Math.round(angle / (2 * Math.PI));
}

/**
 * What a reading should be by these positions, and how that changes with each coordinate: `into` is called with a coordinate
 * (point * 2, + 1 for north) and the derivative.
 */
export function computed(reading: Reading, xy: Float64Array, into: (coordinate: number, by: number) => void): number {
  const { kind, p, q, a, b } = reading;
  if (kind === 'east' || kind === 'north') {
    const at = p * 2 + (kind === 'east' ? 0 : 1);
    into(at, 1);
    return xy[at]!;
  }
  if (kind === 'distance') {
    const [dx, dy] = [xy[p * 2]! - xy[q * 2]!, xy[p * 2 + 1]! - xy[q * 2 + 1]!];
    const d = Math.hypot(dx, dy) || 1e-12;
    both(p, q, dx / d, dy / d, into);
    return d;
  }
  if (kind === 'bearing') return direction(p, q, xy, 1, into);
  if (kind === 'angle') return direction(p, q, xy, 1, into) - direction(b, a, xy, -1, into);
  const [wx, wy] = [xy[b * 2]! - xy[a * 2]!, xy[b * 2 + 1]! - xy[a * 2 + 1]!];
  const [vx, vy] = [xy[p * 2]! - xy[a * 2]!, xy[p * 2 + 1]! - xy[a * 2 + 1]!];
  const l = Math.hypot(wx, wy) || 1e-12;
  const value = (kind === 'along' ? vx * wx + vy * wy : wx * vy - wy * vx) / l;
  const [px, py] = kind === 'along' ? [wx / l, wy / l] : [-wy / l, wx / l];
  const [mx, my] = kind === 'along' ? [vx / l, vy / l] : [vy / l, -vx / l];
  const [bx, by] = [mx - (value * wx) / (l * l), my - (value * wy) / (l * l)];
  into(p * 2, px);
  into(p * 2 + 1, py);
  into(b * 2, bx);
  into(b * 2 + 1, by);
  into(a * 2, -px - bx);
  into(a * 2 + 1, -py - by);
  return value;
}

function both(p: number, q: number, bx: number, by: number, into: (coordinate: number, by: number) => void): void {
  into(p * 2, bx);
  into(p * 2 + 1, by);
  into(q * 2, -bx);
  into(q * 2 + 1, -by);
}

/** The bearing of the way from q to p; derivatives times `sign`. */
function direction(
  p: number,
  q: number,
  xy: Float64Array,
  sign: number,
  into: (coordinate: number, by: number) => void,
): number {
  const [dx, dy] = [xy[p * 2]! - xy[q * 2]!, xy[p * 2 + 1]! - xy[q * 2 + 1]!];
  const d2 = dx * dx + dy * dy || 1e-12;
  both(p, q, (sign * dy) / d2, (-sign * dx) / d2, into);
  return Math.atan2(dx, dy);
}

function rowsOf(net: Network, { xy, swing, scale }: State, unknown: Unknowns): Row[] {
  return net.readings.map((reading, i) => {
    const { kind, sigma } = reading;
    const row: Row = { at: [], by: [], misclosure: 0 };
    const add = (at: number, by: number): void => {
      if (at < 0) return;
      const place = row.at.indexOf(at);
      if (place < 0) {
        row.at.push(at);
        row.by.push(by / sigma);
      } else row.by[place]! += by / sigma;
    };
    const value = reading.value * net.sign[i]!;
    const is = computed(reading, xy, (coordinate, by) => add(unknown.at[coordinate]!, by));
    if (kind === 'bearing' || kind === 'angle') {
      if (kind === 'bearing') add(unknown.swing, -1);
      row.misclosure = wrapped(value - is + (kind === 'bearing' ? swing : 0)) / sigma;
      return row;
    }
    // A tape that reads too much by the scale: what it read is the true length times it.
    const isTape = kind === 'distance' || kind === 'along' || kind === 'offset';
    if (isTape && unknown.scale >= 0) {
      row.by.forEach((by, k) => {
        row.by[k] = by * scale;
      });
      add(unknown.scale, is);
    }
    row.misclosure = (value - is * (isTape ? scale : 1)) / sigma;
    return row;
  });
}

function squaresOf(rows: readonly Row[]): number {
  return rows.reduce((sum, { misclosure }) => sum + misclosure * misclosure, 0);
}

function normal(rows: readonly Row[], n: number): Float64Array {
  const out = new Float64Array(n * n);
  for (const { at, by } of rows) {
    for (let i = 0; i < at.length; i++) {
      for (let j = 0; j < at.length; j++) out[at[i]! * n + at[j]!]! += by[i]! * by[j]!;
    }
  }
  return out;
}

function rightSide(rows: readonly Row[], n: number): Float64Array {
  const out = new Float64Array(n);
  for (const { at, by, misclosure } of rows) {
    for (let i = 0; i < at.length; i++) out[at[i]!]! += by[i]! * misclosure;
  }
  return out;
}

function figures(
  net: Network,
  { xy, swing, scale }: State,
  rows: readonly Row[],
  unknown: Unknowns,
  q: Float64Array,
): Adjusted {
  const n = unknown.count;
  const between = (one: Row, two: Row): number => {
    let sum = 0;
    for (let i = 0; i < one.at.length; i++) {
      for (let j = 0; j < two.at.length; j++) sum += one.by[i]! * two.by[j]! * q[one.at[i]! * n + two.at[j]!]!;
    }
    return sum;
  };
  const redundancy = Float64Array.from(rows, (row) => {
    const r = 1 - between(row, row);
    return r > NO_CHECK ? Math.min(r, 1) : 0;
  });
  const ofResidual = (one: number, two: number): number => (one === two ? 1 : 0) - between(rows[one]!, rows[two]!);
  return {
    xy,
    swing,
    scale,
    scaleSigma: unknown.scale < 0 ? 0 : Math.sqrt(q[unknown.scale * n + unknown.scale]!),
    residual: Float64Array.from(rows, ({ misclosure }, i) => -misclosure * net.readings[i]!.sigma),
    redundancy,
    standardised: Float64Array.from(rows, ({ misclosure }, i) =>
      redundancy[i]! > 0 ? -misclosure / Math.sqrt(redundancy[i]!) : Number.NaN,
    ),
    degrees: rows.length - n,
    squares: squaresOf(rows),
    cofactor(one, two) {
      const [i, j] = [unknown.at[one]!, unknown.at[two]!];
      return i < 0 || j < 0 ? 0 : q[i * n + j]!;
    },
    correlation(one, two) {
      const size = Math.sqrt(redundancy[one]! * redundancy[two]!);
      return size > 0 ? ofResidual(one, two) / size : 0;
    },
  };
}
