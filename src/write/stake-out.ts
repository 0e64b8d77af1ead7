// A finished plan as field notes, to stake out by tape. In: an assessment, stakes that stand on the ground, a system; out: a CSV in the
// columns of docs/field-notes.md: the stakes, then for every corner of works and fences a distance from two stakes and its place along
// and off the line between the first two; diagonals to check with. Terms: see stakes.ts. Read back, it gives the same positions.

import type { Assessment } from '../model/index.js';
import { GEOMETRY_KINDS, InputError, METRES_PER, WORKS_KINDS } from '../model/index.js';
import { inert, quoted } from './csv-cell.js';
import { cell } from './numbers.js';
import { rowRings } from './row-rings.js';
import type { OutputSystem } from './shape.js';
import { eachStake, systemOf } from './stakes.js';

/** A stake on the ground, in the coordinates of the system. */
export interface GroundStake {
  readonly name: string;
  readonly easting: number;
  readonly northing: number;
}

interface Place {
  readonly name: string;
  readonly x: number; // metres
  readonly y: number;
}

interface Figure {
  readonly name: string;
  readonly outline: boolean; // works; a corner of a fence is a point
  readonly kind: string;
  readonly corners: readonly Place[];
  /** Full width of a centre line, metres; null: its corners are a ring. */
  readonly widthM: number | null;
  readonly depthM: number; // NaN: not given
}

/** A tape reaches no farther, metres: what lies farther from two stakes is left out, the whole of its figure. */
const TAPE_M = 100;
/** Ten-thousandths: below what a tape shows, and read back to less than a millimetre. */
const DECIMALS = 4;

const COLUMNS = 'point,outline,kind,width,depth,from,distance,base,along,offset,side,easting,northing'.split(',');

/**
 * The stake-out notes.
 *
 * @throws InputError `stakes-need-plane`, `note-stakes` (fewer than two, two in one place, nothing in reach of a tape), usage
 */
export function* stakeOutPieces(
  assessment: Assessment,
  stakes: readonly GroundStake[],
  output: OutputSystem | null = null,
): Generator<string, void, undefined> {
  const system = systemOf(assessment, output);
  const metres = system.crs.metresPerUnit;
  const unit = system.crs.unit === 'ftUS' || system.crs.unit === 'ft' ? system.crs.unit : 'm';
  const scale = METRES_PER[unit];
  const ground = stakes.map(({ name, easting, northing }) => ({ name, x: easting * metres, y: northing * metres }));
  checkStakes(ground);
  const length = (value: number): string => (Number.isNaN(value) ? '' : cell(value / scale, DECIMALS));
  const lengths = ['width', 'depth', 'distance', 'along', 'offset', 'easting', 'northing'];
  const row = (cells: Readonly<Record<string, string>>): string =>
    `${COLUMNS.map((name) => quoted(cells[name] ?? '')).join(',')}\r\n`;
  yield `${COLUMNS.map((name) => (lengths.includes(name) ? `${name}_${unit.toLowerCase()}` : name)).join(',')}\r\n`;
  for (const { name, x, y } of ground) yield row({ point: name, easting: length(x), northing: length(y) });
  for (let i = 1; i < ground.length; i++) {
    const [to, from] = [ground[i]!, ground[0]!];
    yield row({ point: to.name, from: from.name, distance: length(apart(to, from)) });
  }
  const [a, b] = [ground[0]!, ground[1]!];
  let written = 0;
  for (const { name, outline, kind, corners, widthM, depthM } of figuresOf(assessment, system, metres)) {
    if (!corners.every((corner) => bestPair(ground, corner) !== null)) continue;
    written++;
    for (const [i, corner] of corners.entries()) {
      const about = i > 0 ? {} : { kind, width: widthM === null ? '' : length(widthM), depth: length(depthM) };
      const of = outline ? { outline: `${name}:${i + 1}`, ...about } : {};
      const [first, second] = bestPair(ground, corner)!; // looked at above
      const [along, offset] = onLine(a, b, corner);
      const side = offset < 0 ? 'right' : 'left';
      const base = { base: `${a.name}>${b.name}`, along: length(along), offset: length(Math.abs(offset)), side };
      yield row({ point: corner.name, ...of, from: first.name, distance: length(apart(corner, first)), ...base });
      yield row({ point: corner.name, from: second.name, distance: length(apart(corner, second)) });
    }
    // From the first corner to all that are not beside it; of four, the two diagonals.
    for (const [one, two] of widthM === null ? diagonals(corners) : []) {
      yield row({ point: two.name, from: one.name, distance: length(apart(one, two)) });
    }
  }
  if (written > 0) return;
  throw new InputError('note-stakes', `no works and no fence lie within ${TAPE_M} m of two of the stakes`, {
    cure: 'name stakes beside what is to be set out, in the survey’s own coordinates',
    usage: true,
  });
}

