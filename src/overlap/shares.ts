// Who takes what of one tree's zone. In: the works near it and its site; out: per row of works the area it takes alone and the
// area that nothing else covers. Terms: own, sole as in PieceFigure. Measured by the kernel that measured the overlap.

import { EXISTING, FIRST_CLASS, Meter, PieceBuilder } from '../geometry/index.js';
import type { PieceFigure } from '../model/index.js';
import type { OverlapInput, Site } from './input.js';
import { worksBoxes, worksNear } from './nearby.js';
import { addWorks } from './pieces.js';

/** Every row of works that takes some of the zone or would if it counted, in input order. */
export function shares(input: OverlapInput, boxes: Float64Array, tree: number, site: Site): readonly PieceFigure[] {
  const { works, weights } = input;
  const radius = input.zones.radiusM[tree]!;
  const lon = input.treeLonLat[tree * 2]!;
  const lat = input.treeLonLat[tree * 2 + 1]!;
  const near = worksNear(boxes, works, [lon, lat, lon, lat], radius);
  const own = ownArea(input, tree, site, [lon, lat, lon, lat], radius);
  zoneArea(site.meter, input, tree, site);
  const { touching } = site.meter;
  return [...near].flatMap((row) => {
    const figure = {
      works: row,
      whyNot: weights.whyNot.get(row) ?? null,
      cuts: weights.cuts[row] === 1,
      ownM2: own(row),
      soleM2: weights.counts[row] === 1 ? Math.max(touching.soleOf(row), 0) : 0,
    };
    return figure.ownM2 > 0 ? [figure] : [];
  });
}

/** Area of the zone under one row of works, as if the others were not there; hard ground that is spared is left out. */
function ownArea(
  input: OverlapInput,
  tree: number,
  site: Site,
  box: readonly [number, number, number, number],
  radius: number,
): (row: number) => number {
  const { works, worksLonLat: lonLat, existing } = input;
  const spared = existing?.spared === true ? existing : null;
  const hard = spared === null ? null : worksNear(worksBoxes(spared.works, spared.lonLat), spared.works, box, radius);
  return (row) => {
    const builder = new PieceBuilder();
    const tagOf = (owner: number) => ({ owner, classBit: FIRST_CLASS, cuts: false });
    addWorks(builder, { works, lonLat, tagOf }, Uint32Array.of(row), site.frame, false);
    if (spared !== null && hard !== null) {
      const hardTag = (owner: number) => ({ owner, classBit: EXISTING, cuts: false });
      addWorks(builder, { works: spared.works, lonLat: spared.lonLat, tagOf: hardTag }, hard, site.frame, false);
    }
    return zoneArea(new Meter(builder.finish(), undefined, spared !== null), input, tree, site);
  };
}

/** What works take of the zone, whatever its shape. */
function zoneArea(meter: Meter, { zones, shapes }: OverlapInput, tree: number, { frame, x, y }: Site): number {
  const shape = shapes?.get(tree);
  if (shape !== undefined) return meter.polygon(x, y, shape.reachM, shape.pieces);
  const four = zones.quarters.get(tree);
  if (four === undefined) return meter.disc(x, y, zones.radiusM[tree]!);
  return meter.quarters(x, y, four, (-frame.convergence(x, y) * Math.PI) / 180);
}
