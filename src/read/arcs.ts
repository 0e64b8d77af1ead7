// Arcs and other curves of a drawing into a LayerBuilder, and one finding with the number drawn as chords.
// In: curves; out: vertices. Terms: chord error = the most that a chord lies off its curve: 1 mm, by the file's own unit.

import { bulgeArc, centreArc, ellipseArc } from '../geometry/index.js';
import type { LayerBuilder } from '../model/index.js';
import { finding } from '../model/index.js';

/** The chord error, in metres. */
export const CHORD_ERROR_M = 0.001;

type Place = readonly [x: number, y: number];

export class Arcs {
  readonly #into: LayerBuilder;
  /** The chord error in the file's own unit. */
  readonly sagitta: number;
  readonly #unitKnown: boolean;
  #count = 0;
  #first = 0;

  /** `metresPerUnit` undefined: the file states no unit, so 0.001 of its own unit is used. */
  constructor(into: LayerBuilder, metresPerUnit: number | undefined) {
    this.#into = into;
    this.#unitKnown = metresPerUnit !== undefined;
    this.sagitta = CHORD_ERROR_M / (metresPerUnit ?? 1);
  }

  /** Vertices between the ends of a bulged segment, all at one height. */
  bulge(x0: number, y0: number, x1: number, y1: number, bulge: number, z: number): void {
    this.tell();
    bulgeArc(x0, y0, x1, y1, bulge, this.sagitta, (x, y) => this.#into.vertex(x, y, z));
  }

  /** Vertices between the ends of an arc about a centre; heights run evenly from z0 to z1. */
  centre(start: Place, end: Place, centre: Place, anticlockwise: boolean, z0: number, z1: number): void {
    this.tell();
    centreArc(start, end, centre, anticlockwise, this.sagitta, (x, y, share) =>
      this.#into.vertex(x, y, z0 + (z1 - z0) * share),
    );
  }

  /** Vertices between the ends of an arc of an ellipse; see geometry/curves/arc.ts. */
  ellipse(centre: Place, major: Place, minor: Place, from: number, to: number, z: number): void {
    this.tell();
    ellipseArc(centre, major, minor, from, to, this.sagitta, (x, y) => this.#into.vertex(x, y, z));
  }

  /** Counts a curve that is about to be drawn as chords. */
  tell(): void {
    if (this.#count === 0) this.#first = this.#into.count;
    this.#count++;
  }

  /** One finding for the layer, when there was an arc. */
  report(): void {
    if (this.#count === 0) return;
    const most = this.#unitKnown ? '1 mm' : '0.001 of a drawing unit (the file states none)';
    const curves = this.#count === 1 ? '1 curve was' : `${this.#count} curves were`;
    const place = { layer: this.#into.name, feature: this.#first, path: 'geometry' };
    const message = `${curves} drawn as chords with their ends on the curve; none lies more than ${most} off it`;
    this.#into.findings.push(finding('arc-chorded', place, message, 'nothing to do'));
  }
}
