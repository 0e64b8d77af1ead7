// A rigid motion of works in the plane. In: pieces about their reference point; out: the same turned or mirrored, and how
// far a motion carries them. Terms: reference = the mean of the footprint's corners, about which it turns; mirror line =
// through the reference, square to the footprint's longest edge, so that a mirrored plan keeps its alignment; travel =
// the root mean square distance its corners go, which is exact: shift^2 + (2 sin(turn / 2) rms radius)^2.

import { indexedPieces, type Pieces } from '../geometry/index.js';

/** Metres along the frame's axes, degrees clockwise about the reference; mirrored comes first, then the turn. */
export interface Motion {
  readonly eastM: number;
  readonly northM: number;
  readonly turnDeg: number;
  readonly mirrored: boolean;
}

export const HOME: Motion = { eastM: 0, northM: 0, turnDeg: 0, mirrored: false };

/** What moves, about its reference point. */
export interface Footprint {
  readonly x: number; // the reference, in the frame
  readonly y: number;
  readonly rmsM: number; // root mean square distance of the corners from it
  readonly mirrorX: number; // unit direction of the mirror line
  readonly mirrorY: number;
}

/** Corners of the works that move, x, y in the frame: its reference, size and mirror line; `edges` as ax, ay, bx, by. */
export function footprintOf(corners: ArrayLike<number>, edges: readonly number[]): Footprint {
  const n = corners.length / 2;
  let [x, y] = [0, 0];
  for (let i = 0; i < n; i++) {
    x += corners[i * 2]! / n;
    y += corners[i * 2 + 1]! / n;
  }
  let sum = 0;
  for (let i = 0; i < n; i++) sum += (corners[i * 2]! - x) ** 2 + (corners[i * 2 + 1]! - y) ** 2;
  let [longest, mirrorX, mirrorY] = [0, 0, 1];
  for (let i = 0; i < edges.length; i += 4) {
    const dx = edges[i + 2]! - edges[i]!;
    const dy = edges[i + 3]! - edges[i + 1]!;
    const length = Math.hypot(dx, dy);
    // A tiny margin, so that of equal edges the first one stays the longest.
    if (length > longest * (1 + 1e-9)) [longest, mirrorX, mirrorY] = [length, -dy / length, dx / length];
  }
  return { x, y, rmsM: Math.sqrt(sum / n), mirrorX, mirrorY };
}

/** A place relative to the reference after mirroring and turning. */
export function turner(
  footprint: Footprint,
  turnDeg: number,
  mirrored: boolean,
): (x: number, y: number) => readonly [number, number] {
  const angle = (-turnDeg * Math.PI) / 180;
  const [cos, sin] = turnDeg === 0 ? [1, 0] : [Math.cos(angle), Math.sin(angle)];
  const { mirrorX: ux, mirrorY: uy } = footprint;
  return (x, y) => {
    const along = mirrored ? x * ux + y * uy : 0;
    const mx = mirrored ? 2 * along * ux - x : x;
    const my = mirrored ? 2 * along * uy - y : y;
    return [mx * cos - my * sin, mx * sin + my * cos];
  };
}

/** Pieces about the reference, mirrored and turned; rings keep their inside on the left. */
export function turnedPieces(pieces: Pieces, footprint: Footprint, turnDeg: number, mirrored: boolean): Pieces {
  if (turnDeg === 0 && !mirrored) return pieces;
  const place = turner(footprint, turnDeg, mirrored);
  const xy = new Float64Array(pieces.xy.length);
  for (let r = 0; r + 1 < pieces.vertexStart.length; r++) {
    const from = pieces.vertexStart[r]!;
    const to = pieces.vertexStart[r + 1]!;
    for (let v = from; v < to; v++) {
      const out = mirrored ? to - 1 - (v - from) : v;
      const [x, y] = place(pieces.xy[v * 2]!, pieces.xy[v * 2 + 1]!);
      xy[out * 2] = x;
      xy[out * 2 + 1] = y;
    }
  }
  return indexedPieces({ ...pieces, xy });
}

/** Pieces seen from a point as origin. */
export function aboutPoint(pieces: Pieces, x: number, y: number): Pieces {
  return indexedPieces({ ...pieces, xy: pieces.xy.map((value, i) => value - (i % 2 === 0 ? x : y)) });
}

/** Root mean square distance that the corners go, metres; from the mirrored plan where it is mirrored. */
export function travelM({ rmsM }: Pick<Footprint, 'rmsM'>, { eastM, northM, turnDeg }: Motion): number {
  return Math.hypot(eastM, northM, 2 * Math.sin((turnDeg * Math.PI) / 360) * rmsM);
}
