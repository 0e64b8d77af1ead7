// The fences of one group. In: zones and works as shapes, metres from one place; out: fenced ground, gates, ground outside.
// Terms: zone = union of the zones of the group, its straight pieces outside the curves; taken = works with the working
// space round them; fenced = zone less taken; mouth = a piece of the zone's outline inside the taken ground; ground = zone
// between fence and works. Fence, mouths and ground are parts of one partition, so that none can cross another.

import {
  backwards,
  commonShape,
  lessShape,
  lessTurned,
  movedBoundary,
  quadAt,
  type Ring,
  type Shape,
  shapeArea,
  simplerRing,
  unionOfMany,
  unionShape,
  widenedShape,
} from '../../geometry/index.js';
import { Outline, type Run, ringLength, runsOn } from './edges.js';
import { Standing, type WorksOfSorts } from './standing.js';

/** A notch this shallow between zones is bridged, metres: two stakes a finger apart help nobody. */
const NOTCH_M = 0.02;
/** Corners of works within this of a straight line are left out; the working space is widened by as much. */
const SIMPLER_M = 0.05;
/** An outline that has more corners than this even so is widened by this much, metres, before the working space is laid round it. */
const MANY_CORNERS = 4000;
const GAP_M = 0.05;
/** Steps of that between two looks: less than a tenth of a second. */
const LOOK_EVERY = 250_000;
/** Less ground than this is not fenced off by itself, square metres; it is protected as ground outside the fence. */
const SMALLEST_FENCED_M2 = 1;
const SMALLEST_GROUND_M2 = 0.05;
/** The widest gate, metres: two leaves for plant (common practice, no source). A wider mouth is closed beside the works. */
const WIDEST_GATE_M = 8;
/** Ends of lines this near to each other meet. */
const MEET_M = 0.01;

/** Works that stay come united row by row: buildings, pits and fill leave no way through. */
export interface GroupScene extends WorksOfSorts {
  /** Zones of the trees, each outside its curve. */
  readonly zones: readonly (readonly Ring[])[];
  readonly workingSpaceM: number;
}

export interface Gate {
  readonly line: readonly number[]; // flat x, y
  readonly lengthM: number;
}

export interface GroupLayout {
  readonly zone: Shape;
  readonly fenced: readonly { readonly rings: readonly Ring[]; readonly alongWorksM: number }[];
  readonly gates: readonly Gate[];
  readonly ground: Shape;
  /** Whether the areas of the parts add up to the whole. */
  readonly exact: boolean;
}

export function layOut(scene: GroupScene): GroupLayout {
  const { look } = scene;
  const works = new Standing(scene);
  const taken = takenBy(works.union(true, true), scene.workingSpaceM, look);
  const zone = withoutPockets(smooth(unionOfMany(withoutTwins(scene.zones), look)), taken, look);
  const inTaken = commonShape(zone, taken, look);
  if (inTaken.length === 0) return { zone, fenced: zone.map(undisturbed), gates: [], ground: [], exact: true };
  const { kept, lost, exact } = divided(zone, taken, inTaken, look);
  const ground = works.without(lost, true, false).filter((polygon) => shapeArea([polygon]) > SMALLEST_GROUND_M2);
  const edge = Outline.of(zone);
  return {
    zone,
    fenced: kept.map((polygon) => {
      const rings = polygon.map(fromSouthWest);
      const outer = rings.flatMap((ring) => runsOn(ring, edge)).reduce((sum, run) => sum + run.lengthM, 0);
      return { rings, alongWorksM: Math.max(rings.reduce((sum, ring) => sum + ringLength(ring), 0) - outer, 0) };
    }),
    gates: kept.length === 0 ? [] : gatesOf(lost, works, edge).map(({ line, lengthM }) => ({ line, lengthM })),
    ground: ground.map((polygon) => polygon.map(fromSouthWest)),
    exact,
  };
}

