// The room a footprint has. In: the ground it must stand on (polygons) and its outlines; out: whether it fits, how far it
// stands out, what holds it, and every shift at which it fits. Terms: held = the outlines that must stay inside; escape =
// how far the farthest held place stands outside, metres; all in the frame about the footprint's home reference.

import {
  alongSegment,
  circleRing,
  lessShape,
  passesEast,
  type Ring,
  ringBox,
  type Shape,
  toSegment2,
  unionShape,
} from '../geometry/index.js';

/** A footprint drawn on the line counts as on it: setbacks are calculated on a grid of a millimetre. */
export const ON_LINE_M = 0.002;

/** Pairs of an edge of the ground and a place of the outlines that are gone through between two looks: some hundredths of a second. */
const LOOK_EVERY = 2_000_000;

/** From so many pairs on, those that cannot meet are left out before shapes are made of them. */
const MANY_PAIRS = 50_000;

/** Chords of the arcs about a boundary's corners miss them by at most this. */
const CHORD_M = 0.0005;

/** A bound on a motion: `value` + slope . step must not be above 0; metres a metre, metres a radian anticlockwise. */
export interface Hold {
  readonly value: number;
  readonly east: number;
  readonly north: number;
  readonly turn: number;
}

interface Edge {
  readonly ax: number;
  readonly ay: number;
  readonly bx: number;
  readonly by: number;
  readonly nx: number; // outwards
  readonly ny: number;
  readonly length: number;
  readonly reflexA: boolean; // the boundary turns outwards there
  readonly reflexB: boolean;
}

export class Room {
  readonly shape: Shape;
  readonly #edges: readonly Edge[];
  /** Corners where the ground's boundary points inwards: a footprint can touch them. */
  readonly #corners: readonly (readonly [number, number])[];
  readonly #look: () => void;
  #unseen = 0;

  /** `look` throws to stop: it is called within every step that takes long. */
  constructor(shape: Shape, look: () => void = () => {}) {
    this.shape = shape;
    this.#look = look;
    this.#edges = shape.flatMap((polygon) => polygon.flatMap(edgesOf));
    this.#corners = this.#edges.filter(({ reflexA }) => reflexA).map(({ ax, ay }): [number, number] => [ax, ay]);
  }

  /** Edges of the ground's boundary: each corner of an outline is measured from all of them. */
  get edges(): number {
    return this.#edges.length;
  }

  #took(pairs: number): void {
    this.#unseen += pairs;
    if (this.#unseen < LOOK_EVERY) return;
    this.#unseen = 0;
    this.#look();
  }

