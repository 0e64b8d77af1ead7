// One polygon against one disc: in: a piece, the disc's centre and radius; out: the exact area of their
// intersection (closed form), the edge parts inside the disc and the places where edges cross the circle.
// Terms: cut ray = the negative x axis from the centre, where angles jump from +pi to -pi; wrap = an edge part
// outside the disc that crosses the cut ray (anticlockwise +1).
//
// Area = 1/2 sum of cross(a, b) over the parts inside, plus 1/2 r^2 times the angle the parts outside subtend.
// The outside angles telescope: + angle at each entry, - angle at each exit, + 2 pi per wrap; so no angle is
// needed except where an edge crosses the circle, and a vertex is judged in or out once, for both its edges.

import { doubled, doubledIntegers } from '../column.js';
import { Nearest } from './nearest.js';
import { chunkFirstEdge, type Pieces } from './pieces.js';

/** Squared distance from a point to box `at` of a column of boxes; 0 inside. */
export function boxDistance2(box: Float64Array, at: number, x: number, y: number): number {
  const west = box[at]! - x;
  const east = x - box[at + 2]!;
  const south = box[at + 1]! - y;
  const north = y - box[at + 3]!;
  const dx = west > 0 ? west : east > 0 ? east : 0;
  const dy = south > 0 ? south : north > 0 ? north : 0;
  return dx * dx + dy * dy;
}

/** Edge parts inside the disc, and circle crossings, of all pieces added since `start`. */
export class Disc extends Nearest {
  r: number = 0;
  cx: number = 0;
  cy: number = 0;
  /** Affine map applied about the centre: x' = (ax x + ay y), y' = (bx x + by y); identity for a plain disc. */
  ax: number = 1;
  ay: number = 0;
  bx: number = 0;
  by: number = 1;
  plain: boolean = true;

  parts: number = 0; // edge parts inside
  x0: Float64Array = new Float64Array(256);
  y0: Float64Array = new Float64Array(256);
  x1: Float64Array = new Float64Array(256);
  y1: Float64Array = new Float64Array(256);
  dx: Float64Array = new Float64Array(256); // direction of the whole edge, and its cross product about the centre:
  dy: Float64Array = new Float64Array(256); // the part lies on the line { x : cross(x, d) = c }
  c: Float64Array = new Float64Array(256);
  partOf: Int32Array = new Int32Array(256); // local number of the piece

  crossings: number = 0; // where edges cross the circle
  angle: Float64Array = new Float64Array(256);
  crossingOf: Int32Array = new Int32Array(256);

  // of the piece added last
  area: number = 0;
  wrapCount: number = 0; // unsigned count: its parity tells whether the circle is inside at the cut ray
  /** Whether the centre lies inside the piece (undecided on its boundary, where distance2 is 0). */
  holdsCentre: boolean = false;

  #wraps = 0;
  #sumIn = 0;
  #sumAngle = 0;
  #px = 0;
  #py = 0;

  start(cx: number, cy: number, r: number): void {
    this.cx = cx;
    this.cy = cy;
    this.r = r;
    this.parts = 0;
    this.crossings = 0;
    this.plain = true;
  }

  /** Maps the plane about the centre before measuring (for quarter ellipses: to the unit circle). */
  map(ax: number, ay: number, bx: number, by: number): void {
    this.ax = ax;
    this.ay = ay;
    this.bx = bx;
    this.by = by;
    this.plain = false;
  }

  /** Adds piece p under the local number `local`; sets area, wrapCount, distance2, nearX and nearY. */
  add(pieces: Pieces, p: number, local: number): void {
    this.#sumIn = 0;
    this.#sumAngle = 0;
    this.#wraps = 0;
    this.wrapCount = 0;
    this.distance2 = Number.POSITIVE_INFINITY;
    this.holdsCentre = false;
    const lastRing = pieces.ringStart[p + 1]!;
    for (let ring = pieces.ringStart[p]!; ring < lastRing; ring++) {
      const v0 = pieces.vertexStart[ring]!;
      const n = pieces.vertexStart[ring + 1]! - v0;
      const chunk0 = pieces.chunkStart[ring]!;
      const chunks = pieces.chunkStart[ring + 1]! - chunk0;
      if (chunks === 0 || !this.plain) {
        this.#walk(pieces.xy, v0, n, 0, n, local);
        continue;
      }
      for (let k = 0; k < chunks; k++) {
        const from = chunkFirstEdge(k);
        const to = Math.min(chunkFirstEdge(k + 1), n);
        if (this.#misses(pieces.chunkBox, (chunk0 + k) * 4)) this.#skip(pieces.xy, v0, n, from, to);
        else this.#walk(pieces.xy, v0, n, from, to, local);
      }
    }
    this.area = 0.5 * this.#sumIn + 0.5 * this.r * this.r * (this.#sumAngle + 2 * Math.PI * this.#wraps);
  }

  /** Whether a chunk's box lies outside the disc. */
  #misses(box: Float64Array, at: number): boolean {
    return boxDistance2(box, at, this.cx, this.cy) > this.r * this.r;
  }

