// The plane that a plan is drawn in. In: the coordinate systems of its layers and a place; out: native coordinates to metres
// in one true-to-size plane about the site, and back. Terms: native = as the layer's file has them.

import type { CrsTransform, Frame } from '../../model/index.js';

export class Plane {
  readonly frame: Frame;

  constructor(frame: Frame) {
    this.frame = frame;
  }

  /** Native pairs as metres; a new array. */
  toPlane(native: readonly number[], transform: CrsTransform): number[] {
    const xy = Float64Array.from(native);
    transform.toLonLat(xy);
    this.frame.toFrame(xy, xy);
    return [...xy];
  }

  /**
   * Metres as native pairs, to a tenth of a millimetre and less. A local ground system has no longitude and latitude:
   * its transform knows stand-ins for them.
   */
  toNative(plane: readonly number[], transform: CrsTransform): number[] {
    const xy = Float64Array.from(plane);
    this.frame.toLonLat(xy, xy);
    transform.fromLonLat(xy);
    const digits = transform.crs.kind === 'geographic' ? 1e9 : 1e6;
    return Array.from(xy, (value) => Math.round(value * digits) / digits);
  }
}