/** Zones without those that are another's to the last bit: stems of one clump. */
function withoutTwins(zones: GroupScene['zones']): GroupScene['zones'] {
  const kept = new Map<string, GroupScene['zones'][number]>();
  for (const zone of zones) kept.set(zone.map((ring) => ring.join(' ')).join(';'), zone);
  return [...kept.values()];
}

/** Fenced ground that no works come near. */
function undisturbed(polygon: readonly Ring[]): GroupLayout['fenced'][number] {
  return { rings: polygon.map(fromSouthWest), alongWorksM: 0 };
}

/** Works with their working space; rings of many corners are made simpler first, and that much is added. */
function takenBy(works: Shape, spaceM: number, look: (() => void) | undefined): Shape {
  const polygons: (readonly Ring[])[] = [];
  for (const polygon of works) {
    look?.();
    const simpler = polygon.map((ring) => simplerRing(ring, SIMPLER_M));
    const closed = cornersOf(simpler) > MANY_CORNERS ? withoutGaps(polygon, look) : simpler;
    const changed = closed.some((ring, i) => ring.length !== polygon[i]?.length);
    polygons.push(...widenedShape([changed ? closed : polygon], spaceM + (changed ? SIMPLER_M : 0)));
  }
  return unionShape(polygons, look);
}

/**
 * An outline of thousands of teeth, wider by GAP_M and made simpler again: gaps of less than twice of that are gone. The
 * engine's offset takes time by the square of the teeth that it meets at one height, and can't be stopped meanwhile.
 */
function withoutGaps(polygon: readonly Ring[], look: (() => void) | undefined): Ring[] {
  let steps = 0;
  const wider = movedBoundary(polygon, GAP_M, (more) => {
    steps += more;
    if (steps < LOOK_EVERY) return;
    steps = 0;
    look?.();
  });
  return (wider ?? polygon).map((ring) => simplerRing(ring, SIMPLER_M));
}

function cornersOf(rings: readonly Ring[]): number {
  return rings.reduce((sum, ring) => sum + ring.length / 2, 0);
}

/** Ground that zones enclose is fenced with them, unless works reach into it. */
function withoutPockets(zone: Shape, taken: Shape, look: (() => void) | undefined): Shape {
  return zone.map(([shell = [], ...holes]) => [
    shell,
    ...holes.filter((hole) => commonShape([[backwards(hole)]], taken, look).length > 0),
  ]);
}

/** Bridges shallow notches: a corner that points inwards by less than NOTCH_M; never two neighbours, so nothing adds up. */
function smooth(shape: Shape): Shape {
  return shape.map((polygon) => polygon.map(smoothRing));
}

function smoothRing(ring: Ring): Ring {
  const out: number[] = [];
  const n = ring.length;
  let lastLeft = false;
  for (let i = 0; i < n; i += 2) {
    const [ax, ay] = [ring[(i + n - 2) % n]!, ring[(i + n - 1) % n]!];
    const [bx, by] = [ring[i]!, ring[i + 1]!];
    const [cx, cy] = [ring[(i + 2) % n]!, ring[(i + 3) % n]!];
    const cross = (bx - ax) * (cy - by) - (by - ay) * (cx - bx);
    const shallow = cross < 0 && -cross <= NOTCH_M * Math.hypot(cx - ax, cy - ay);
    if (shallow && !lastLeft && i + 2 < n && n > 8) lastLeft = true;
    else {
      out.push(bx, by);
      lastLeft = false;
    }
  }
  return out;
}

/**
 * The zone parted by the taken ground; once more, turned, when the parts do not add up to the whole. Both parts come
 * from the same two outlines: taken from each other, their rounded corners would leave slivers along the edges.
 */
