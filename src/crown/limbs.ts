// Limbs + structures -> which limbs are in the way. In: a checked limb list, trees, structures; out: one result a limb and
// findings. Terms: line = the limb from above, straight from the trunk's face; a limb whose height is at or above a
// building's top with the clearance passes over it. A limb list is not a cutting instruction.

import type { Pieces } from '../geometry/index.js';
import { eachEdge, passesEast, quadAt } from '../geometry/index.js';
import {
  BEARING_REFS,
  type Finding,
  type Frame,
  finding,
  given,
  type LimbResult,
  type LimbTable,
  type TreeTable,
  trunkOrPoint,
} from '../model/index.js';
import { fourOf, reachAt } from './shape.js';
import { type StructureSource, Structures } from './structures.js';

const RAD = Math.PI / 180;
const LEAST_M = 1e-9;
/** Shares of a live crown add up with rounding. */
const LEAST_SHARE = 1e-9;
const QUARTER = 0.25;

export interface LimbInput {
  readonly limbs: LimbTable;
  readonly trees: TreeTable;
  readonly treeLonLat: Float64Array;
  readonly trunkRadiusM: Float64Array; // NaN: the trunk is a point
  readonly structures: readonly StructureSource[];
  readonly clearanceM: number;
  readonly limitM: number | undefined; // diameter at the cut above which a limb is flagged
  /** Degrees clockwise from true north to the survey's grid north; null where the survey has no grid. */
  convergence(lon: number, lat: number): number | null;
  frameAt(lon: number, lat: number): Frame;
}

/** Every limb of the list in its order: placed and compared with the structures, or with the reasons why not. */
export function limbResults(input: LimbInput): {
  readonly limbs: readonly LimbResult[];
  readonly findings: readonly Finding[];
} {
  const { limbs } = input;
  const structures = new Structures(input.structures, input.clearanceM);
  const results: LimbResult[] = [];
  const findings: Finding[] = [];
  for (let row = 0; row < limbs.count; row++) results.push(oneLimb(input, structures, row));
  const shares = new Map<number, number>();
  for (const { treeRow, share, conflict } of results) {
    if (treeRow !== null && share !== null && conflict !== false)
      shares.set(treeRow, (shares.get(treeRow) ?? 0) + share);
  }
  const limitM = input.limitM;
  for (const limb of results) {
    if (!limb.reasons.includes('limb-over-diameter') || limb.conflict === false) continue;
    const place = { layer: limbs.layer.name, feature: limb.row, id: limb.key };
    const message = `the cut of limb ${limb.key} on tree ${limb.tree} is ${cm(limb.diameterM)} across, above the ${cm(limitM ?? null)} set`;
    findings.push(finding('limb-over-diameter', place, message, 'ask an arborist: large wounds may not close'));
  }
  for (const [tree, share] of shares) {
    if (share <= QUARTER + LEAST_SHARE) continue;
    const id = input.trees.key.at(tree)!;
    const message =
      `limbs in the way hold ${(share * 100).toFixed(1)} % of the live crown of tree ${id}; ANSI A300-1995 (5.3.1) let ` +
      'no more than one fourth of a mature tree’s foliage be removed in a growing season (later editions give no number)';
    const cure = 'move or lower the building, or ask an arborist how much pruning the crown can tolerate';
    findings.push(finding('limbs-over-quarter', { layer: limbs.layer.name, id }, message, cure));
  }
  const whole = (limb: LimbResult): LimbResult =>
    limb.treeRow === null ? limb : { ...limb, treeShare: shares.get(limb.treeRow) ?? null };
  return { limbs: results.map(whole), findings };
}

function oneLimb(input: LimbInput, structures: Structures, row: number): LimbResult {
  const { limbs, trees } = input;
  const treeRow = limbs.treeOf[row]!;
  const reasons = [...(limbs.rejected.get(row) ?? [])];
  const diameterM = given(limbs.diameterM[row]);
  if (input.limitM !== undefined && diameterM !== null && diameterM > input.limitM + LEAST_M) {
    reasons.push('limb-over-diameter');
  }
  const bare: LimbResult = {
    row,
    key: limbs.key.at(row)!,
    tree: treeRow < 0 ? limbs.tree[row]! : trees.key.at(treeRow)!,
    treeRow: treeRow < 0 ? null : treeRow,
    bearing: null,
    statedBearing: given(limbs.bearing[row]),
    reference: BEARING_REFS[limbs.reference[row]!] ?? null,
    diameterM,
    heightM: given(limbs.heightM[row]),
    lengthM: given(limbs.lengthM[row]),
    share: given(limbs.share[row]),
    treeShare: null,
    line: null,
    conflict: null,
    meetsAtM: null,
    works: null,
    accepted: false,
    reasons,
  };
  if (limbs.rejected.has(row)) return bare;
  const lon = input.treeLonLat[treeRow * 2]!;
  const lat = input.treeLonLat[treeRow * 2 + 1]!;
  if (Number.isNaN(lon)) return { ...bare, reasons: [...reasons, 'tree-unplaced'] };
  const turn = northOf(input, row, lon, lat);
  if (turn === null) return { ...bare, reasons: [...reasons, 'no-grid'] };
  const bearing = (((limbs.bearing[row]! + turn) % 360) + 360) % 360;
  return { ...bare, bearing, accepted: true, ...lineOf(input, structures, row, bearing, reasons) };
}