  /** Edges from .. to of a chunk whose box misses the disc: all that matters is whether they cross the cut ray. */
  #skip(xy: Float64Array, v0: number, n: number, from: number, to: number): void {
    const b = (v0 + (to === n ? 0 : to)) * 2;
    const a = (v0 + from) * 2;
    const ay = xy[a + 1]! - this.cy;
    const by = xy[b + 1]! - this.cy;
    if (ay < 0 === by < 0) return;
    // The box does not hold the centre and the chain changes sides of the x axis: the whole chain lies left or right of the
    // centre.
    const x = xy[a]! - this.cx;
    if (x >= 0) return;
    this.#wrap(ay < 0 ? -1 : 1);
    this.holdsCentre = !this.holdsCentre;
  }

  #wrap(sign: number): void {
    this.#wraps += sign;
    this.wrapCount++;
  }

  #load(xy: Float64Array, v: number): void {
    const x = xy[v * 2]! - this.cx;
    const y = xy[v * 2 + 1]! - this.cy;
    if (this.plain) {
      this.#px = x;
      this.#py = y;
    } else {
      this.#px = this.ax * x + this.ay * y;
      this.#py = this.bx * x + this.by * y;
    }
  }

  #walk(xy: Float64Array, v0: number, n: number, from: number, to: number, local: number): void {
    const r2 = this.r * this.r;
    this.#load(xy, v0 + from);
    let px = this.#px;
    let py = this.#py;
    let pIn = px * px + py * py <= r2;
    for (let e = from; e < to; e++) {
      this.#load(xy, v0 + (e + 1 === n ? 0 : e + 1));
      const qx = this.#px;
      const qy = this.#py;
      const qIn = qx * qx + qy * qy <= r2;
      const dx = qx - px;
      const dy = qy - py;
      const dd = dx * dx + dy * dy;
      const c = px * qy - py * qx;
      const along = -(px * dx + py * dy); // along / dd = where the edge's line is nearest to the centre
      this.nearestOn(px, py, qx, qy, dx, dy, dd, along);
      if (py < 0 !== qy < 0 && (py < 0 ? c < 0 : c > 0)) this.holdsCentre = !this.holdsCentre;
      if (pIn && qIn) {
        this.#inside(px, py, qx, qy, dx, dy, c, local);
      } else {
        const half2 = r2 * dd - c * c; // (half chord)^2 times dd
        if (pIn !== qIn) {
          const half = Math.sqrt(Math.max(half2, 0));
          const t = Math.min(Math.max((pIn ? along + half : along - half) / dd, 0), 1);
          const mx = px + t * dx;
          const my = py + t * dy;
          if (pIn) {
            this.#inside(px, py, mx, my, dx, dy, c, local);
            this.#cross(mx, my, -1, local);
            this.#outside(my, qy, c);
          } else {
            this.#outside(py, my, c);
            this.#cross(mx, my, 1, local);
            this.#inside(mx, my, qx, qy, dx, dy, c, local);
          }
        } else if (half2 > 0 && along > 0 && along < dd) {
          const half = Math.sqrt(half2);
          const t0 = (along - half) / dd;
          const t1 = (along + half) / dd;
          const ex = px + t0 * dx;
          const ey = py + t0 * dy;
          const lx = px + t1 * dx;
          const ly = py + t1 * dy;
          this.#outside(py, ey, c);
          this.#cross(ex, ey, 1, local);
          this.#inside(ex, ey, lx, ly, dx, dy, c, local);
          this.#cross(lx, ly, -1, local);
          this.#outside(ly, qy, c);
        } else {
          this.#outside(py, qy, c);
        }
      }
      px = qx;
      py = qy;
      pIn = qIn;
    }
  }

  /** An edge part outside the disc, from ordinate ay to by on a line with cross product c. */
  #outside(ay: number, by: number, c: number): void {
    if (ay < 0) {
      if (by >= 0 && c < 0) this.#wrap(-1);
    } else if (by < 0 && c >= 0) this.#wrap(1);
  }

  #cross(x: number, y: number, sign: number, local: number): void {
    const k = this.crossings++;
    if (k === this.angle.length) this.#growCrossings();
    const angle = Math.atan2(y + 0, x); // + 0: minus zero would land on the other side of the cut ray
    this.angle[k] = angle;
    this.crossingOf[k] = local;
    this.#sumAngle += sign * angle;
  }

  #inside(ax: number, ay: number, bx: number, by: number, dx: number, dy: number, c: number, local: number): void {
    const k = this.parts++;
    if (k === this.c.length) this.#growParts();
    this.x0[k] = ax;
    this.y0[k] = ay;
    this.x1[k] = bx;
    this.y1[k] = by;
    this.dx[k] = dx;
    this.dy[k] = dy;
    this.c[k] = c;
    this.partOf[k] = local;
    this.#sumIn += ax * by - ay * bx;
  }

  #growParts(): void {
    this.x0 = doubled(this.x0);
    this.y0 = doubled(this.y0);
    this.x1 = doubled(this.x1);
    this.y1 = doubled(this.y1);
    this.dx = doubled(this.dx);
    this.dy = doubled(this.dy);
    this.c = doubled(this.c);
    this.partOf = doubledIntegers(this.partOf);
  }

  #growCrossings(): void {
    this.angle = doubled(this.angle);
    this.crossingOf = doubledIntegers(this.crossingOf);
  }
}
