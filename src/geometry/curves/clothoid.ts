// Clothoids (transition spirals) -> chords. In: length, curvature at both ends; out: vertices in the spiral's own axes.
// Terms: curvature = 1 / radius, positive where the curve bends to the left, 0 on a straight line; it changes evenly
// along a clothoid. Own axes: the spiral starts at 0, 0 and heads along x.

/** No spiral gets more chords than this. */
const MOST_CHORDS = 100_000;
/** The most a chord may turn, radians: the quadrature below is good to 1e-12 of the chord there. */
const TURN = 0.1;

/** Gauss and Legendre's three places in a step of 1, and their weights. */
const PLACES = [0.5 - Math.sqrt(0.15), 0.5, 0.5 + Math.sqrt(0.15)] as const;
const WEIGHTS = [5 / 18, 8 / 18, 5 / 18] as const;

/**
 * Vertices of a clothoid after its start, its end included; every point lies within `sagitta` of its chord. Headings are
 * exact, positions their sum: the integrals of Fresnel.
 *
 * @param from curvature at the start; `to` at the end; `length` along the curve, all in one unit
 * @example
 * clothoid(100, 0, 1 / 200, 0.001, (x, y, share) => points.push([x, y])); // leaves a straight line for a curve of 200
 */
export function clothoid(
  length: number,
  from: number,
  to: number,
  sagitta: number,
  vertex: (x: number, y: number, share: number) => void,
): void {
  const sharpest = Math.max(Math.abs(from), Math.abs(to));
  // a chord of length d lies d * d * curvature / 8 off its arc
  const byChord = length * Math.sqrt(sharpest / (8 * sagitta));
  const count = Math.min(Math.max(Math.ceil(byChord), Math.ceil((length * sharpest) / TURN), 1), MOST_CHORDS);
  const step = length / count;
  const heading = (s: number): number => from * s + ((to - from) * s * s) / (2 * length);
  let x = 0;
  let y = 0;
  for (let i = 0; i < count; i++) {
    PLACES.forEach((place, k) => {
      const angle = heading((i + place) * step);
      x += Math.cos(angle) * step * WEIGHTS[k]!;
      y += Math.sin(angle) * step * WEIGHTS[k]!;
    });
    vertex(x, y, (i + 1) / count);
  }
}