/** The angle to add to a stated bearing to count it from true north; null where there is no such grid. */
function northOf({ limbs, convergence }: LimbInput, row: number, lon: number, lat: number): number | null {
  switch (BEARING_REFS[limbs.reference[row]!]) {
    case 'grid':
      return convergence(lon, lat);
    case 'magnetic':
      return limbs.declination[row]!;
    default:
      return 0;
  }
}

type Line = Pick<LimbResult, 'lengthM' | 'line' | 'conflict' | 'meetsAtM' | 'works' | 'reasons'>;

function lineOf(input: LimbInput, structures: Structures, row: number, bearing: number, had: readonly string[]): Line {
  const { limbs, trees, treeLonLat } = input;
  const tree = limbs.treeOf[row]!;
  const face = trunkOrPoint(input.trunkRadiusM, tree);
  const stated = given(limbs.lengthM[row]);
  const four = fourOf(trees.crownM, tree);
  const crown = four.some(Number.isNaN) ? null : reachAt(four, bearing);
  const end = stated !== null ? face + stated : crown;
  if (end === null) {
    return {
      lengthM: null,
      line: null,
      conflict: null,
      meetsAtM: null,
      works: null,
      reasons: [...had, 'limb-length-missing'],
    };
  }
  const start = Math.min(face, end);
  const lon = treeLonLat[tree * 2]!;
  const lat = treeLonLat[tree * 2 + 1]!;
  const frame = input.frameAt(lon, lat);
  const at = Float64Array.of(lon, lat);
  const angle = (bearing - frame.convergenceAt(lon, lat)) * RAD;
  frame.toFrame(at, at);
  const [x, y] = [at[0]!, at[1]!];
  const [dx, dy] = [Math.sin(angle), Math.cos(angle)];
  const ends = Float64Array.of(x + start * dx, y + start * dy, x + end * dx, y + end * dy);
  const met = meeting(input, structures.near(lon, lat, end), { x, y, dx, dy, start, end }, structures, frame, row);
  frame.toLonLat(ends, ends);
  const [lon0, lat0, lon1, lat1] = quadAt(ends);
  const line = [
    [lon0, lat0],
    [lon1, lat1],
  ] as const;
  return { lengthM: end - start, line, ...met, reasons: [...had, ...met.reasons] };
}

interface Segment {
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
  readonly start: number; // along the direction, metres from the trunk's centre
  readonly end: number;
}

/** The first structure along the limb that it does not pass over. */
function meeting(
  input: LimbInput,
  near: ReturnType<Structures['near']>,
  segment: Segment,
  structures: Structures,
  frame: Frame,
  row: number,
): Pick<LimbResult, 'conflict' | 'meetsAtM' | 'works' | 'reasons'> {
  const limbHeight = input.limbs.heightM[row]!;
  const reasons = new Set<string>();
  let meetsAtM: number | null = null;
  let works: string | null = null;
  for (const structure of near) {
    const at = firstMeeting(structures.tile([structure], frame).pieces, segment);
    if (at === null) continue;
    const top = structure.heightM + input.clearanceM;
    if (limbHeight >= top - LEAST_M) {
      reasons.add('limb-above');
      continue;
    }
    if (Number.isNaN(limbHeight) || Number.isNaN(top)) reasons.add('limb-height-unknown');
    if (meetsAtM !== null && !(at < meetsAtM)) continue;
    meetsAtM = at;
    works = structure.key;
  }
  return { conflict: meetsAtM !== null, meetsAtM, works, reasons: [...reasons] };
}

/** Where along a segment it first lies in any of the pieces; null where it never does. Touching a corner counts. */
function firstMeeting(pieces: Pieces, { x, y, dx, dy, start, end }: Segment): number | null {
  let first: number | null = null;
  for (let p = 0; p < pieces.count; p++) {
    let inside = false;
    const [sx, sy] = [x + start * dx, y + start * dy];
    eachEdge(pieces, p, (ax, ay, bx, by) => {
      if (passesEast(ax, ay, bx, by, sx, sy)) inside = !inside;
      const ex = bx - ax;
      const ey = by - ay;
      const det = dx * ey - dy * ex;
      if (det === 0) return;
      const t = ((ax - x) * ey - (ay - y) * ex) / det;
      const u = ((ax - x) * dy - (ay - y) * dx) / det;
      if (t >= start && t <= end && u >= 0 && u <= 1 && (first === null || t < first)) first = t;
    });
    if (inside) return start;
  }
  return first;
}

function cm(metres: number | null): string {
  return metres === null ? '?' : `${(metres * 100).toFixed(1)} cm (${(metres / 0.0254).toFixed(1)} in)`;
}
