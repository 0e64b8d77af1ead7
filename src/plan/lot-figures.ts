// Trees per lot and in all. In: judged trees, lots, a mitigation table; out: figures of each lot, of all trees, and of the
// trees on no lot. Terms: kept = to be kept, or fate unknown; reaching in = a zone with its trunk elsewhere. See LotFigures.
// Every tree counts once: on the lot its trunk belongs to (see lots.ts), else among those on no lot.

import type { Mitigation } from '../model/index.js';
import {
  DISPOSITIONS,
  type Disposition,
  type Frame,
  isGoing,
  isOver,
  isStaying,
  type JudgedTree,
  type LotFigures,
  type LotTable,
  type Totals,
  type TreeTable,
  trunkOrPoint,
  type ZoneShapes,
  type ZoneTable,
} from '../model/index.js';
import { diameterOf, lostTree } from './lost-tree.js';
import type { LotOfTree, lotFinder } from './lots.js';
import { isProtected, isProtectedTold } from './protected.js';
import { lotsReached, type ZoneMeasure } from './reach.js';
import { isLost, ReplacementSum } from './replacement.js';

export interface LotFiguresInput {
  readonly trees: TreeTable;
  readonly zones: ZoneTable;
  readonly judged: readonly JudgedTree[];
  readonly zoneShapes: ZoneShapes;
  readonly treeLonLat: Float64Array;
  readonly lots: LotTable | null;
  readonly lotsLonLat: Float64Array;
  readonly findLot: ReturnType<typeof lotFinder> | null;
  readonly mitigation: Mitigation | undefined;
  /** Whether works were given at all. */
  readonly hasWorks: boolean;
  frameAt(lon: number, lat: number): Frame;
}

export interface CountedLots {
  readonly lots: readonly LotFigures[]; // per row of the lot table
  readonly totals: Totals;
}

type Sums = { -readonly [K in keyof Omit<LotFigures, 'replacement'>]: NonNullable<LotFigures[K]> };

const NO_TREES: Sums = {
  trees: 0,
  onLine: 0,
  offSite: 0,
  reachingIn: 0,
  reachingInOffSite: 0,
  kept: 0,
  removed: 0,
  transplanted: 0,
  dispositionUnknown: 0,
  protected: 0,
  protectedUnknown: 0,
  protectedRemoved: 0,
  overLimit: 0,
  stemInWorks: 0,
  goingOver: 0,
  notAssessed: 0,
  keptDbhM: 0,
  removedDbhM: 0,
  transplantedDbhM: 0,
  protectedRemovedDbhM: 0,
  withoutDbh: 0,
};

/** Figures while they are counted: of one lot, of trees on no lot, of all. */
class Tally {
  readonly sums: Sums = { ...NO_TREES };
  readonly replacement: ReplacementSum | null;

  readonly #hasWorks: boolean;

  constructor(mitigation: Mitigation | undefined, hasWorks: boolean) {
    this.#hasWorks = hasWorks;
    this.replacement = mitigation === undefined ? null : new ReplacementSum(mitigation);
  }

  get figures(): LotFigures {
    const unjudged = this.#hasWorks ? {} : { overLimit: null, stemInWorks: null, goingOver: null };
    return { ...this.sums, ...unjudged, replacement: this.replacement?.result ?? null };
  }
}

/** Counts all trees in one pass. */
export function lotFigures(input: LotFiguresInput): CountedLots {
  const { trees, zones, lots, treeLonLat, mitigation } = input;
  const tallies = Array.from({ length: lots?.count ?? 0 }, () => new Tally(mitigation, input.hasWorks));
  const offLots = new Tally(mitigation, input.hasWorks);
  const all = new Tally(mitigation, input.hasWorks);
  const reached = lots === null ? null : lotsReached(lots, input.lotsLonLat);
  const tellsProtected = isProtectedTold(trees, zones);
  for (let row = 0; row < trees.count; row++) {
    const lon = treeLonLat[row * 2]!;
    const lat = treeLonLat[row * 2 + 1]!;
    const placed = !Number.isNaN(lon) && !Number.isNaN(lat);
    const frame = placed ? input.frameAt(lon, lat) : null;
    const lot: LotOfTree | undefined =
      frame === null ? undefined : input.findLot?.(frame, [lon, lat], trunkOrPoint(zones.trunkRadiusM, row));
    const own = tallies[lot?.lot ?? -1];
    for (const tally of [own ?? offLots, all]) add(tally, input, row, lot?.onLine === true, tellsProtected);
    const radius = zones.radiusM[row]!;
    if (frame === null || reached === null || !(radius > 0)) continue;
    const stranger = own === undefined || trees.offSite[row] === 1;
    for (const other of reached(frame, [lon, lat], radius, measureOf(input, frame, row))) {
      const tally = tallies[other]!;
      if (tally === own) continue;
      tally.sums.reachingIn++;
      if (stranger) tally.sums.reachingInOffSite++;
    }
  }
  return {
    lots: tallies.map((tally) => tally.figures),
    totals: { all: all.figures, offLots: offLots.figures },
  };
}

/** How a zone that is not a disc is measured: a drawn one or a group's, or one that follows the crown. */
function measureOf({ zones, zoneShapes }: LotFiguresInput, frame: Frame, row: number): ZoneMeasure | undefined {
  const shape = zoneShapes.get(row);
  if (shape !== undefined) return (meter, x, y) => meter.polygon(x, y, shape.reachM, shape.pieces);
  const four = zones.quarters.get(row);
  if (four === undefined) return undefined;
  return (meter, x, y) => meter.quarters(x, y, four, (-frame.convergence(x, y) * Math.PI) / 180);
}

const COUNT_OF: Readonly<Record<Disposition, 'kept' | 'removed' | 'transplanted'>> = {
  keep: 'kept',
  remove: 'removed',
  transplant: 'transplanted',
  unknown: 'kept',
};

function add(
  { sums, replacement }: Tally,
  input: LotFiguresInput,
  row: number,
  onLine: boolean,
  tellsProtected: boolean,
): void {
  const { trees, zones, mitigation } = input;
  const disposition = DISPOSITIONS[trees.disposition[row]!] ?? 'keep';
  const verdict = input.judged[row]!.verdict;
  const said = isProtected(trees, zones, row);
  const guarded = said === true;
  const dbhM = diameterOf(trees, zones, row);
  const count = COUNT_OF[disposition];
  sums.trees++;
  sums[count]++;
  if (onLine) sums.onLine++;
  if (trees.offSite[row] === 1) sums.offSite++;
  if (disposition === 'unknown') sums.dispositionUnknown++;
  if (guarded) sums.protected++;
  if (said === null && tellsProtected) sums.protectedUnknown++;
  if (verdict === 'not-assessed') sums.notAssessed++;
  // Without works none of these is counted; they are shown as null.
  if (isStaying(disposition) && verdict === 'over-limit') sums.overLimit++;
  if (isStaying(disposition) && verdict === 'stem-in-works') sums.stemInWorks++;
  if (isGoing(disposition) && isOver(verdict)) sums.goingOver++;
  if (dbhM === null) sums.withoutDbh++;
  else sums[`${count}DbhM`] += dbhM;
  if (guarded && disposition === 'remove') {
    sums.protectedRemoved++;
    sums.protectedRemovedDbhM += dbhM ?? 0;
  }
  if (replacement === null || mitigation === undefined || !isLost(mitigation.lost, disposition, verdict)) return;
  replacement.add(lostTree(trees, zones, row));
}
