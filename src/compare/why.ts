// Why a verdict changed. In: what changed of settings, of works, of the tree itself; out: all of it that bears on this tree.
// Terms: zone = as it is drawn in the file, else the circle of its radius, of either file; bears = the ground that works took
// or freed, or all of a piece that changed otherwise, lies in a zone. Cost: an index of the changed works, then the few near
// each tree whose verdict changed.

import { BoxIndex, circleRing, commonShape, type Shape, shapeArea, unionOfMany } from '../geometry/index.js';
import type {
  Cause,
  Frame,
  LonLatPolygons,
  SettingChange,
  SubmittedTree,
  VerdictChange,
  WorksChange,
} from '../model/index.js';
import { Plane } from './ground.js';
import { WORDING } from './settings.js';
import type { TreePair } from './trees.js';
import { boxOf } from './works.js';

/** Options that no verdict turns on. */
const NO_VERDICT = /^(fences|mitigation|treeFacts|soil|limbs|clearanceM|surveyAgeMonths|today|margins|dbhAccuracyM)\b/;
/** Fields of a tree that zones and limits may turn on. */
const BEARING: ReadonlySet<string> = new Set([
  'stems',
  'girth',
  'base_dia',
  'species',
  'form',
  'age',
  'tolerance',
  'veteran',
  'category',
  'condition',
  'protected',
  'height',
  'crown_radius',
  'crown_spread',
  'crown_n',
  'crown_e',
  'crown_s',
  'crown_w',
  'zone_radius',
  'outline',
]);
/** Of a tree without a zone the trunk alone counts. */
const TRUNK_M = 0.5;
/** A circle of the zone as chords, which miss it by at most this. */
const CHORD_M = 0.001;

/** The verdicts that changed, with the reasons. */
export class Why {
  readonly #general: readonly Cause[];
  readonly #works: readonly WorksChange[];
  readonly #grounds: readonly LonLatPolygons[];
  readonly #index: BoxIndex;
  readonly #zones: readonly [ReadonlyMap<number, LonLatPolygons>, ReadonlyMap<number, LonLatPolygons>];
  readonly #frameOf: (lon: number, lat: number) => Frame;

  constructor(
    settings: readonly SettingChange[],
    works: readonly WorksChange[],
    zones: readonly [ReadonlyMap<number, LonLatPolygons>, ReadonlyMap<number, LonLatPolygons>],
    frameOf: (lon: number, lat: number) => Frame,
  ) {
    this.#general = settings
      .filter(({ kind, name }) => (kind === 'option' ? !NO_VERDICT.test(name) : name !== WORDING))
      .map(({ kind, name }) => ({ code: `${kind}-changed`, of: name }));
    this.#works = works;
    this.#grounds = works.map(groundOf);
    this.#index = new BoxIndex(new Float64Array(this.#grounds.flatMap(boxOf)));
    this.#zones = zones;
    this.#frameOf = frameOf;
  }

  /** The change of a pair's verdict; null where it is the same. */
  of(pair: TreePair): VerdictChange | null {
    const { before, after } = pair;
    if (before.verdict === after.verdict) return null;
    const own = ownCauses(pair);
    const causes = [...this.#general, ...own, ...this.#worksCauses(before, after)];
    if (causes.length === 0 && before.zoneRadiusM !== after.zoneRadiusM)
      causes.push({ code: 'zone-changed', of: null });
    return {
      before: before.verdict,
      after: after.verdict,
      overlapPctBefore: before.overlapPct,
      overlapPctAfter: after.overlapPct,
      why: causes.length === 0 ? [{ code: 'not-found', of: null }] : causes,
    };
  }

  #worksCauses(before: SubmittedTree, after: SubmittedTree): Cause[] {
    const place = before.lon === null || before.lat === null ? after : before;
    if (place.lon === null || place.lat === null) return [];
    const plane = new Plane(this.#frameOf(place.lon, place.lat), place.lon, place.lat);
    const zone = unionOfMany([...this.#zoneOf(before, 0, plane), ...this.#zoneOf(after, 1, plane)]);
    const [west, south, east, north] = boxOf(plane.lonLat(zone));
    const count = this.#index.search(west, south, east, north);
    const near = Array.from(this.#index.found.subarray(0, count)).sort((a, b) => a - b);
    return near
      .filter((i) => shapeArea(commonShape(zone, unionOfMany(plane.shape(this.#grounds[i]!)))) > 0)
      .flatMap((i) => worksCauses(this.#works[i]!));
  }

  #zoneOf(tree: SubmittedTree, side: 0 | 1, plane: Plane): Shape {
    const drawn = this.#zones[side].get(tree.row);
    if (drawn !== undefined && drawn.length > 0) return plane.shape(drawn);
    if (tree.lon === null || tree.lat === null) return [];
    const [x = 0, y = 0] = plane.metres([tree.lon, tree.lat]);
    const ring = circleRing(tree.zoneRadiusM ?? TRUNK_M, CHORD_M);
    return [[Array.from(ring, (value, i) => value + (i % 2 === 0 ? x : y))]];
  }
}

/** The ground on which a change of works tells: what it took and freed, or all of it. */
function groundOf({ before, after, change, fields, ground }: WorksChange): LonLatPolygons {
  if (change === 'changed' && fields.length === 0) return [...ground.taken, ...ground.freed];
  return [...(before?.shape ?? []), ...(after?.shape ?? [])];
}

function ownCauses({ move, fields }: TreePair): Cause[] {
  const causes: Cause[] = move === null ? [] : [{ code: 'tree-moved', of: null }];
  for (const { field, is, quantity } of fields) {
    if (quantity === 'diameter') causes.push({ code: 'diameter-changed', of: null });
    else if (is === 'disposition') causes.push({ code: 'disposition-changed', of: null });
    else if (is !== null && BEARING.has(is)) causes.push({ code: 'field-changed', of: field });
  }
  return causes;
}

/** Everything about one piece, by what it is: a house may move and be dug deeper at once. */
function worksCauses({ role, change, label, move, reshaped, fields }: WorksChange): Cause[] {
  if (role === 'existing') return [{ code: 'existing-changed', of: label }];
  if (change === 'added') return [{ code: 'works-added', of: label }];
  if (change === 'removed') return [{ code: 'works-removed', of: label }];
  if (change === 'unclear') return [{ code: 'works-changed', of: label }];
  const causes: Cause['code'][] = [];
  if (move !== null) causes.push('works-moved');
  if (reshaped) causes.push('works-reshaped');
  for (const { is } of fields) {
    if (is === 'kind') causes.push('works-kind-changed');
    else if (is === 'depth') causes.push('works-depth-changed');
    else if (is !== null && is !== 'id') causes.push('works-changed');
  }
  return [...new Set(causes)].map((code) => ({ code, of: label }));
}