function checkStakes(stakes: readonly Place[]): void {
  const cure =
    'name two or more with --note-stake A=7650000,680000 --note-stake B=7650100,680000, in the survey’s coordinates';
  if (stakes.length < 2) {
    throw new InputError('note-stakes', 'stake-out notes need two stakes or more to measure from', {
      cure,
      usage: true,
    });
  }
  for (const [i, one] of stakes.entries()) {
    const twin = stakes.slice(0, i).find((other) => other.name === one.name || apart(one, other) < 1);
    if (twin === undefined) continue;
    const message = `stakes ${twin.name} and ${one.name} have one name, or stand within a metre of each other`;
    throw new InputError('note-stakes', message, { cure, usage: true });
  }
}

function apart(one: Place, two: Place): number {
  return Math.hypot(one.x - two.x, one.y - two.y);
}

function onLine(a: Place, b: Place, { x, y }: Place): [number, number] {
  const l = apart(a, b);
  const [ux, uy] = [(b.x - a.x) / l, (b.y - a.y) / l];
  return [(x - a.x) * ux + (y - a.y) * uy, ux * (y - a.y) - uy * (x - a.x)];
}

/** Of the stakes within a tape's reach the two from which the corner is seen most nearly at a right angle; null without two. */
function bestPair(stakes: readonly Place[], corner: Place): readonly [Place, Place] | null {
  const near = stakes.filter((stake) => apart(stake, corner) <= TAPE_M);
  let best: readonly [Place, Place] | null = null;
  let most = -1;
  near.forEach((one, i) => {
    for (const two of near.slice(i + 1)) {
      const [ax, ay, bx, by] = [one.x - corner.x, one.y - corner.y, two.x - corner.x, two.y - corner.y];
      const sine = Math.abs(ax * by - ay * bx) / Math.max(Math.hypot(ax, ay) * Math.hypot(bx, by), 1e-9);
      if (sine > most) [best, most] = [[one, two], sine];
    }
  });
  return best;
}

function diagonals(corners: readonly Place[]): (readonly [Place, Place])[] {
  if (corners.length === 4) return [[corners[0]!, corners[2]!] as const, [corners[1]!, corners[3]!] as const];
  return corners.slice(2, -1).map((corner) => [corners[0]!, corner] as const);
}

/** Shells and centre lines of works, and corners of fences; metres. */
function* figuresOf(assessment: Assessment, system: OutputSystem, metres: number): Generator<Figure, void, undefined> {
  const { works, worksLonLat } = assessment.job;
  for (let w = 0; w < works.count; w++) {
    if (works.rejected.has(w)) continue;
    const isLine = (GEOMETRY_KINDS[works.geometry.kind[w]!] ?? '').endsWith('line');
    const shells = (rowRings(works.geometry, w, worksLonLat, 0) ?? []).map((part) => part[0] ?? []);
    for (const [i, shell] of shells.entries()) {
      if (shell.length < (isLine ? 4 : 6)) continue;
      const name = nameOf(shells.length === 1 ? works.key.at(w)! : `${works.key.at(w)!}-${i + 1}`);
      const xy = Float64Array.from(shell);
      system.toOutput(xy);
      const corners = Array.from({ length: xy.length / 2 }, (_, k) => ({
        name: `${name}:${k + 1}`,
        x: xy[k * 2]! * metres,
        y: xy[k * 2 + 1]! * metres,
      }));
      const widthM = isLine ? works.widthM[w]! : null;
      yield { name, outline: true, kind: WORKS_KINDS[works.kind[w]!]!, corners, widthM, depthM: works.depthM[w]! };
    }
  }
  const fences = new Map<string, Place[]>();
  for (const { id, fence, easting, northing } of eachStake(assessment, system)) {
    if (Number.isNaN(easting)) continue;
    const corners = fences.get(fence) ?? [];
    corners.push({ name: id, x: easting * metres, y: northing * metres });
    fences.set(fence, corners);
  }
  for (const [name, corners] of fences)
    yield { name, outline: false, kind: '', corners, widthM: null, depthM: Number.NaN };
}

/** A name that field notes take as a point: no mark that means a line or a corner there. */
function nameOf(key: string): string {
  return inert(key).replaceAll(/[>:\s]+/g, '-');
}
