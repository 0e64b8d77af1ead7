// The fences of one group. In: zones and works as shapes, metres from one place; out: fenced ground, gates, ground outside.
// Terms: zone = union of the zones of the group, its straight pieces outside the curves; taken = works with the working
// space round them; fenced = zone less taken; mouth = a piece of the zone's outline inside the taken ground; ground = zone
// between fence and works. Fence, mouths and ground are parts of one partition, so that none can cross another.

import { backwards } from '../../geometry/ring.js';
import {
  commonShape,
  lessBySecond,
  lessShape,
  type Ring,
  type Shape,
  shapeArea,
  simplerRing,
  unionShape,
  widenedShape,
} from '../../geometry/shapes.js';
import { Outline, type Run, ringLength, runsOn } from './edges.js';

/** A notch this shallow between zones is bridged, metres: two stakes a finger apart help nobody. */
const NOTCH_M = 0.02;
/** Corners of works within this of a straight line are left out; the working space is widened by as much. */
const SIMPLER_M = 0.05;
/** Less ground than this is not fenced off by itself, square metres; it is protected as ground outside the fence. */
const SMALLEST_FENCED_M2 = 1;
const SMALLEST_GROUND_M2 = 0.05;
/** The widest gate, metres: two leaves for plant (common practice, no source). A wider mouth is closed beside the works. */
const WIDEST_GATE_M = 8;
/** Ends of lines this near to each other meet. */
const MEET_M = 0.01;

export interface GroupScene {
  /** Zones of the trees, each outside its curve. */
  readonly zones: readonly (readonly Ring[])[];
  /** Works that stay, each row united. */
  readonly works: readonly Shape[];
  /** Temporary ways that pass through: gates open on them, and the ground under them is protected. */
  readonly ways: readonly Shape[];
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
  const taken = takenBy([...scene.works, ...scene.ways], scene.workingSpaceM);
  const zone = withoutPockets(smooth(unionShape(scene.zones)), taken);
  const { kept, lost, exact } = divided(zone, taken);
  const standing = unionShape(scene.works.flat());
  const ground = lessShape(lost, standing).filter((polygon) => shapeArea([polygon]) > SMALLEST_GROUND_M2);
  const edge = Outline.of(zone);
  return {
    zone,
    fenced: kept.map((polygon) => {
      const rings = polygon.map(fromSouthWest);
      const outer = rings.flatMap((ring) => runsOn(ring, edge)).reduce((sum, run) => sum + run.lengthM, 0);
      return { rings, alongWorksM: Math.max(rings.reduce((sum, ring) => sum + ringLength(ring), 0) - outer, 0) };
    }),
    gates:
      kept.length === 0 ? [] : gatesOf(lost, lessShape(lost, unionShape([...scene.works, ...scene.ways].flat())), edge),
    ground: ground.map((polygon) => polygon.map(fromSouthWest)),
    exact,
  };
}

/** Works with their working space; rings of many corners are made simpler first, and that much is added. */
function takenBy(works: readonly Shape[], spaceM: number): Shape {
  const polygons: (readonly Ring[])[] = [];
  for (const polygon of unionShape(works.flat())) {
    const simpler = polygon.map((ring) => simplerRing(ring, SIMPLER_M));
    const changed = simpler.some((ring, i) => ring.length !== (polygon[i] as Ring).length);
    polygons.push(...widenedShape([changed ? simpler : polygon], spaceM + (changed ? SIMPLER_M : 0)));
  }
  return unionShape(polygons);
}

