// Columns -> plain results. In: the tables of every stage; out: one readonly object per tree and per row of works.
// Terms: null = there is no such figure; a share of a zone is in percent, 0 to 100.

import { crownResult } from '../crown/index.js';
import type { PlacedLayer } from '../crs/index.js';
import type { Rule } from '../model/index.js';
import {
  type Counts,
  type CrownResult,
  type CrownTable,
  type CrsTransform,
  DISPOSITIONS,
  type Disposition,
  type Frame,
  given,
  hasWorks,
  type InputRecord,
  type JudgedTree,
  type LotTable,
  type OverlapTable,
  type TreeResult,
  type TreeTable,
  trunkOrPoint,
  type Verdict,
  verdictCounts,
  WORKS_KINDS,
  type WorksKind,
  type WorksResult,
  type WorksTable,
  type WorksWeights,
  type Worth,
  type ZoneTable,
} from '../model/index.js';
import type { LotOfTree, lotFinder } from '../plan/index.js';
import { isProtected } from '../plan/index.js';
import { affectedPct } from '../rules/index.js';
import { treeWorth } from './worth.js';

export interface ResultInput {
  readonly trees: TreeTable;
  readonly zones: ZoneTable;
  readonly crowns?: CrownTable | null;
  readonly works: WorksTable;
  readonly lots: LotTable | null;
  /** Whether ground or structures of today were given. */
  readonly hasExisting: boolean;
  readonly overlap: OverlapTable;
  readonly judged: readonly JudgedTree[];
  readonly treeLonLat: Float64Array;
  readonly findLot: ReturnType<typeof lotFinder> | null;
  readonly transform: CrsTransform; // of the tree layer
  /** One tree's margin by its row; null where the job is too large to calculate margins by default. */
  readonly margin: ((row: number) => number | null) | null;
  /** Whether the margin was asked for and given up because of its cost; null where margins are not calculated. */
  readonly isTooDear: ((row: number) => boolean) | null;
  /** Whether the grades given leave ground in its zone unknown; null where no grades were given. */
  readonly isGradeUnknown: ((row: number) => boolean) | null;
  /** Whether one tree's verdict holds within the survey's accuracy; null where margins are not worked out. */
  readonly holds: ((row: number) => boolean | null) | null;
  frameAt(lon: number, lat: number): Frame;
}

/** Results by row, made when asked for: a million of them kept as objects would take more memory than the rest of a job. */
export class TreeRows {
  readonly #input: ResultInput;
  readonly #view: TreeRow;
  readonly count: number;

  constructor(input: ResultInput) {
    this.#input = input;
    this.#view = new TreeRow(input);
    this.count = input.trees.count;
  }

