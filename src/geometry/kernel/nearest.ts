// The place nearest to the origin on edges seen one after another. In: edges relative to the point asked about; out: the
// square of the distance, and the place. Cost: one product and a division an edge.

export class Nearest {
  distance2: number = 0; // to the nearest place so far
  nearX: number = 0; // that place, relative to the point
  nearY: number = 0;

  /** One edge p-q, d = q - p, dd = d . d, along = -p . d: along / dd tells where its line is nearest. */
  protected nearestOn(
    px: number,
    py: number,
    qx: number,
    qy: number,
    dx: number,
    dy: number,
    dd: number,
    along: number,
  ): void {
    let x = px;
    let y = py;
    if (along >= dd) {
      x = qx;
      y = qy;
    } else if (along > 0) {
      const t = along / dd;
      x = px + t * dx;
      y = py + t * dy;
    }
    const d2 = x * x + y * y;
    if (d2 < this.distance2) {
      this.distance2 = d2;
      this.nearX = x;
      this.nearY = y;
    }
  }
}
