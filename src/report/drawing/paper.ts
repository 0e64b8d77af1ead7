// Ground -> paper. In: metres on the drawing's plane; out: millimetres on the sheet, y running down.
// Terms: window = the part of the sheet the ground is drawn in; its origin is the window's upper left corner.

import { clippedRing } from './clip.js';
import { type Box, grown } from './ground.js';

/** How far outside the window polygons are cut off, mm: their cut edges must not show. */
const OUTSIDE_MM = 2;

export class Paper {
  /** Millimetres of paper per metre of ground. */
  readonly perMetre: number;
  /** The window, mm, from its own corner. */
  readonly window: Box;
  /** The ground it shows, metres. */
  readonly shown: Box;

  /** The middle of `extent` comes to the middle of the window. */
  constructor(extent: Box, ratio: number, widthMm: number, heightMm: number) {
    this.perMetre = 1000 / ratio;
    this.window = { x0: 0, y0: 0, x1: widthMm, y1: heightMm };
    const mx = (extent.x0 + extent.x1) / 2;
    const my = (extent.y0 + extent.y1) / 2;
    const halfWidth = widthMm / 2 / this.perMetre;
    const halfHeight = heightMm / 2 / this.perMetre;
    this.shown = { x0: mx - halfWidth, y0: my - halfHeight, x1: mx + halfWidth, y1: my + halfHeight };
  }

  x(metres: number): number {
    return (metres - this.shown.x0) * this.perMetre;
  }

  y(metres: number): number {
    return (this.shown.y1 - metres) * this.perMetre;
  }

  ring(flat: readonly number[]): number[] {
    return flat.map((value, i) => (i % 2 === 0 ? this.x(value) : this.y(value)));
  }

  rings(rings: readonly (readonly number[])[]): number[][] {
    return rings.map((ring) => this.ring(ring));
  }

  /** The same of polygons as far as they show; a cut edge lies a little outside the window. */
  shownRings(rings: readonly (readonly number[])[]): number[][] {
    const box = grown(this.shown, OUTSIDE_MM / this.perMetre);
    return rings.map((ring) => this.ring(clippedRing(ring, box)));
  }
}
