// Random and adversarial polygons for the kernel's tests; rings are flat x, y, anticlockwise, not closed.

export type Random = () => number;

export const rect = (x0: number, y0: number, x1: number, y1: number): number[] => [x0, y0, x1, y0, x1, y1, x0, y1];

export function signedArea(ring: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const k = (i + 2) % ring.length;
    sum += ring[i]! * ring[k + 1]! - ring[i + 1]! * ring[k]!;
  }
  return sum / 2;
}

export function reversed(ring: readonly number[]): number[] {
  const out: number[] = [];
  for (let i = ring.length - 2; i >= 0; i -= 2) out.push(ring[i]!, ring[i + 1]!);
  return out;
}

/** A simple polygon about a random centre: corners at growing angles, so that it never crosses itself. */
export function star(random: Random, spread = 3): number[] {
  const cx = (random() - 0.5) * spread;
  const cy = (random() - 0.5) * spread;
  const corners = 3 + Math.floor(random() * 9);
  const turn = random() * 7;
  const ring: number[] = [];
  for (let k = 0; k < corners; k++) {
    const a = turn + (2 * Math.PI * (k + random() * 0.8)) / corners;
    const d = 0.2 + random() * 1.5;
    ring.push(cx + d * Math.cos(a), cy + d * Math.sin(a));
  }
  return signedArea(ring) > 0 ? ring : reversed(ring);
}

/** Corners on a coarse grid about the centre: shared edges, corners at the trunk, edges along rays, tangents. */
export function gridPolygon(random: Random): number[] {
  const step = (): number => (Math.floor(random() * 9) - 4) / 4;
  for (;;) {
    const x0 = step();
    const x1 = step();
    const y0 = step();
    const y1 = step();
    if (x0 === x1 || y0 === y1) continue;
    const box = rect(Math.min(x0, x1), Math.min(y0, y1), Math.max(x0, x1), Math.max(y0, y1));
    const kind = Math.floor(random() * 3);
    if (kind === 0) return box;
    if (kind === 1) return box.slice(0, 6); // half of it
    const [ax, ay, , , cx, cy] = box as [number, number, number, number, number, number];
    const mx = (ax + cx) / 2;
    const my = (ay + cy) / 2;
    return [ax, ay, cx, ay, cx, my, mx, my, mx, cy, ax, cy]; // an L
  }
}