/** Ground that zones enclose is fenced with them, unless works reach into it. */
function withoutPockets(zone: Shape, taken: Shape): Shape {
  return zone.map(([shell = [], ...holes]) => [
    shell,
    ...holes.filter((hole) => commonShape([[backwards(hole)]], taken).length > 0),
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
    const [ax, ay] = [ring[(i + n - 2) % n] as number, ring[(i + n - 1) % n] as number];
    const [bx, by] = [ring[i] as number, ring[i + 1] as number];
    const [cx, cy] = [ring[(i + 2) % n] as number, ring[(i + 3) % n] as number];
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
 * The zone parted by the taken ground; a second engine is asked when the parts do not add up to the whole. Both parts come
 * from the same two outlines: taken from each other, their rounded corners would leave slivers along the edges.
 */
function divided(zone: Shape, taken: Shape): { readonly kept: Shape; readonly lost: Shape; readonly exact: boolean } {
  const whole = shapeArea(zone);
  const allowed = 0.002 * zone.flat().reduce((sum, ring) => sum + ringLength(ring), 0) + 0.01;
  const inTaken = commonShape(zone, taken);
  let first: Shape | undefined;
  let exact = false;
  for (const less of [lessShape, lessBySecond]) {
    let all: Shape;
    try {
      all = less(zone, taken);
    } catch {
      continue; // the second engine throws on some inputs
    }
    first ??= all;
    exact = Math.abs(shapeArea(all) + shapeArea(inTaken) - whole) <= allowed;
    if (exact) {
      first = all;
      break;
    }
  }
  const isSmall = (polygon: Shape[number]): boolean => shapeArea([polygon]) < SMALLEST_FENCED_M2;
  const parts = first ?? [];
  const lost = unionShape([...inTaken, ...parts.filter(isSmall)]);
  return { kept: parts.filter((polygon) => !isSmall(polygon)), lost, exact };
}

/**
 * Gates in the mouths that works pass through. A narrow mouth is one gate; of a wide one the strips between works and fence
 * are gates. `free` is the lost ground without the works themselves.
 */
function gatesOf(lost: Shape, free: Shape, edge: Outline): Gate[] {
  const open = (run: Run): boolean => !run.closed; // else the whole outline is taken: nothing is fenced there
  const mouths = lost.flat().flatMap((ring) => runsOn(ring, edge).filter(open));
  const strips = free.flat().flatMap((ring) => runsOn(ring, edge).filter(open));
  const lines = new Outline(
    mouths.map(({ line }) => line),
    mouths.map((_, i) => i),
    false,
  );
  const beside = mouths.map((): Run[] => []);
  for (const strip of strips) {
    const [ax, ay, bx, by] = strip.line as unknown as [number, number, number, number];
    beside[lines.at((ax + bx) / 2, (ay + by) / 2)]?.push(strip);
  }
  return mouths.flatMap((mouth, i): Gate[] => {
    const own = beside[i] as Run[];
    const free = own.reduce((sum, strip) => sum + strip.lengthM, 0);
    if (free > mouth.lengthM - 0.05) return []; // only working space reaches in here, no works
    if (mouth.lengthM <= WIDEST_GATE_M) return [mouth];
    const ends = endsOf(mouth);
    return own.filter(
      (strip) =>
        strip.lengthM > 2 * MEET_M &&
        strip.lengthM <= WIDEST_GATE_M &&
        endsOf(strip).some((a) => ends.some((b) => meet(a, b))),
    );
  });
}

export type Place = readonly [number, number];

export function endsOf({ line }: { readonly line: readonly number[] }): readonly [Place, Place] {
  return [
    [line[0] as number, line[1] as number],
    [line.at(-2) as number, line.at(-1) as number],
  ];
}

function meet(a: Place, b: Place): boolean {
  return Math.hypot(a[0] - b[0], a[1] - b[1]) <= MEET_M;
}

/** The same ring from its southwesternmost corner on, so that numbers of stakes do not depend on the engine. */
function fromSouthWest(ring: Ring): Ring {
  let first = 0;
  for (let i = 2; i < ring.length; i += 2) {
    const dy = (ring[i + 1] as number) - (ring[first + 1] as number);
    if (dy < 0 || (dy === 0 && (ring[i] as number) < (ring[first] as number))) first = i;
  }
  return [...ring.slice(first), ...ring.slice(0, first)];
}
