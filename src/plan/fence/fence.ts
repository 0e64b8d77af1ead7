// Protection fences round trees to be kept. In: trees with zones and verdicts, works, and how shapes are had of them;
// out: a FencePlan in lon/lat. Terms: see model/ (Fence, FenceGate, GroundProtection) and fence/layout.ts.
// A line of temporary works is a way that passes through, with gates; any other temporary works stay outside the fence.

import type { Rectangle } from '../../geometry/index.js';
import {
  commonShape,
  fewerCorners,
  outsideRing,
  type Ring,
  ringBox,
  type Shape,
  shapeArea,
  unionShape,
} from '../../geometry/index.js';
import {
  type Fence,
  type FenceGate,
  type FenceOptions,
  type FencePlan,
  type Frame,
  GEOMETRY_KINDS,
  type GroundProtection,
  InputError,
  type Job,
  type JudgedTree,
  type LonLatRing,
  type LotTable,
  type StopSignal,
  staysByCode,
  WORKS_KINDS,
} from '../../model/index.js';
import { eachEdge, Outline, ringLength } from './edges.js';
import { FenceFindings } from './findings.js';
import { type FencedTree, groupsOf, siteOf } from './groups.js';
import { endsOf, type GroupLayout, layOut } from './layout.js';
import { outsideLots } from './lots.js';
import { NearShapes } from './near.js';

/** Working space where none is given: common practice, no source. */
const WORKING_SPACE_M = 1.5;
/** At most 10 ft between posts: Ramsey MN; Durham NC UDO 8.3.2. */
const POST_SPACING_M = 3.048;
/** How far straight pieces may lie outside a zone: 8 cm for chords, 2 cm where notches between zones are bridged. */
const CHORD_M = 0.08;
const OUTSIDE_M = 0.1;
/** Less of a fence's ground than this in a zone is its line's straight pieces, not ground, square metres. */
const SMALLEST_SHARE_M2 = 0.1;
/** Works are looked at this much beyond what a mitred corner of their working space can reach, metres. */
const ROOM_M = 2;
/** What rounding to millimetres can move inwards. */
const ROUNDING_M = 0.002;

export interface FenceInput extends Pick<Job, 'trees' | 'zones' | 'works' | 'treeLonLat' | 'frameAt'> {
  readonly judged: readonly JudgedTree[];
  readonly options: FenceOptions | undefined;
  /** Looked at before each group, and within. */
  readonly signal?: StopSignal | undefined;
  readonly lots: LotTable | null;
  readonly lotsLonLat: Float64Array; // 2 per vertex of lots.geometry
  /** Rows of works whose shape may come within `reachM` of a box of lon/lat (west, south, east, north). */
  readonly worksNear: (box: readonly [number, number, number, number], reachM: number) => readonly number[];
  /** A row of works as counted: polygons in a frame, from a place on, as they are within a box about that place. */
  readonly worksRings: (
    row: number,
    frame: Frame,
    x: number,
    y: number,
    box: Rectangle,
  ) => readonly (readonly Ring[])[];
  /** The zone that an arborist drew for a tree; null where there is none. */
  readonly drawnZone: (row: number, frame: Frame, x: number, y: number) => readonly (readonly Ring[])[] | null;
}

/**
 * Lays out the fences of all trees that are to be kept and were assessed.
 *
 * @throws InputError `fence-options` (usage) on a working space below 0 or a spacing of posts that is not above 0
 */
export function fencePlan(input: FenceInput): FencePlan {
  const workingSpaceM = input.options?.workingSpaceM ?? WORKING_SPACE_M;
  const postSpacingM = input.options?.postSpacingM ?? POST_SPACING_M;
  if (!(workingSpaceM >= 0 && workingSpaceM <= 100) || !(postSpacingM > 0.1)) {
    throw new InputError('fence-options', `fences can't be laid out with ${workingSpaceM} m and ${postSpacingM} m`, {
      cure: 'give a working space from 0 to 100 m and more than 0.1 m between posts',
      usage: true,
    });
  }
  const plan = new PlanBuilder(input, workingSpaceM, postSpacingM);
  for (const group of groupsOf(treesToFence(input, plan), input.frameAt)) {
    input.signal?.throwIfAborted();
    plan.add(group);
  }
  return plan.result();
}

