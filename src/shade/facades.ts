// Buildings -> facades. In: rings of works in a plane with true north upwards; out: straight walls with the way they face.
// Terms: facade = see model/facade.ts; edges that turn by less than half a degree are one wall, as surveys put points into walls.

/** Degrees. */
const STRAIGHT = 0.5;
/** Metres; a shorter wall is a kink of the drawing. */
const SHORTEST = 0.05;

export interface Wall {
  readonly from: readonly [number, number];
  readonly to: readonly [number, number];
  readonly lengthM: number;
  /** The way it faces, degrees clockwise from north. */
  readonly bearing: number;
}

/** Walls of a ring; shells run anticlockwise and holes clockwise, so that the building lies on the left. */
export function wallsOf(xy: readonly number[]): Wall[] {
  const n = xy.length / 2;
  const point = (i: number): readonly [number, number] => {
    const k = ((i % n) + n) % n;
    return [xy[k * 2]!, xy[k * 2 + 1]!];
  };
  const turn = (i: number): number => {
    const [before, here, after] = [point(i - 1), point(i), point(i + 1)];
    const a = Math.atan2(here[1] - before[1], here[0] - before[0]);
    const b = Math.atan2(after[1] - here[1], after[0] - here[0]);
    const d = Math.abs(a - b) % (2 * Math.PI);
    return (Math.min(d, 2 * Math.PI - d) * 180) / Math.PI;
  };
  const corners: number[] = [];
  for (let i = 0; i < n; i++) if (turn(i) >= STRAIGHT) corners.push(i);
  if (corners.length < 3) corners.splice(0, corners.length, ...Array.from({ length: n }, (_, i) => i));
  const walls: Wall[] = [];
  corners.forEach((corner, i) => {
    const from = point(corner);
    const to = point(corners[(i + 1) % corners.length]!);
    const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    const lengthM = Math.hypot(dx, dy);
    // Outside is on the right: (dy, -dx).
    if (lengthM >= SHORTEST) walls.push({ from, to, lengthM, bearing: bearingOf(dy, -dx) });
  });
  return walls;
}

function bearingOf(east: number, north: number): number {
  const degrees = (Math.atan2(east, north) * 180) / Math.PI;
  return degrees < 0 ? degrees + 360 : degrees;
}
