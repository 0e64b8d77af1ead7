// Corners of fences -> CSV for staking out. In: an assessment, the system to write in; out: a head of lines that begin with #
// (system, unit, ground factor, check points, cautions), then one row a stake. Terms: stake = a corner of a fence, or an end of
// a gate; check point = a surveyed tree whose position is in the survey: measured first, it shows that the set-up is right.

import type { Assessment, Crs, LonLatRing } from '../model/index.js';
import { stakesNeedPlane } from '../model/index.js';
import { inert, quoted } from './csv-cell.js';
import { fenceRecords } from './fences.js';
import { cell } from './numbers.js';
import type { OutputSystem } from './shape.js';
import { shownWords } from './shown-words.js';

const CAUTIONS = [
  'Not a boundary survey and not a layout of record: a licensed surveyor must verify it before anything is built from it.',
  'Put up the fence before any work begins and leave it until final sign-off. No storage, washout or parking inside.',
] as const;

/** Thousandths of a metre or foot: finer than a stake can be set. */
const DECIMALS = 3;

/** The stakes as one text; see `stakesPieces`. */
export function toStakes(assessment: Assessment, output: OutputSystem | null = null): string {
  return [...stakesPieces(assessment, output)].join('');
}

/**
 * Stakes in the survey's own system, or in a projected `output` where the survey is in degrees.
 *
 * @throws InputError `stakes-need-plane` (usage) when both are in degrees
 * @example
 * [...stakesPieces(assessment)].join('').split('\r\n')[0]; // '# rootberth 0.1.0: corners of protection fences'
 */
export function* stakesPieces(
  assessment: Assessment,
  output: OutputSystem | null = null,
): Generator<string, void, undefined> {
  const system = systemOf(assessment, output);
  const unit = unitOf(system.crs);
  const head = [
    `rootberth ${assessment.version}: corners of protection fences`,
    `system: ${system.crs.code} ${system.crs.name}`,
    `unit: ${unit}`,
    `ground factor: ${groundWords(system.crs)}`,
    ...checkPoints(assessment, system, unit),
    ...(assessment.shown === undefined ? [] : [shownWords(assessment)]),
    ...CAUTIONS,
  ];
  for (const line of head) yield `# ${line.replace(/[\r\n]+/g, ' ')}\r\n`;
  yield 'id,fence,kind,easting,northing,unit\r\n';
  for (const { id, fence, kind, easting, northing } of eachStake(assessment, system)) {
    yield `${id},${fence},${kind},${cell(easting, DECIMALS)},${cell(northing, DECIMALS)},${unit}\r\n`;
  }
}

/** One stake: a corner of a fence, or an end of a gate, in the unit of the system it was asked for in. */
export interface Stake {
  readonly id: string; // F1-01
  readonly fence: string; // F1, G1
  readonly kind: 'corner' | 'gate';
  readonly easting: number;
  readonly northing: number;
}

/** The stakes of all fences and gates, in order; NaN where a corner has no image in the system. */
export function* eachStake(assessment: Assessment, system: OutputSystem): Generator<Stake, void, undefined> {
  for (const { kind, number, lines } of fenceRecords(assessment)) {
    if (lines === null) continue;
    const fence = kind === 'fence' ? `F${number}` : `G${number}`;
    let stake = 0;
    for (const line of lines) {
      for (const [easting, northing] of placed(kind === 'fence' ? line.slice(0, -1) : line, system)) {
        stake++;
        const id = `${fence}-${String(stake).padStart(2, '0')}`;
        yield { id, fence, kind: kind === 'fence' ? 'corner' : 'gate', easting, northing };
      }
    }
  }
}

export function systemOf({ job }: Assessment, output: OutputSystem | null): OutputSystem {
  const own = job.treeTransform;
  if (own !== undefined && own.crs.kind !== 'geographic') return { crs: own.crs, toOutput: own.fromLonLat };
  if (output !== null && output.crs.kind !== 'geographic') return output;
  throw stakesNeedPlane();
}

/** The unit of a system in words: m, ft (international), ftUS, or its length in metres. */
export function unitOf(crs: Crs): string {
  return crs.unit === 'other' ? `${crs.metresPerUnit} m` : crs.unit;
}

function groundWords({ ground }: Crs): string {
  if (ground === undefined) return '1 (grid coordinates as in the survey)';
  return `${ground.factor} about ${ground.east}, ${ground.north} (coordinates are on the ground, as in the survey)`;
}

function placed(line: LonLatRing, { toOutput }: OutputSystem): [number, number][] {
  const xy = Float64Array.from(line.flat());
  toOutput(xy);
  return line.map((_, i) => [xy[i * 2]!, xy[i * 2 + 1]!]);
}

/** Two trees far apart: the southwesternmost, and the one farthest from it. */
function checkPoints({ job }: Assessment, system: OutputSystem, unit: string): string[] {
  const xy = job.treeLonLat.slice();
  system.toOutput(xy);
  const farthest = (score: (x: number, y: number) => number): number => {
    let best = -1;
    let most = -Infinity;
    for (let row = 0; row < job.trees.count; row++) {
      const value = score(xy[row * 2]!, xy[row * 2 + 1]!);
      if (value > most) [best, most] = [row, value];
    }
    return best;
  };
  const first = farthest((x, y) => -(x + y));
  const [fx, fy] = [xy[first * 2]!, xy[first * 2 + 1]!];
  const second = farthest((x, y) => Math.hypot(x - fx, y - fy));
  const rows = [...new Set([first, second])].filter((row) => row >= 0);
  if (rows.length < 2) return ['check points: fewer than two trees have a position; use your own control points'];
  return rows.map((row) => {
    const at = `${cell(xy[row * 2]!, DECIMALS)}, ${cell(xy[row * 2 + 1]!, DECIMALS)}`;
    return `check point: tree ${quoted(inert(job.trees.key.at(row) ?? ''))} at ${at} ${unit}`;
  });
}