/** Trees to be kept, assessed, and not standing in the works: those can't be kept where they stand. */
function treesToFence(input: FenceInput, plan: PlanBuilder): FencedTree[] {
  const { trees, zones, treeLonLat, judged } = input;
  const out: FencedTree[] = [];
  for (let row = 0; row < trees.count; row++) {
    const radius = zones.radiusM[row]!;
    const verdict = judged[row]?.verdict;
    if (!staysByCode(trees.disposition[row]!) || verdict === 'not-assessed') continue;
    if (verdict === 'stem-in-works') plan.leaves(row, 'its trunk stands in the works');
    else if (radius > 0) {
      const [lon, lat] = [treeLonLat[row * 2]!, treeLonLat[row * 2 + 1]!];
      out.push({ row, lon, lat, reachM: reachOf(input, row, lon, lat) });
    }
  }
  return out;
}

/** How far a fence can stand from the trunk: of a drawn zone, its farthest corner. */
function reachOf(input: FenceInput, row: number, lon: number, lat: number): number {
  const frame = input.frameAt(lon, lat);
  const at = Float64Array.of(lon, lat);
  frame.toFrame(at, at);
  const drawn = input.drawnZone(row, frame, at[0]!, at[1]!);
  if (drawn === null) return input.zones.radiusM[row]! + OUTSIDE_M + ROUNDING_M;
  let most = 0;
  for (const ring of drawn.flat()) {
    for (let i = 0; i < ring.length; i += 2) most = Math.max(most, Math.hypot(ring[i]!, ring[i + 1]!));
  }
  return most + OUTSIDE_M;
}

class PlanBuilder {
  readonly #input: FenceInput;
  readonly #spaceM: number;
  readonly #spacingM: number;
  readonly #fences: Fence[] = [];
  readonly #gates: FenceGate[] = [];
  readonly #ground: GroundProtection[] = [];
  readonly #told: FenceFindings;

  constructor(input: FenceInput, spaceM: number, spacingM: number) {
    this.#input = input;
    this.#spaceM = spaceM;
    this.#spacingM = spacingM;
    this.#told = new FenceFindings(input);
  }

  leaves(row: number, why: string): void {
    this.#told.leaves(row, why);
  }

