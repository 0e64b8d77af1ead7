// Shapes that are drawn on the page, in the plane. In: places and lengths in metres, angles in degrees; out: flat rings
// x, y, x, y ... without the first corner again. Terms: bearing = degrees clockwise from the plane's y axis; turn = how far the next
// side bears right of the one before.

export type Place = readonly [x: number, y: number];

/** One tape line from a known place. */
export interface Tie {
  readonly from: Place;
  readonly distanceM: number;
}

/** Half a turn in radians over half a turn in degrees. */
const RADIANS = Math.PI / 180;

/** A place so far away on a bearing. */
export function along([x, y]: Place, bearing: number, metres: number): [number, number] {
  return [x + metres * Math.sin(bearing * RADIANS), y + metres * Math.cos(bearing * RADIANS)];
}

/** Degrees clockwise from the y axis, 0 to 360. */
export function bearingOf([x0, y0]: Place, [x1, y1]: Place): number {
  return (Math.atan2(x1 - x0, y1 - y0) / RADIANS + 360) % 360;
}

/**
 * A rectangle by one corner, its front's bearing, width along the front and depth to the right of it (negative: to the left).
 *
 * @example
 * rectangle([0, 0], 90, 12, -8); // 12 m to the east, 8 m to the north
 */
export function rectangle(corner: Place, bearing: number, widthM: number, depthM: number): number[] {
  const second = along(corner, bearing, widthM);
  const third = along(second, bearing + 90, depthM);
  return [...corner, ...second, ...third, ...along(corner, bearing + 90, depthM)];
}

/** One side of running dimensions round an outline. */
export interface Run {
  readonly lengthM: number;
  /** Right of the side before; of the first side it counts from its bearing. */
  readonly turn: number;
}

/**
 * An outline by running dimensions: from a corner, side by side, the last of them back to the corner.
 *
 * @returns the ring, and by how far the last side misses the first corner (spread over the corners in step with the way walked,
 *   as the compass rule does)
 */
export function running(
  corner: Place,
  bearing: number,
  runs: readonly Run[],
): { readonly ring: number[]; readonly closingM: number } {
  const places: [number, number][] = [[corner[0], corner[1]]];
  const walked = [0];
  let heading = bearing;
  for (const [i, { lengthM, turn }] of runs.entries()) {
    heading += i === 0 ? 0 : turn;
    places.push(along(places.at(-1)!, heading, lengthM));
    walked.push(walked.at(-1)! + lengthM);
  }
  const end = places.pop()!;
  const [dx, dy] = [end[0] - corner[0], end[1] - corner[1]];
  const way = walked.at(-1)!;
  const ring = places.flatMap(([x, y], i) => {
    const share = way > 0 ? walked[i]! / way : 0;
    return [x - dx * share, y - dy * share];
  });
  return { ring, closingM: Math.hypot(dx, dy) };
}

/**
 * The place that two tape lines fix, on one side of the line between their ends; null where they do not meet.
 *
 * @param side as seen from the first end to the second
 */
export function byTies(first: Tie, second: Tie, side: 'left' | 'right'): [number, number] | null {
  const [ax, ay] = first.from;
  const [dx, dy] = [second.from[0] - ax, second.from[1] - ay];
  const apart = Math.hypot(dx, dy);
  const { distanceM: ra } = first;
  const { distanceM: rb } = second;
  if (apart === 0 || !(ra > 0) || !(rb > 0) || apart > ra + rb || apart < Math.abs(ra - rb)) return null;
  const t = (ra * ra - rb * rb + apart * apart) / (2 * apart);
  const h = Math.sqrt(Math.max(ra * ra - t * t, 0)) * (side === 'left' ? 1 : -1);
  return [ax + (dx * t - dy * h) / apart, ay + (dy * t + dx * h) / apart];
}

/** Moves a flat run of places, turned clockwise about a place first. */
export function carried(
  xy: readonly number[],
  by: { readonly east: number; readonly north: number; readonly turnDeg: number; readonly about: Place },
): number[] {
  const [c, s] = [Math.cos(by.turnDeg * RADIANS), Math.sin(by.turnDeg * RADIANS)];
  const out: number[] = [];
  for (let i = 0; i < xy.length; i += 2) {
    const [dx, dy] = [xy[i]! - by.about[0], xy[i + 1]! - by.about[1]];
    out.push(by.about[0] + dx * c + dy * s + by.east, by.about[1] - dx * s + dy * c + by.north);
  }
  return out;
}

/** The nearest corner within reach, else the nearest point of a side within reach; null where neither is. */
export function snapped(at: Place, lines: Iterable<readonly number[]>, reachM: number): [number, number] | null {
  let corner: [number, number] | null = null;
  let side: [number, number] | null = null;
  let [toCorner, toSide] = [reachM, reachM];
  for (const line of lines) {
    for (let i = 0; i < line.length; i += 2) {
      const [x, y] = [line[i]!, line[i + 1]!];
      const d = Math.hypot(x - at[0], y - at[1]);
      if (d <= toCorner) [corner, toCorner] = [[x, y], d];
      if (i + 3 >= line.length) continue;
      const foot = footOn(at, x, y, line[i + 2]!, line[i + 3]!);
      const off = Math.hypot(foot[0] - at[0], foot[1] - at[1]);
      if (off <= toSide) [side, toSide] = [foot, off];
    }
  }
  return corner ?? side;
}

function footOn([px, py]: Place, x0: number, y0: number, x1: number, y1: number): [number, number] {
  const [dx, dy] = [x1 - x0, y1 - y0];
  const length = dx * dx + dy * dy;
  const t = length === 0 ? 0 : Math.min(Math.max(((px - x0) * dx + (py - y0) * dy) / length, 0), 1);
  return [x0 + t * dx, y0 + t * dy];
}

/** Twice the signed area halved: square metres; positive anticlockwise. */
export function areaOf(ring: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    sum += ring[i]! * ring[j + 1]! - ring[j]! * ring[i + 1]!;
  }
  return sum / 2;
}

/** A map of the plane that keeps shapes: x' = a x - b y + x0, y' = b x + a y + y0. */
export interface Similarity {
  readonly a: number;
  readonly b: number;
  readonly x0: number;
  readonly y0: number;
}

/** The one that takes two places to two others; null where two of a pair are one place. */
export function similarity(from: readonly [Place, Place], to: readonly [Place, Place]): Similarity | null {
  const [[px, py], [qx, qy]] = from;
  const [[ux, uy], [vx, vy]] = to;
  const [dx, dy, ex, ey] = [qx - px, qy - py, vx - ux, vy - uy];
  const length = dx * dx + dy * dy;
  if (length === 0 || (ex === 0 && ey === 0)) return null;
  const a = (dx * ex + dy * ey) / length;
  const b = (dx * ey - dy * ex) / length;
  return { a, b, x0: ux - (a * px - b * py), y0: uy - (b * px + a * py) };
}

export function moved({ a, b, x0, y0 }: Similarity, [x, y]: Place): [number, number] {
  return [a * x - b * y + x0, b * x + a * y + y0];
}