  /** How far outside outlines (about the reference) reach when they are shifted by x, y; at most ON_LINE_M where they fit. */
  escapeM(held: readonly Ring[], x: number, y: number): number {
    let farthest = 0;
    for (const ring of held) {
      for (let i = 0; i < ring.length; i += 2) {
        farthest = Math.max(farthest, this.#outside(ring[i]! + x, ring[i + 1]! + y));
      }
    }
    const corners = cornersOf(held);
    for (const [cx, cy] of this.#corners) {
      this.#took(corners);
      farthest = Math.max(farthest, depthIn(held, cx - x, cy - y));
    }
    if (farthest > ON_LINE_M) return farthest;
    // A gap in the ground may be crossed by an edge without holding any corner.
    for (const ring of held) {
      for (let i = 0; i < ring.length; i += 2) {
        const k = (i + 2) % ring.length;
        const [ax, ay] = [ring[i]! + x, ring[i + 1]! + y];
        const [bx, by] = [ring[k]! + x, ring[k + 1]! + y];
        farthest = Math.max(farthest, this.#outsideAlong(ax, ay, bx, by));
      }
    }
    return farthest;
  }

  fits(held: readonly Ring[], x: number, y: number): boolean {
    return this.escapeM(held, x, y) <= ON_LINE_M;
  }

  /** What holds the outlines within `reach` metres of where they are, linearised; `turn` about the reference. */
  holds(held: readonly Ring[], x: number, y: number, reach: number): Hold[] {
    const out: Hold[] = [];
    for (const ring of held) {
      for (let i = 0; i < ring.length; i += 2) {
        const [rx, ry] = [ring[i]!, ring[i + 1]!];
        this.#holdCorner(rx, ry, rx + x, ry + y, reach, out);
      }
    }
    const corners = cornersOf(held);
    for (const [cx, cy] of this.#corners) {
      this.#took(2 * corners);
      const lean = leanOn(held, cx - x, cy - y, reach);
      if (lean !== null) out.push(lean);
    }
    return out;
  }

  /** All shifts at which outlines fit, inside a ring of shifts; on the millimetre grid. */
  shifts(held: readonly Ring[], within: Ring): Shape {
    // Where an edge of the outline meets an edge of the ground: a parallelogram of shifts for each pair.
    const meet: Ring[][] = [];
    const [west, south, east, north] = ringBox(within);
    const corners = cornersOf(held);
    const isMany = this.edges * corners > MANY_PAIRS;
    for (const { ax, ay, bx, by } of this.#edges) {
      this.#took(corners);
      for (const ring of held) {
        for (let i = 0; i < ring.length; i += 2) {
          const k = (i + 2) % ring.length;
          const [px, py, qx, qy] = [ring[i]!, ring[i + 1]!, ring[k]!, ring[k + 1]!];
          // Most edges of large outlines are too far apart to meet by any of the shifts.
          if (isMany) {
            if (Math.max(ax, bx) - Math.min(px, qx) < west || Math.min(ax, bx) - Math.max(px, qx) > east) continue;
            if (Math.max(ay, by) - Math.min(py, qy) < south || Math.min(ay, by) - Math.max(py, qy) > north) continue;
          }
          const corners = [ax - px, ay - py, bx - px, by - py, bx - qx, by - qy, ax - qx, ay - qy];
          const turn = (bx - ax) * (py - qy) - (by - ay) * (px - qx);
          meet.push([turn >= 0 ? corners : [0, 6, 4, 2].flatMap((c) => [corners[c]!, corners[c + 1]!])]);
        }
      }
    }
    const free = lessShape([[within]], unionShape(meet, this.#look), this.#look);
    return free.filter((polygon) => {
      const place = placeIn(polygon);
      return place !== null && this.fits(held, place[0], place[1]);
    });
  }

  #outside(x: number, y: number): number {
    this.#took(this.#edges.length);
    let nearest2 = Infinity;
    let inside = false;
    for (const { ax, ay, bx, by } of this.#edges) {
      if (passesEast(ax, ay, bx, by, x, y)) inside = !inside;
      nearest2 = Math.min(nearest2, toSegment2(ax, ay, bx, by, x, y));
    }
    return inside ? 0 : Math.sqrt(nearest2);
  }

  #outsideAlong(ax: number, ay: number, bx: number, by: number): number {
    this.#took(this.#edges.length);
    const cuts = [0, 1];
    const [dx, dy] = [bx - ax, by - ay];
    for (const edge of this.#edges) {
      const [fx, fy] = [edge.bx - edge.ax, edge.by - edge.ay];
      const det = dx * fy - dy * fx;
      if (det === 0) continue;
      const t = ((edge.ax - ax) * fy - (edge.ay - ay) * fx) / det;
      const s = ((edge.ax - ax) * dy - (edge.ay - ay) * dx) / det;
      if (t > 0 && t < 1 && s >= 0 && s <= 1) cuts.push(t);
    }
    if (cuts.length === 2) return 0;
    cuts.sort((a, b) => a - b);
    let farthest = 0;
    for (let i = 0; i + 1 < cuts.length; i++) {
      const t = (cuts[i]! + cuts[i + 1]!) / 2;
      farthest = Math.max(farthest, this.#outside(ax + t * dx, ay + t * dy));
    }
    return farthest;
  }

  /** A corner of the outline against the edges it is near; far outside, against the nearest place of the boundary. */
  #holdCorner(rx: number, ry: number, x: number, y: number, reach: number, out: Hold[]): void {
    const outside = this.#outside(x, y);
    if (outside > reach) {
      let best2 = Infinity;
      let hold: Hold | null = null;
      for (const { ax, ay, bx, by } of this.#edges) {
        const [px, py] = nearestOn(ax, ay, bx, by, x, y);
        const d2 = (x - px) ** 2 + (y - py) ** 2;
        if (d2 >= best2) continue;
        best2 = d2;
        const d = Math.sqrt(d2);
        hold = holdBy(d, (x - px) / d, (y - py) / d, rx, ry);
      }
      if (hold !== null) out.push(hold);
      return;
    }
    for (const edge of this.#edges) {
      const value = (x - edge.ax) * edge.nx + (y - edge.ay) * edge.ny;
      if (Math.abs(value) > reach) continue;
      const along = edge.nx * (y - edge.ay) - edge.ny * (x - edge.ax);
      // Past a corner that points inwards the edge holds nothing.
      if (along < (edge.reflexA ? 0 : -reach) || along > edge.length + (edge.reflexB ? 0 : reach)) continue;
      out.push(holdBy(value, edge.nx, edge.ny, rx, ry));
    }
  }
}

function cornersOf(rings: readonly Ring[]): number {
  return rings.reduce((sum, ring) => sum + ring.length / 2, 0);
}

function holdBy(value: number, nx: number, ny: number, rx: number, ry: number): Hold {
  return { value, east: nx, north: ny, turn: rx * ny - ry * nx };
}

/** Edges of a ring (its inside on the left). */
function edgesOf(ring: Ring): Edge[] {
  const n = ring.length;
  const at = (i: number): readonly [number, number] => [ring[(i + n) % n]!, ring[(i + 1 + n) % n]!];
  const reflex = (i: number): boolean => {
    const [[px, py], [x, y], [qx, qy]] = [at(i - 2), at(i), at(i + 2)];
    return (x - px) * (qy - y) - (y - py) * (qx - x) < 0;
  };
  const edges: Edge[] = [];
  for (let i = 0; i < n; i += 2) {
    const [[ax, ay], [bx, by]] = [at(i), at(i + 2)];
    const length = Math.hypot(bx - ax, by - ay);
    if (!(length > 0)) continue;
    const [nx, ny] = [(by - ay) / length, -(bx - ax) / length];
    edges.push({ ax, ay, bx, by, nx, ny, length, reflexA: reflex(i), reflexB: reflex(i + 2) });
  }
  return edges;
}

function nearestOn(ax: number, ay: number, bx: number, by: number, x: number, y: number): readonly [number, number] {
  const t = alongSegment(ax, ay, bx, by, x, y);
  return [ax + t * (bx - ax), ay + t * (by - ay)];
}

/** How deep a place lies in the outlines; 0 outside. */
function depthIn(held: readonly Ring[], x: number, y: number): number {
  let deepest = 0;
  for (const ring of held) {
    let nearest2 = Infinity;
    let inside = false;
    for (let i = 0; i < ring.length; i += 2) {
      const k = (i + 2) % ring.length;
      const [ax, ay, bx, by] = [ring[i]!, ring[i + 1]!, ring[k]!, ring[k + 1]!];
      if (passesEast(ax, ay, bx, by, x, y)) inside = !inside;
      nearest2 = Math.min(nearest2, toSegment2(ax, ay, bx, by, x, y));
    }
    if (inside) deepest = Math.max(deepest, Math.sqrt(nearest2));
  }
  return deepest;
}

/** A corner of the ground that the outline touches: it must leave by the nearest edge. */
function leanOn(held: readonly Ring[], x: number, y: number, reach: number): Hold | null {
  let hold: Hold | null = null;
  let best = reach;
  const deep = depthIn(held, x, y) > 0;
  for (const ring of held) {
    for (let i = 0; i < ring.length; i += 2) {
      const k = (i + 2) % ring.length;
      const [ax, ay, bx, by] = [ring[i]!, ring[i + 1]!, ring[k]!, ring[k + 1]!];
      const [px, py] = nearestOn(ax, ay, bx, by, x, y);
      const d = Math.hypot(x - px, y - py);
      if (d >= best) continue;
      best = d;
      const length = Math.hypot(bx - ax, by - ay);
      // The outline's edge moves; the corner stays: it is out when the edge's outward side holds it.
      const [nx, ny] = [(by - ay) / length, -(bx - ax) / length];
      hold = holdBy(deep ? d : -d, nx, ny, px, py);
    }
  }
  return hold;
}

/** A place inside a polygon with holes, well within: the middle of the longest stretch of a few level lines. */
function placeIn(polygon: readonly Ring[]): readonly [number, number] | null {
  const [shell] = polygon;
  if (shell === undefined) return null;
  const ys = shell.filter((_, i) => i % 2 === 1);
  const [low, high] = [Math.min(...ys), Math.max(...ys)];
  let best: readonly [number, number] | null = null;
  let longest = 0;
  for (let line = 1; line < 16; line++) {
    const y = low + ((high - low) * (line + 0.0137)) / 16;
    const xs: number[] = [];
    for (const ring of polygon) {
      for (let i = 0; i < ring.length; i += 2) {
        const k = (i + 2) % ring.length;
        const [ax, ay, bx, by] = [ring[i]!, ring[i + 1]!, ring[k]!, ring[k + 1]!];
        if (ay > y !== by > y) xs.push(ax + ((y - ay) / (by - ay)) * (bx - ax));
      }
    }
    xs.sort((a, b) => a - b);
    for (let i = 0; i + 1 < xs.length; i += 2) {
      const length = xs[i + 1]! - xs[i]!;
      if (length > longest) {
        longest = length;
        best = [(xs[i]! + xs[i + 1]!) / 2, y];
      }
    }
  }
  return best;
}

/**
 * Ground set back from its boundary: all of it that is at least so far from each edge; `distanceM` gets the edge's
 * outward direction. Rings as drawn: shell anticlockwise, holes clockwise.
 *
 * @example
 * setBack([[[0, 0, 20, 0, 20, 30, 0, 30]]], () => 3); // 14 m x 24 m
 */
export function setBack(ground: Shape, distanceM: (nx: number, ny: number) => number, look?: () => void): Shape {
  const strips: Ring[][] = [];
  for (const { ax, ay, bx, by, nx, ny } of ground.flatMap((polygon) => polygon.flatMap(edgesOf))) {
    const d = distanceM(nx, ny);
    if (!(d > 0)) continue;
    strips.push([[ax, ay, bx, by, bx - nx * d, by - ny * d, ax - nx * d, ay - ny * d]]);
    for (const [x, y] of [
      [ax, ay],
      [bx, by],
    ] as const) {
      strips.push([circleRing(d, CHORD_M).map((v, i) => v + (i % 2 === 0 ? x : y))]);
    }
  }
  // The strip inwards of an edge that is walked with the ground on its left is anticlockwise.
  return strips.length === 0 ? ground : lessShape(ground, unionShape(strips, look), look);
}
