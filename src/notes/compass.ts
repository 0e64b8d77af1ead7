// Running dimensions by the compass rule. In: legs; out: corners, and by how much they fail to close. Terms: latitude, departure =
// north and east of a leg; the rule (N. Bowditch, 1808) takes the closing error off each leg by its length. Linear in the legs.

export interface Course {
  readonly bearing: number; // radians clockwise from north
  readonly length: number; // metres
}

export interface Closed {
  /** East and north of each leg, balanced: they sum to nothing. */
  readonly legs: readonly (readonly [east: number, north: number])[];
  /** What the legs sum to as measured. */
  readonly east: number;
  readonly north: number;
  readonly error: number;
  readonly perimeter: number;
}

/**
 * Balances a ring of courses.
 *
 * @example
 * compassRule([{ bearing: 0, length: 10 }, { bearing: Math.PI, length: 10.02 }]).north; // -0.02
 */
export function compassRule(courses: readonly Course[]): Closed {
  const raw = courses.map(({ bearing, length }) => [length * Math.sin(bearing), length * Math.cos(bearing)] as const);
  const perimeter = courses.reduce((sum, { length }) => sum + length, 0);
  const east = raw.reduce((sum, [x]) => sum + x, 0);
  const north = raw.reduce((sum, [, y]) => sum + y, 0);
  const legs = raw.map(([x, y], i) => {
    const share = courses[i]!.length / perimeter;
    return [x - east * share, y - north * share] as const;
  });
  return { legs, east, north, error: Math.hypot(east, north), perimeter };
}