  add(group: readonly FencedTree[]): void {
    const { works, signal } = this.#input;
    const look = signal && (() => signal.throwIfAborted());
    const { frame, x, y } = siteOf(group, this.#input.frameAt);
    const rows = this.#input.worksNear(boxOf(group), Math.max(...group.map((t) => t.reachM)) + 2 * this.#spaceM + 1);
    const places = group.map((tree) => this.#placeOf(tree, frame, x, y));
    const about = boxAbout(group, places, 2 * this.#spaceM + ROOM_M);
    const shapes = new Map<number, Shape>();
    for (const row of rows) {
      if (works.rejected.has(row) || works.kind[row] === BORE) continue; // a bore passes below the fence
      const shape = unionShape(this.#input.worksRings(row, frame, x, y, about), look);
      if (shape.length > 0) shapes.set(row, shape);
    }
    const of = (test: (row: number) => boolean): Shape[] => [...shapes].filter(([row]) => test(row)).map(([, s]) => s);
    const temporary = (row: number): boolean => works.temporary[row] === 1;
    const isSolid = (row: number): boolean => SOLID.includes(works.kind[row]!);
    const isLine = (row: number): boolean => LINES.includes(works.geometry.kind[row]!);
    const zones = group.map((tree, i) => this.#zoneOf(tree, places[i]!, frame, x, y));
    const layout = layOut({
      zones: zones.flat(),
      solid: of((row) => !temporary(row) && isSolid(row)),
      flat: of((row) => !temporary(row) && !isSolid(row)),
      ways: of((row) => temporary(row) && isLine(row)),
      workingSpaceM: this.#spaceM,
      look,
    });
    const stands = group.map(({ row }, i) => ({
      row,
      at: places[i]!,
      radiusM: this.#input.zones.radiusM[row]!,
    }));
    for (const [row, shape] of shapes)
      if (temporary(row)) this.#told.temporary(row, isLine(row), shape, layout.zone, stands);
    this.#take(layout, group, places, zones, shapes, (flat) => toLonLat(flat, frame, x, y));
  }

  result(): FencePlan {
    const { lots, lotsLonLat, frameAt } = this.#input;
    const outside = lots === null ? null : outsideLots(this.#fences, lots, lotsLonLat, frameAt);
    const fences = this.#fences.map((fence, i) => ({ ...fence, outsideLotsM: outside?.[i] ?? null }));
    this.#told.beyond(fences);
    return {
      workingSpaceM: this.#spaceM,
      postSpacingM: this.#spacingM,
      outsideM: OUTSIDE_M,
      fences,
      gates: this.#gates,
      groundProtection: this.#ground,
      findings: this.#told.all(),
    };
  }

  #placeOf({ lon, lat }: FencedTree, frame: Frame, x: number, y: number): Place {
    const at = Float64Array.of(lon, lat);
    frame.toFrame(at, at);
    return [at[0]! - x, at[1]! - y];
  }

  #zoneOf({ row }: FencedTree, [tx, ty]: Place, frame: Frame, x: number, y: number): readonly (readonly Ring[])[] {
    const drawn = this.#input.drawnZone(row, frame, x, y);
    if (drawn !== null) return drawn.map((polygon) => polygon.map((ring) => fewerCorners(ring, CHORD_M)));
    const { quarters, radiusM } = this.#input.zones;
    const r = radiusM[row]!;
    const radii = quarters.get(row) ?? ([r, r, r, r] as const);
    const turn = quarters.has(row) ? (-frame.convergence(tx + x, ty + y) * Math.PI) / 180 : 0;
    const wider = radii.map((one) => one + ROUNDING_M) as [number, number, number, number];
    return [[outsideRing(wider, turn, CHORD_M).map((value, i) => value + (i % 2 === 0 ? tx : ty))]];
  }

  #take(
    layout: GroupLayout,
    group: readonly FencedTree[],
    places: readonly Place[],
    zones: readonly Shape[],
    shapes: ReadonlyMap<number, Shape>,
    toEarth: (flat: readonly number[]) => LonLatRing,
  ): void {
    const ground = Outline.of(layout.fenced.map(({ rings }) => rings));
    const around = places.map(([tx, ty]) => ground.around(tx, ty));
    const fenced = layout.fenced
      .map((one, i) => ({ ...one, trees: group.filter((_, k) => around[k] === i).map(({ row }) => row) }))
      .sort((a, b) => firstTree(a) - firstTree(b) || southWest(a.rings, b.rings));
    const first = this.#fences.length;
    const lines = Outline.of(fenced.map(({ rings }) => rings));
    let known: NearShapes | undefined;
    const near = (line: readonly number[]): number[] => {
      known ??= new NearShapes(shapes);
      return known.near(line, this.#spaceM + 0.1);
    };
    const gates = layout.gates.map(({ line, lengthM }): FenceGate => {
      const met = endsOf({ line }).map(([gx, gy]) => lines.at(gx, gy, 0.02));
      const fences = [...new Set(met.filter((i) => i >= 0).map((i) => first + i))].sort((a, b) => a - b);
      return { fences, works: near(line), line: toEarth(line), lengthM };
    });
    fenced.forEach(({ rings, alongWorksM, trees }, i) => {
      const box = ringBox(rings[0] ?? []);
      const holds = (zone: Shape): boolean =>
        zone.some(([shell = []]) => boxesMeet(ringBox(shell), box)) &&
        shapeArea(commonShape(zone, [rings])) > SMALLEST_SHARE_M2;
      this.#fences.push({
        trees,
        zoneTrees: trees.length > 0 ? [] : group.filter((_, k) => holds(zones[k]!)).map(({ row }) => row),
        outsideLotsM: null,
        shape: [rings.map((ring) => closed(toEarth(ring)))],
        areaM2: shapeArea([rings]),
        lengthM: rings.reduce((sum, ring) => sum + ringLength(ring), 0),
        alongWorksM,
        posts: rings.reduce((sum, ring) => sum + postsOf(ring, this.#spacingM), 0),
        gates: gates.filter(({ fences }) => fences.includes(first + i)).length,
      });
    });
    this.#gates.push(...gates);
    for (const polygon of layout.ground) {
      this.#ground.push({
        works: near((polygon[0] ?? []).concat((polygon[0] ?? []).slice(0, 2))),
        shape: [polygon.map((ring) => closed(toEarth(ring)))],
        areaM2: shapeArea([polygon]),
      });
    }
    const inside = new Set(fenced.flatMap(({ trees }) => trees));
    for (const { row } of group) {
      if (!inside.has(row)) this.leaves(row, 'works and their working space come to its trunk');
    }
    if (!layout.exact) this.#told.approximate(group[0]!.row);
  }
}

type Place = readonly [number, number];

const BORE = WORKS_KINDS.indexOf('bore');
/** Kinds that leave no way through: nobody hangs a gate across them. */
const SOLID: readonly number[] = (['building', 'excavation', 'fill'] as const).map((kind) => WORKS_KINDS.indexOf(kind));
const LINES: readonly number[] = [GEOMETRY_KINDS.indexOf('line'), GEOMETRY_KINDS.indexOf('multiline')];

/** A post at every corner, and between so that none is farther from the next than the spacing. */
function postsOf(ring: Ring, spacingM: number): number {
  let posts = 0;
  eachEdge(ring, (length) => {
    posts += Math.max(1, Math.ceil(length / spacingM - 1e-9));
  });
  return posts;
}

/** Fences in the order of their first tree; those of ground without a trunk come last. */
function firstTree({ trees }: { readonly trees: readonly number[] }): number {
  return trees[0] ?? Number.MAX_SAFE_INTEGER;
}

function southWest(a: readonly Ring[], b: readonly Ring[]): number {
  const [[ax = 0, ay = 0] = [], [bx = 0, by = 0] = []] = [a[0], b[0]];
  return ay - by || ax - bx;
}

/** The box of the zones of a group, with room about them. */
function boxAbout(group: readonly FencedTree[], places: readonly Place[], roomM: number): Rectangle {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  places.forEach(([x, y], i) => {
    const reach = group[i]!.reachM + roomM;
    [west, south] = [Math.min(west, x - reach), Math.min(south, y - reach)];
    [east, north] = [Math.max(east, x + reach), Math.max(north, y + reach)];
  });
  return [west, south, east, north];
}

function boxesMeet(a: Rectangle, b: Rectangle): boolean {
  return a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3];
}

function boxOf(group: readonly FencedTree[]): [number, number, number, number] {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const { lon, lat } of group) {
    [west, east] = [Math.min(west, lon), Math.max(east, lon)];
    [south, north] = [Math.min(south, lat), Math.max(north, lat)];
  }
  return [west, south, east, north];
}

function toLonLat(flat: readonly number[], frame: Frame, x: number, y: number): LonLatRing {
  const xy = Float64Array.from(flat, (value, i) => value + (i % 2 === 0 ? x : y));
  frame.toLonLat(xy, xy);
  const out: [number, number][] = [];
  for (let i = 0; i < xy.length; i += 2) out.push([xy[i]!, xy[i + 1]!]);
  return out;
}

function closed(ring: LonLatRing): LonLatRing {
  return [...ring, ring[0]!];
}
