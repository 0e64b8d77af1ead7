// The kernel against the integral over angle, case by case: in: the kernel's classes (built or source) and a case;
// out: the difference of every figure in percentage points of the zone, and of the families a run's worst.
// Terms: point = a hundredth of the zone's area (for the distance: of the radius, or of the distance if that is longer).

import { byAngle } from './by-angle.mjs';
import { FAMILIES, generator, seedOf } from './kernel-cases.mjs';

export const FIGURES = ['overlap', 'severed', 'shares', 'distance'];
/** Percentage points a figure may be off. */
export const ALLOWED = 1e-6;
const NEAREST_LIMIT_M = 1000;

/** What the kernel says of a case; `kernel` = { Meter, PieceBuilder, compactParts }. */
export function measured(kernel, { polygons, zone, compact = false }) {
  const builder = new kernel.PieceBuilder();
  polygons.forEach((p, owner) => {
    for (const part of compact ? kernel.compactParts(p.rings) : [p.rings]) {
      builder.add(part, { owner, classBit: 8 << p.kind, cuts: p.cuts });
    }
  });
  const meter = new kernel.Meter(builder.finish());
  meter.nearest(zone.x + 1, zone.y - 2); // the tree before: what it leaves in the meter must not matter
  const isDisc = zone.radii === undefined;
  const overlap = isDisc
    ? meter.discAndNearest(zone.x, zone.y, zone.r)
    : meter.quarters(zone.x, zone.y, zone.radii, zone.turn);
  const shares = Array.from({ length: 7 }, (_, kind) => meter.coveredBy(8 << kind));
  const severed = meter.severed;
  if (!isDisc) meter.nearest(zone.x, zone.y);
  return { overlap, severed, shares, distance: meter.distance };
}

/** The differences of one case; NaN where the kernel gives no number, or a share of the zone below 0 or above 100. */
export function differences(kernel, one) {
  const ours = measured(kernel, one);
  const truth = byAngle(one.polygons, one.zone);
  const area = truth.zoneArea;
  const points = (d) => (Math.abs(d) / area) * 100;
  const r = one.zone.r ?? Math.max(...one.zone.radii);
  const isHeld = ours.overlap >= 0 && ours.overlap <= area * (1 + 1e-15) && ours.severed >= -1e-9 * area;
  const limit = Math.max(NEAREST_LIMIT_M, r);
  const isFar = truth.distance > limit * (1 - 1e-9);
  return {
    overlap: isHeld ? points(ours.overlap - truth.covered) : Number.NaN,
    severed: points(ours.severed - Math.min(Math.max(ours.severed, truth.severed), truth.severedHigh)),
    shares: points(Math.max(...ours.shares.map((s, kind) => Math.abs(s - truth.shares[kind])))),
    distance:
      Number.isNaN(ours.distance) && isFar
        ? 0
        : (Math.abs(ours.distance - truth.distance) / Math.max(r, truth.distance)) * 100,
  };
}

/** Runs `count` cases, family after family in turn; `onBroken` gets every case over the bound. */
export function fuzz(kernel, count, seed, onBroken, first = 0) {
  const names = Object.keys(FAMILIES);
  const table = new Map(
    names.map((name) => [name, { cases: 0, worst: Object.fromEntries(FIGURES.map((f) => [f, 0])) }]),
  );
  for (let i = first; i < first + count; i++) {
    const name = names[i % names.length];
    const one = FAMILIES[name](generator(seedOf(seed, i)));
    const row = table.get(name);
    const by = differences(kernel, one);
    row.cases++;
    for (const f of FIGURES) {
      if (!(by[f] <= row.worst[f])) row.worst[f] = Number.isNaN(row.worst[f]) ? Number.NaN : by[f];
    }
    if (FIGURES.some((f) => !(by[f] <= ALLOWED))) onBroken({ family: name, number: i, seed, by, case: one });
  }
  return table;
}
