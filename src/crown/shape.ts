// The crown from above. In: four radii; out: its area. Terms: four = north, east, south, west, metres; a quarter with
// a radius of 0 has no area.

/** A tree's place in the tree table. */
export type Row = number;
export type Four = readonly [north: number, east: number, south: number, west: number];

export function fourOf(crownM: Float64Array, row: Row): Four {
  const at = row * 4;
  return [crownM[at]!, crownM[at + 1]!, crownM[at + 2]!, crownM[at + 3]!];
}

/**
 * Area of four quarter ellipses, square metres: pi/4 (n e + e s + s w + w n).
 *
 * @example
 * areaOfQuarters([2, 2, 2, 2]); // 12.566, a circle
 */
export function areaOfQuarters([n, e, s, w]: Four): number {
  return (Math.PI / 4) * (n * e + e * s + s * w + w * n);
}

/** How far a crown reaches along a bearing (degrees clockwise from the axis of its first radius), metres. */
export function reachAt([n, e, s, w]: Four, bearing: number): number {
  const angle = (bearing * Math.PI) / 180;
  const along = Math.cos(angle);
  const across = Math.sin(angle);
  const a = across >= 0 ? e : w;
  const b = along >= 0 ? n : s;
  if (a === 0 || b === 0) {
    // The quarter has shrunk to its one axis.
    if (Math.abs(across) < 1e-12) return b;
    return Math.abs(along) < 1e-12 ? a : 0;
  }
  return 1 / Math.hypot(across / a, along / b);
}
