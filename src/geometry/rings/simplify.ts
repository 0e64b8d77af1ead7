// Fewer corners on a line. In: its points and a tolerance in their unit; out: the points that stay, in order.
// Terms: chord = the straight line from the first to the last point of a stretch (Ramer 1972; Douglas and Peucker 1973).

interface Point {
  readonly x: number;
  readonly y: number;
}

/**
 * The points of an open line without those that lie within the tolerance of the line without them. The first and the last
 * stay. A line of fewer than five points stays as it is.
 *
 * @example
 * simplified([{ x: 0, y: 0 }, { x: 1, y: 0.1 }, { x: 2, y: 0 }, { x: 3, y: 0.1 }, { x: 4, y: 0 }], 0.2).length; // 2
 */
export function simplified<P extends Point>(path: readonly P[], tolerance: number): readonly P[] {
  if (path.length < 5) return path;
  const keeps = new Uint8Array(path.length);
  keeps[0] = 1;
  keeps[path.length - 1] = 1;
  const stretches: [begin: number, end: number][] = [[0, path.length - 1]];
  for (let stretch = stretches.pop(); stretch !== undefined; stretch = stretches.pop()) {
    const [begin, last] = stretch;
    let end = last;
    // A chord without length has no direction: what lies on its end is left out.
    while (end > begin && same(path[begin]!, path[end]!)) keeps[end--] = 0;
    const far = farthest(path, begin, end);
    if (far.squared <= tolerance * tolerance) continue;
    keeps[far.index] = 1;
    stretches.push([begin, far.index], [far.index, end]);
  }
  return path.filter((_, i) => keeps[i] === 1);
}

const same = (a: Point, b: Point): boolean => a.x === b.x && a.y === b.y;

/** The point of a stretch that lies farthest from its chord, and the square of how far. */
function farthest(path: readonly Point[], begin: number, end: number): { index: number; squared: number } {
  const from = path[begin]!;
  const to = path[end]!;
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  const length = dx * dx + dy * dy;
  let index = 0;
  let squared = 0;
  for (let i = begin + 1; i < end; i++) {
    const point = path[i]!;
    const cross = (point.x - from.x) * dy - dx * (point.y - from.y);
    const distance = length === 0 ? 0 : (cross * cross) / length;
    if (distance > squared) {
      squared = distance;
      index = i;
    }
  }
  return { index, squared };
}