function divided(
  zone: Shape,
  taken: Shape,
  inTaken: Shape,
  look: (() => void) | undefined,
): { readonly kept: Shape; readonly lost: Shape; readonly exact: boolean } {
  const whole = shapeArea(zone);
  const allowed = 0.002 * zone.flat().reduce((sum, ring) => sum + ringLength(ring), 0) + 0.01;
  let first: Shape | undefined;
  let exact = false;
  for (const less of [lessShape, lessTurned]) {
    const all = less(zone, taken, look);
    first ??= all;
    exact = Math.abs(shapeArea(all) + shapeArea(inTaken) - whole) <= allowed;
    if (exact) {
      first = all;
      break;
    }
  }
  const isSmall = (polygon: Shape[number]): boolean => shapeArea([polygon]) < SMALLEST_FENCED_M2;
  const parts = first ?? [];
  const lost = unionShape([...inTaken, ...parts.filter(isSmall)], look);
  return { kept: parts.filter((polygon) => !isSmall(polygon)), lost, exact };
}

/**
 * Gates in the mouths that works pass through. A narrow mouth is one gate; of a wide one, and of one that a building or a pit
 * fills in part, the strips between works and fence are gates.
 */
function gatesOf(lost: Shape, works: Standing, edge: Outline): Gate[] {
  const mouths = openRuns(lost, edge);
  const free = beside(mouths, works.without(lost, true, true), edge);
  const passable = beside(mouths, works.without(lost, false, false), edge);
  return mouths.flatMap((mouth, i): Gate[] => {
    const whole = (runs: readonly Run[]): boolean => lengthOf(runs) > mouth.lengthM - 0.05;
    const [around, through] = [free[i]!, passable[i]!];
    if (whole(around)) return []; // only working space reaches in here, no works
    if (whole(through) && mouth.lengthM <= WIDEST_GATE_M) return [mouth];
    return endsOf(mouth).flatMap((end): Run[] => {
      const at = (runs: readonly Run[]): Run | undefined => runs.find((run) => endsOf(run).some((e) => meet(e, end)));
      const gate = [at(through), at(around)].find((run) => run !== undefined && run.lengthM <= WIDEST_GATE_M);
      return gate !== undefined && gate.lengthM > 2 * MEET_M ? [gate] : [];
    });
  });
}

/** Runs of a shape's rings on an outline, but for rings that lie on it wholly: there nothing is fenced. */
function openRuns(shape: Shape, edge: Outline): Run[] {
  return shape.flat().flatMap((ring) => runsOn(ring, edge).filter((run) => !run.closed));
}

/** Per mouth, the runs of a shape that lie in it. */
function beside(mouths: readonly Run[], shape: Shape, edge: Outline): Run[][] {
  const lines = new Outline(
    mouths.map(({ line }) => line),
    mouths.map((_, i) => i),
    false,
  );
  const out = mouths.map((): Run[] => []);
  for (const run of openRuns(shape, edge)) {
    const [ax, ay, bx, by] = quadAt(run.line);
    out[lines.at((ax + bx) / 2, (ay + by) / 2)]?.push(run);
  }
  return out;
}

function lengthOf(runs: readonly Run[]): number {
  return runs.reduce((sum, run) => sum + run.lengthM, 0);
}

export type Place = readonly [number, number];

export function endsOf({ line }: { readonly line: readonly number[] }): readonly [Place, Place] {
  return [
    [line[0]!, line[1]!],
    [line.at(-2)!, line.at(-1)!],
  ];
}

function meet(a: Place, b: Place): boolean {
  return Math.hypot(a[0] - b[0], a[1] - b[1]) <= MEET_M;
}

/** The same ring from its southwesternmost corner on, so that numbers of stakes do not depend on the engine. */
function fromSouthWest(ring: Ring): Ring {
  let first = 0;
  for (let i = 2; i < ring.length; i += 2) {
    const dy = ring[i + 1]! - ring[first + 1]!;
    if (dy < 0 || (dy === 0 && ring[i]! < ring[first]!)) first = i;
  }
  return [...ring.slice(first), ...ring.slice(0, first)];
}
