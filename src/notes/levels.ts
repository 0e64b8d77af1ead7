// Levels by least squares. In: readings by set-up, benchmarks; out: heights with their standard errors, residuals, and by how much runs fail
// to close. Terms: height of instrument = of the level's line of sight at a set-up; closure = the height carried to a point less the height it
// has. Every reading has the same weight unless its row says otherwise, so a closure is spread evenly over set-ups: each adds the same two
// readings, and the notebook has no lengths of sights. Cost: the cube of points and set-ups.

import { factor, inverse, solve } from './cholesky.js';
import type { LevelReading } from './level-book.js';

/** A staff read to 0.01 ft, held by hand: 3 mm (common practice, no source). */
export const STAFF_SIGMA_M = 0.003;

export interface Closure {
  readonly row: number;
  readonly p: number; // the point it closes on
  readonly errorM: number; // carried less known or earlier
  readonly setups: number; // over which it is spread
  /** What chance explains (three standard errors of its readings). */
  readonly mostM: number;
}

export interface SolvedLevels {
  /** By number of the point; NaN where readings do not reach it. */
  readonly heightM: Float64Array;
  readonly sigmaM: Float64Array;
  /** By reading: adjusted less read. NaN: not used. */
  readonly residualM: Float64Array;
  readonly closures: readonly Closure[];
  /** Readings more than are needed. */
  readonly degrees: number;
  /** 1 where readings are as good as assumed; NaN where nothing is read too often. */
  readonly variance: number;
}

/** @param known heights of benchmarks by number of the point, metres; they are held */
export function solveLevels(
  readings: readonly LevelReading[],
  known: ReadonlyMap<number, number>,
  points: number,
): SolvedLevels {
  const heightM = new Float64Array(points).fill(Number.NaN);
  const sigmaM = new Float64Array(points).fill(Number.NaN);
  const residualM = new Float64Array(readings.length).fill(Number.NaN);
  for (const [p, height] of known) {
    heightM[p] = height;
    sigmaM[p] = 0;
  }
  const run = carried(readings, known);
  const used = readings.flatMap((reading, i) => (run.instrument.has(reading.setup) ? [i] : []));
  const unknown = [...run.height.keys()].filter((p) => !known.has(p));
  const column = new Map<number, number>(unknown.map((p, i) => [p, i]));
  const setupColumn = new Map<number, number>([...run.instrument.keys()].map((s, i) => [s, unknown.length + i]));
  const n = unknown.length + setupColumn.size;
  const matrix = new Float64Array(n * n);
  const right = new Float64Array(n);
  // Corrections to the heights carried: the numbers stay small, whatever the datum.
  const misfit = (i: number): number => {
    const { p, setup, valueM } = readings[i]!;
    return valueM - (run.instrument.get(setup)! - (known.get(p) ?? run.height.get(p)!));
  };
  for (const i of used) {
    const { p, setup, sigmaM: sigma } = readings[i]!;
    const weight = (STAFF_SIGMA_M / sigma) ** 2;
    const s = setupColumn.get(setup)!;
    const c = column.get(p);
    matrix[s * n + s]! += weight;
    right[s]! += weight * misfit(i);
    if (c === undefined) continue;
    matrix[c * n + c]! += weight;
    matrix[s * n + c]! -= weight;
    matrix[c * n + s]! -= weight;
    right[c]! -= weight * misfit(i);
  }
  if (n > 0 && factor(matrix, n) < 0) solve(matrix, n, right);
  const cofactor = n > 0 ? inverse(matrix, n) : matrix;
  for (const [p, c] of column) {
    heightM[p] = run.height.get(p)! + right[c]!;
    sigmaM[p] = STAFF_SIGMA_M * Math.sqrt(Math.max(cofactor[c * n + c]!, 0));
  }
  let squares = 0;
  for (const i of used) {
    const { p, setup, sigmaM: sigma } = readings[i]!;
    const c = column.get(p);
    residualM[i] = right[setupColumn.get(setup)!]! - (c === undefined ? 0 : right[c]!) - misfit(i);
    squares += (residualM[i]! / sigma) ** 2;
  }
  const degrees = used.length - n;
  const variance = degrees > 0 ? squares / degrees : Number.NaN;
  return { heightM, sigmaM, residualM, closures: run.closures, degrees, variance };
}

interface Carried {
  readonly height: ReadonlyMap<number, number>; // as carried along, benchmarks as they are
  readonly instrument: ReadonlyMap<number, number>;
  readonly closures: readonly Closure[];
}

/** Where a set-up or a point hangs: on how many set-ups, one after the other, down to a benchmark. */
interface Chain {
  readonly setups: readonly number[];
}

/** Heights carried from the benchmarks, set-up after set-up; what meets a height that is there already is a closure. */
function carried(readings: readonly LevelReading[], known: ReadonlyMap<number, number>): Carried {
  const height = new Map(known);
  const chains = new Map<number, Chain>([...known.keys()].map((p) => [p, { setups: [] }]));
  const instrument = new Map<number, number>();
  const closures: Closure[] = [];
  const bySetup = new Map<number, LevelReading[]>();
  for (const reading of readings) {
    const own = bySetup.get(reading.setup);
    if (own === undefined) bySetup.set(reading.setup, [reading]);
    else own.push(reading);
  }
  const waiting = [...bySetup.keys()].sort((a, b) => a - b);
  for (;;) {
    const at = waiting.findIndex((s) => bySetup.get(s)!.some(({ p }) => height.has(p)));
    if (at < 0) break;
    const [setup] = waiting.splice(at, 1);
    const own = bySetup.get(setup!)!;
    const start = own.find(({ p, isBack }) => isBack && height.has(p)) ?? own.find(({ p }) => height.has(p))!;
    const sight = height.get(start.p)! + start.valueM;
    instrument.set(setup!, sight);
    const chain = { setups: [...chains.get(start.p)!.setups, setup!] };
    for (const reading of own) {
      if (reading === start) continue;
      const { p, row, valueM } = reading;
      const before = height.get(p);
      if (before === undefined) {
        height.set(p, sight - valueM);
        chains.set(p, chain);
        continue;
      }
      const setups = between(chain, chains.get(p)!);
      const mostM = 3 * Math.SQRT2 * Math.sqrt(setups) * reading.sigmaM;
      closures.push({ row, p, errorM: sight - valueM - before, setups, mostM });
    }
  }
  return { height, instrument, closures };
}

/** Set-ups of a loop: those of both chains that they do not have in common. */
function between(a: Chain, b: Chain): number {
  let common = 0;
  while (common < Math.min(a.setups.length, b.setups.length) && a.setups[common] === b.setups[common]) common++;
  return Math.max(a.setups.length + b.setups.length - 2 * common, 1);
}