  /** One tree's result as an object of its own. */
  at(row: number): TreeResult {
    return plainResult(this.#view.to(row));
  }

  /** Every tree in input order, each an object of its own. */
  *eachOwn(): Generator<TreeResult> {
    for (let row = 0; row < this.count; row++) yield this.at(row);
  }

  /** Every tree in input order, through one object that moves on: its values are valid until the next tree is asked for. */
  *each(): Generator<TreeResult> {
    const view = new TreeRow(this.#input);
    for (let row = 0; row < this.count; row++) yield view.to(row);
  }

  /** One tree's result that holds until the next is asked for. */
  see(row: number): TreeResult {
    return this.#view.to(row);
  }

  all(): TreeResult[] {
    return Array.from({ length: this.count }, (_, row) => this.at(row));
  }
}

function plainResult(view: TreeResult): TreeResult {
  return {
    row: view.row,
    key: view.key,
    lon: view.lon,
    lat: view.lat,
    disposition: view.disposition,
    dbhM: view.dbhM,
    zoneRadiusM: view.zoneRadiusM,
    zoneAreaM2: view.zoneAreaM2,
    overlapM2: view.overlapM2,
    overlapPct: view.overlapPct,
    overlapByKindM2: view.overlapByKindM2 === null ? null : { ...view.overlapByKindM2 },
    existingM2: view.existingM2,
    existingPct: view.existingPct,
    severedM2: view.severedM2,
    severedPct: view.severedPct,
    affectedPct: view.affectedPct,
    rings: view.rings,
    nearestM: view.nearestM,
    nearestFaceM: view.nearestFaceM,
    nearestBearing: view.nearestBearing,
    nearestGridBearing: view.nearestGridBearing,
    convergence: view.convergence,
    nearestWorks: view.nearestWorks,
    worstWorks: view.worstWorks,
    worstWorksPct: view.worstWorksPct,
    marginM: view.marginM,
    verdictHolds: view.verdictHolds,
    isProtected: view.isProtected,
    verdict: view.verdict,
    consequence: view.consequence,
    reasons: view.reasons,
    lot: view.lot,
    crown: view.crown,
    worth: view.worth,
  };
}

const NONE: readonly string[] = [];
const ON_LOT_LINE: readonly string[] = ['on-lot-line'];
const NO_MARGIN: readonly string[] = ['margin-not-found'];
const GRADE_UNKNOWN: readonly string[] = ['grade-unknown'];

/** One row of the columns in the shape of a result; figures that cost something are worked out once per row. */
class TreeRow implements TreeResult {
  row: number = 0;
  readonly #input: ResultInput;
  readonly #local: boolean;
  readonly #hasWorks: boolean;
  readonly #byKind: Record<WorksKind, number>;
  // Costly figures are calculated when asked for, once a row.
  #convergence: number | null | undefined;
  #lot: LotOfTree | null | undefined;
  #crown: CrownResult | null | undefined;
  #worth: Worth | null | undefined;

  constructor(input: ResultInput) {
    this.#input = input;
    // A local ground system has no longitude, latitude or true north: its columns hold something else (see transform.ts).
    this.#local = input.transform.crs.kind === 'local';
    const { overlap } = input;
    this.#hasWorks = hasWorks(input.works);
    const kinds: Record<string, PropertyDescriptor> = {};
    WORKS_KINDS.forEach((kind, k) => {
      const column = overlap.byKindM2[k]!;
      kinds[kind] = { enumerable: true, get: () => column[this.row] };
    });
    this.#byKind = Object.defineProperties({}, kinds) as Record<WorksKind, number>;
  }

  to(row: number): this {
    this.row = row;
    this.#crown = undefined;
    this.#worth = undefined;
    this.#convergence = undefined;
    this.#lot = undefined;
    return this;
  }

  get key(): string {
    return this.#input.trees.key.at(this.row)!;
  }
  get lon(): number | null {
    return this.#local ? null : given(this.#input.treeLonLat[this.row * 2]);
  }
  get lat(): number | null {
    return this.#local ? null : given(this.#input.treeLonLat[this.row * 2 + 1]);
  }
  get disposition(): Disposition {
    return DISPOSITIONS[this.#input.trees.disposition[this.row]!] ?? 'keep';
  }
  get dbhM(): number | null {
    return given(this.#input.zones.dbhM[this.row]);
  }
  get zoneRadiusM(): number | null {
    return given(this.#input.zones.radiusM[this.row]);
  }
  get zoneAreaM2(): number | null {
    return given(this.#input.zones.areaM2[this.row]);
  }
  get overlapM2(): number | null {
    return this.#hasWorks ? given(this.#input.overlap.overlapM2[this.row]) : null;
  }
  get overlapPct(): number | null {
    return this.#percent(this.overlapM2);
  }
  get overlapByKindM2(): Readonly<Record<WorksKind, number>> | null {
    return this.overlapM2 === null ? null : this.#byKind;
  }
  get existingM2(): number | null {
    return given(this.#input.overlap.existingM2?.[this.row]);
  }
  get existingPct(): number | null {
    return this.#percent(this.existingM2);
  }
  get severedM2(): number | null {
    return !this.#hasWorks ? null : given(this.#input.overlap.severedM2[this.row]);
  }
  get severedPct(): number | null {
    return this.#percent(this.severedM2);
  }
  get affectedPct(): number | null {
    const { overlapM2, severedM2, zoneAreaM2 } = this;
    if (zoneAreaM2 === null && this.verdict === 'stem-in-works') return 100;
    if (overlapM2 === null || severedM2 === null || zoneAreaM2 === null) return null;
    return affectedPct(overlapM2, severedM2, zoneAreaM2, this.#input.overlap.stemInWorks[this.row] === 1);
  }
  get rings(): TreeResult['rings'] {
    return ringResults(this.#input.zones, this.#input.overlap, this.row, this.#hasWorks);
  }
  get nearestM(): number | null {
    return given(this.#input.overlap.nearestM[this.row]);
  }
  get nearestFaceM(): number | null {
    const nearest = this.nearestM;
    const trunkRadiusM = given(this.#input.zones.trunkRadiusM[this.row]);
    return nearest === null || trunkRadiusM === null ? null : Math.max(nearest - trunkRadiusM, 0);
  }
  get nearestBearing(): number | null {
    return this.#local ? null : given(this.#input.overlap.nearestBearing[this.row]);
  }
  get nearestGridBearing(): number | null {
    const bearing = given(this.#input.overlap.nearestBearing[this.row]);
    return this.#local ? bearing : gridBearing(bearing, this.convergence);
  }
  get convergence(): number | null {
    if (this.#convergence === undefined) {
      const { lon, lat } = this;
      this.#convergence = lon === null || lat === null ? null : gridConvergence(this.#input.transform, lon, lat);
    }
    return this.#convergence;
  }
  get nearestWorks(): string | null {
    const works = this.#input.overlap.nearestWorks[this.row]!;
    return works < 0 ? null : this.#input.works.key.at(works)!;
  }
  get worstWorks(): string | null {
    const works = this.#input.overlap.worstWorks[this.row]!;
    return works < 0 ? null : this.#input.works.key.at(works)!;
  }
  get worstWorksPct(): number | null {
    const works = this.#input.overlap.worstWorks[this.row]!;
    return works < 0 ? null : this.#percent(given(this.#input.overlap.worstM2[this.row]));
  }
  get marginM(): number | null {
    return this.#input.margin === null ? null : this.#input.margin(this.row);
  }
  get verdictHolds(): boolean | null {
    return this.#input.holds === null ? null : this.#input.holds(this.row);
  }
  get isProtected(): boolean | null {
    return isProtected(this.#input.trees, this.#input.zones, this.row);
  }
  get verdict(): Verdict | null {
    return this.#judged.verdict;
  }
  get consequence(): string {
    return this.#judged.consequence;
  }
  get reasons(): readonly string[] {
    const { reasons } = this.#judged;
    const inAir = this.#input.crowns?.conflicts.get(this.row)?.reasons ?? NONE;
    const lot = this.#onLot;
    const onLine = lot?.onLine === true ? ON_LOT_LINE : NONE;
    const noMargin = this.#isMarginTooDear ? NO_MARGIN : NONE;
    const noGrade = this.#input.isGradeUnknown?.(this.row) === true ? GRADE_UNKNOWN : NONE;
    if (inAir.length + onLine.length + noMargin.length + noGrade.length === 0) return reasons;
    return [...reasons, ...noGrade, ...noMargin, ...inAir, ...onLine];
  }
  get #isMarginTooDear(): boolean {
    return this.marginM === null && this.#input.isTooDear?.(this.row) === true;
  }

  get lot(): string | null {
    const lot = this.#onLot;
    return lot === null || lot.lot < 0 ? null : (this.#input.lots?.key.at(lot.lot) ?? null);
  }

  get crown(): CrownResult | null {
    if (this.#crown === undefined) {
      const found = crownResult(this.#input.crowns, this.row);
      // There was nothing that a crown could meet: no figure, not 0.
      const isFree = this.#hasWorks || this.#input.hasExisting;
      this.#crown =
        found === null || isFree ? found : { ...found, overlapM2: null, overlapPct: null, arcDegrees: null };
    }
    return this.#crown;
  }

  get worth(): Worth | null {
    if (this.#worth === undefined) this.#worth = treeWorth(this.#input, this.row);
    return this.#worth;
  }

  get #onLot(): LotOfTree | null {
    if (this.#lot === undefined) {
      const { treeLonLat, findLot } = this.#input;
      const at = this.row * 2;
      this.#lot =
        findLot === null ? null : lotOf(this.#input, this.row, given(treeLonLat[at]), given(treeLonLat[at + 1]));
    }
    return this.#lot;
  }

  get #judged(): JudgedTree {
    return this.#input.judged[this.row]!;
  }

  #percent(part: number | null): number | null {
    const area = this.zoneAreaM2;
    return part === null || area === null || area === 0 ? null : Math.min(Math.max((part / area) * 100, 0), 100);
  }
}

/** Grid north, degrees clockwise from true north; null for a survey in lon/lat, which has no grid. */
function gridConvergence(transform: CrsTransform, lon: number, lat: number): number | null {
  return transform.crs.kind === 'projected' ? transform.convergence(lon, lat) : null;
}

function gridBearing(bearing: number | null, convergence: number | null): number | null {
  return bearing === null || convergence === null ? null : (((bearing - convergence) % 360) + 360) % 360;
}

function lotOf(input: ResultInput, row: number, lon: number | null, lat: number | null): LotOfTree | null {
  if (input.findLot === null || lon === null || lat === null) return null;
  return input.findLot(input.frameAt(lon, lat), [lon, lat], trunkOrPoint(input.zones.trunkRadiusM, row));
}

/** What the output says about each layer read. */
export function inputRecords(placed: readonly PlacedLayer[]): InputRecord[] {
  return placed.map(({ role, layer, crs, from }) => ({
    role,
    name: layer.name,
    format: layer.format,
    sha256: layer.sha256,
    crs: `${crs.code} ${crs.name}`,
    crsFrom: from,
    datumOperation: crs.datum.operation,
    datumAccuracyM: crs.datum.accuracyM,
    features: layer.count,
  }));
}

function ringResults(zones: ZoneTable, overlap: OverlapTable, row: number, hasWorks: boolean): TreeResult['rings'] {
  const out: TreeResult['rings'][number][] = [];
  for (let r = 0; r < zones.ringNames.length; r++) {
    const radiusM = zones.ringRadiusM[r]![row]!;
    const taken = overlap.ringOverlapM2[r]![row]!;
    if (Number.isNaN(radiusM) || Number.isNaN(taken)) continue;
    const overlapPct = hasWorks ? Math.min((taken / (Math.PI * radiusM * radiusM)) * 100, 100) : null;
    out.push({ name: zones.ringNames[r]!, radiusM, overlapPct });
  }
  return out;
}

/** One result per row of works, in input order: whether it counts under the rule and option of the main figures. */
export function* worksResults(works: WorksTable, weights: WorksWeights, rule: Rule): Generator<WorksResult> {
  for (let row = 0; row < works.count; row++) {
    const kind = WORKS_KINDS[works.kind[row]!]!;
    const rejected = works.rejected.get(row)?.join(';') ?? weights.whyNot.get(row);
    const isAllowed = rejected === undefined && rule.allowance?.kinds.includes(kind) === true;
    yield {
      row,
      key: works.key.at(row)!,
      kind,
      counted: rejected !== undefined ? 'false' : isAllowed ? 'partly' : 'true',
      countedReason: rejected ?? (isAllowed ? 'allowance' : null),
      repaired: works.repaired.has(row),
    };
  }
}

/** Counts in and out: trees in = assessed + not assessed; works and lots in = taken + rejected. */
export function tally(
  { judged: trees, weights }: { readonly judged: readonly JudgedTree[]; readonly weights: WorksWeights },
  works: WorksTable,
  existing: WorksTable | null,
  lots: LotTable | null,
): Counts {
  const verdicts = verdictCounts(trees, ({ verdict }) => verdict);
  const notAssessed = verdicts['not-assessed'];
  const notCounted = [...weights.whyNot.keys()].filter((row) => !works.rejected.has(row)).length;
  return {
    trees: { in: trees.length, assessed: trees.length - notAssessed, notAssessed },
    works: {
      in: works.count,
      counted: works.count - works.rejected.size - notCounted,
      notCounted,
      rejected: works.rejected.size,
    },
    ...(existing === null
      ? {}
      : {
          existing: {
            in: existing.count,
            accepted: existing.count - existing.rejected.size,
            rejected: existing.rejected.size,
          },
        }),
    lots: {
      in: lots?.count ?? 0,
      accepted: (lots?.count ?? 0) - (lots?.rejected.size ?? 0),
      rejected: lots?.rejected.size ?? 0,
    },
    verdicts,
  };
}
