// Polygons and lines across 180 degrees -> parts on either side (RFC 7946 section 3.1.9).
// In: rings of one polygon, or a line, flat lon, lat, as written or out of range; out: the same inside -180..180.
// Terms: unrolled = longitudes made continuous from the shell's first vertex. A ring round a pole is not cut.

type Flat = number[];

/** Whether a polygon's edges jump by more than half the globe, or leave -180..180. */
export function spansAntimeridian(rings: readonly (readonly number[])[]): boolean {
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      const lon = ring[i]!;
      if (lon > 180 || lon < -180) return true;
      if (i >= 2 && Math.abs(lon - ring[i - 2]!) > 180) return true;
    }
  }
  return false;
}

/** The parts of a polygon east and west of 180 degrees; holes follow their side. */
export function cutAtAntimeridian(rings: readonly (readonly number[])[]): Flat[][] {
  const start = rings[0]?.[0];
  if (start === undefined) return [];
  const unrolled = rings.map((ring) => unroll(ring, start));
  const out: Flat[][] = [];
  // A shape is far narrower than 360 degrees, so it meets at most one of the two copies of the line.
  for (const [low, high, shift] of [
    [-540, -180, 360],
    [-180, 180, 0],
    [180, 540, -360],
  ] as const) {
    const sides = unrolled.map((ring) => clip(clip(ring, low, 1), high, -1));
    const shell = sides[0]!;
    if (shell.length < 6) continue;
    out.push(sides.filter((ring) => ring.length >= 6).map((ring) => ring.map((v, i) => (i % 2 === 0 ? v + shift : v))));
  }
  return out;
}

/** A line cut where it crosses 180 degrees; a closed one that does not begin there is joined at its first position. */
export function cutLine(line: readonly number[]): Flat[] {
  const start = line[0];
  if (start === undefined || !spansAntimeridian([line])) return [[...line]];
  const unrolled = unroll(line, start);
  const out: Flat[] = [];
  let turn = turnOf(unrolled[0]!, unrolled[2] ?? unrolled[0]!);
  let part: Flat = [];
  const put = (lon: number, lat: number): void => {
    const x = lon - 360 * turn;
    if (x !== part.at(-2) || lat !== part.at(-1)) part.push(x, lat);
  };
  for (let i = 0; i < unrolled.length; i += 2) {
    const [lon, lat] = [unrolled[i]!, unrolled[i + 1]!];
    const next = i === 0 ? turn : turnOf(lon, unrolled[i - 2]!);
    if (next !== turn) {
      const at = 360 * Math.min(turn, next) + 180;
      const [lon0, lat0] = [unrolled[i - 2]!, unrolled[i - 1]!];
      const crossing = lat0 + ((lat - lat0) * (at - lon0)) / (lon - lon0);
      put(at, crossing);
      if (part.length >= 4) out.push(part);
      part = [];
      turn = next;
      put(at, crossing);
    }
    put(lon, lat);
  }
  if (part.length >= 4) out.push(part);
  const [first, last] = [out[0], out.at(-1)];
  const isClosed = line.length > 4 && start === line.at(-2) && line[1] === line.at(-1);
  if (!isClosed || first === undefined || last === undefined || first === last) return out;
  if (first[0] !== last.at(-2) || first[1] !== last.at(-1)) return out;
  return [[...last.slice(0, -2), ...first], ...out.slice(1, -1)];
}

/** Which copy of the world a longitude lies in: 0 from -180 to 180. On the line itself: that of its neighbour. */
function turnOf(lon: number, neighbour: number): number {
  const isOnLine = (lon - 180) % 360 === 0;
  return Math.round((isOnLine ? lon + Math.sign(neighbour - lon) * 1e-9 : lon) / 360);
}

function unroll(ring: readonly number[], start: number): Flat {
  const out: Flat = [];
  let previous = start;
  for (let i = 0; i < ring.length; i += 2) {
    const lon = ring[i]!;
    previous = lon + 360 * Math.round((previous - lon) / 360);
    out.push(previous, ring[i + 1]!);
  }
  return out;
}

/** The side of a meridian where sign * (lon - at) >= 0; edges cut on the line (Sutherland and Hodgman 1974). */
function clip(ring: Flat, at: number, sign: 1 | -1): Flat {
  const out: Flat = [];
  const n = ring.length;
  for (let i = 0; i < n; i += 2) {
    const [ax, ay] = [ring[i]!, ring[i + 1]!];
    const [bx, by] = [ring[(i + 2) % n]!, ring[(i + 3) % n]!];
    const a = sign * (ax - at);
    const b = sign * (bx - at);
    if (a >= 0) out.push(ax, ay);
    if (a >= 0 !== b >= 0) out.push(at, ay + ((by - ay) * a) / (a - b));
  }
  return out;
}
