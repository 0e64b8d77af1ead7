// How good readings usually are. In: a kind of reading and its size; out: its standard error. Terms: see types.ts. A row with
// an `accuracy_*` of its own goes before these figures.

/** One standard error each. All of them: common practice, no source. */
export const USUAL = {
  /** A tape held by hand, read to the half inch: 15 mm, and 0.5 mm a metre for sag and pull. */
  tapeM: 0.015,
  tapePerM: 0.0005,
  /** A right angle off a baseline by eye or with a prism: 1 degree; it moves the place along the line. */
  squareDeg: 1,
  /** A hand compass, or a bearing taken off a plan. */
  bearingDeg: 0.5,
  /** An angle by a small instrument or three tapes. */
  angleDeg: 0.25,
  /** The turn at the corner of a building. */
  turnDeg: 0.5,
  /** A stake whose coordinates a surveyor gave. */
  knownM: 0.01,
  /** A corner that is built from others (a house as width and depth): it is drawn, not measured. */
  drawnM: 0.001,
} as const;

const RAD = Math.PI / 180;

export function tapeSigma(lengthM: number): number {
  return USUAL.tapeM + USUAL.tapePerM * Math.abs(lengthM);
}

/** Along a baseline: the tape, and the foot of the square that is off by the offset times its angle. */
export function alongSigma(alongM: number, offsetM: number): number {
  return Math.hypot(tapeSigma(alongM), Math.abs(offsetM) * USUAL.squareDeg * RAD);
}

export function degrees(deg: number): number {
  return deg * RAD;
}
