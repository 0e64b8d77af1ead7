// Where points roughly are. In: a notebook, positions of known points (or an axis); out: a first position for every point that its
// readings fix, and why the others are not. Terms: locus = where one reading lets a point be: a circle, a line, a ray; crossing =
// where two of them meet. Cost: points x readings for each step outwards from what is known.

import type { Notebook, Reading } from './types.js';

export type Trouble =
  | { readonly why: 'loose'; readonly loci: readonly Reading[] }
  | {
      readonly why: 'side';
      readonly places: readonly (readonly [number, number])[];
      readonly line: readonly [number, number] | null;
    }
  | { readonly why: 'apart'; readonly gapM: number; readonly of: readonly Reading[] };

export interface Start {
  readonly xy: Float64Array; // 2 per point, NaN where it is not placed
  /** Per reading: 1, or -1 for an offset that is to the right after all. */
  readonly sign: Int8Array;
  readonly troubles: ReadonlyMap<number, Trouble>;
}

interface Locus {
  readonly reading: Reading;
  readonly circle: boolean;
  readonly x: number;
  readonly y: number;
  readonly r: number; // of a circle
  readonly dx: number; // of a line, unit
  readonly dy: number;
  readonly isRay: boolean;
  readonly sign: number; // of an offset
}

interface Crossing {
  readonly x: number;
  readonly y: number;
  readonly sign: ReadonlyMap<Reading, number>;
}

/** Circles that cross under less than this are uncertain; a sharper crossing is waited for. */
export const FLAT_DEG = 20;
const FLAT_SIN = Math.sin((FLAT_DEG * Math.PI) / 180);
/** One of two places is taken when the other readings fit it so much better (sum of squares in standard errors: 5 of one). */
const CLEARLY = 25;
/** Circles that fail to meet by less than this many standard errors are taken to touch. */
const TOUCH = 6;

/** Places every point that is fixed; `placed` holds the points to start from, NaN for all others. */
export function startFrom(notes: Notebook, placed: Float64Array, swingFree: boolean, insideOf: InsideOf): Start {
  const xy = placed.slice();
  const sign = new Int8Array(notes.readings.length).fill(1);
  const indexOf = new Map(notes.readings.map((reading, i) => [reading, i]));
  const of = readingsOf(notes, swingFree);
  let troubles = new Map<number, Trouble>();
  for (let demand = 0; demand < 2; ) {
    let moved = false;
    troubles = new Map();
    for (let p = 0; p < notes.points.length; p++) {
      if (!Number.isNaN(xy[p * 2]!)) continue;
      const found = place(notes, p, of[p]!, xy, demand === 0, insideOf);
      if ('why' in found) troubles.set(p, found);
      else {
        [xy[p * 2], xy[p * 2 + 1]] = [found.x, found.y];
        for (const [reading, s] of found.sign) sign[indexOf.get(reading)!] = s;
        moved = true;
      }
    }
    demand = moved ? 0 : demand + 1; // only flat crossings are left: take them
  }
  settleSides(notes.readings, xy, sign);
  return { xy, sign, troubles };
}

/** 1: left, -1: right of the line a to b is inside of a lot whose edge it is; 0: it is no edge, or the lot is not placed. */
export type InsideOf = (a: number, b: number, xy: Float64Array) => number;

function readingsOf({ points, readings }: Notebook, swingFree: boolean): Reading[][] {
  const of: Reading[][] = points.map(() => []);
  for (const reading of readings) {
    if (reading.kind === 'bearing' && swingFree) continue;
    of[reading.p]!.push(reading);
    if (reading.q >= 0) of[reading.q]!.push(reading);
  }
  return of;
}

/** Offsets without a side of points that were placed by other readings. */
function settleSides(readings: readonly Reading[], xy: Float64Array, sign: Int8Array): void {
  readings.forEach((reading, i) => {
    if (!reading.eitherSide) return;
    const [, offset] = onLine(xy, reading);
    if (!Number.isNaN(offset)) sign[i] = offset < 0 ? -1 : 1;
  });
}

/** Along and offset (left positive) of p on the line a to b. */
export function onLine(
  xy: Float64Array,
  { p, a, b }: { readonly p: number; readonly a: number; readonly b: number },
): [number, number] {
  const wx = xy[b * 2]! - xy[a * 2]!;
  const wy = xy[b * 2 + 1]! - xy[a * 2 + 1]!;
  const vx = xy[p * 2]! - xy[a * 2]!;
  const vy = xy[p * 2 + 1]! - xy[a * 2 + 1]!;
  const length = Math.hypot(wx, wy);
  return [(vx * wx + vy * wy) / length, (wx * vy - wy * vx) / length];
}

function isAt(xy: Float64Array, ...points: readonly number[]): boolean {
  return points.every((p) => !Number.isNaN(xy[p * 2]!));
}

function loci(p: number, readings: readonly Reading[], xy: Float64Array, insideOf: InsideOf): Locus[] {
  const out: Locus[] = [];
  for (const reading of readings) {
    const { kind, q, a, b, value } = reading;
    const other = reading.p === p ? q : reading.p;
    const line = { reading, circle: false, r: 0, isRay: false, sign: 1 };
    if (kind === 'distance' && isAt(xy, other)) {
      out.push({ ...line, circle: true, x: xy[other * 2]!, y: xy[other * 2 + 1]!, r: value, dx: 0, dy: 0 });
    } else if (kind === 'bearing' && isAt(xy, other)) {
      const to = reading.p === p ? value : value + Math.PI;
      out.push({ ...line, x: xy[other * 2]!, y: xy[other * 2 + 1]!, dx: Math.sin(to), dy: Math.cos(to), isRay: true });
    } else if (kind === 'angle' && a !== p && b !== p && isAt(xy, other, a, b)) {
      const sight = Math.atan2(xy[b * 2]! - xy[a * 2]!, xy[b * 2 + 1]! - xy[a * 2 + 1]!);
      const to = sight + value + (reading.p === p ? 0 : Math.PI);
      out.push({ ...line, x: xy[other * 2]!, y: xy[other * 2 + 1]!, dx: Math.sin(to), dy: Math.cos(to), isRay: true });
    } else if ((kind === 'along' || kind === 'offset') && reading.p === p && isAt(xy, a, b)) {
      const length = Math.hypot(xy[b * 2]! - xy[a * 2]!, xy[b * 2 + 1]! - xy[a * 2 + 1]!);
      const ux = (xy[b * 2]! - xy[a * 2]!) / length;
      const uy = (xy[b * 2 + 1]! - xy[a * 2 + 1]!) / length;
      const [x, y] = [xy[a * 2]!, xy[a * 2 + 1]!];
      if (kind === 'along') out.push({ ...line, x: x + ux * value, y: y + uy * value, dx: -uy, dy: ux });
      else {
        const inside = reading.eitherSide ? insideOf(a, b, xy) : 1;
        for (const sign of inside === 0 ? [1, -1] : [inside]) {
          out.push({ ...line, x: x - uy * value * sign, y: y + ux * value * sign, dx: ux, dy: uy, sign });
        }
      }
    }
  }
  return out;
}

/** Sine of the angle under which two loci cross at a place. */
function sharpness(one: Locus, two: Locus, x: number, y: number): number {
  const [ax, ay] = along(one, x, y);
  const [bx, by] = along(two, x, y);
  return Math.abs(ax * by - ay * bx);
}

/** The direction of a locus at a place. */
function along({ circle, x: cx, y: cy, dx, dy }: Locus, x: number, y: number): [number, number] {
  if (!circle) return [dx, dy];
  const r = Math.hypot(x - cx, y - cy) || 1;
  return [-(y - cy) / r, (x - cx) / r];
}

function place(
  notes: Notebook,
  p: number,
  readings: readonly Reading[],
  xy: Float64Array,
  sharp: boolean,
  insideOf: InsideOf,
): Crossing | Trouble {
  const all = loci(p, readings, xy, insideOf);
  let best: { readonly at: readonly Crossing[]; readonly sine: number } | undefined;
  let apart: Extract<Trouble, { why: 'apart' }> | undefined;
  for (let i = 0; i < all.length; i++) {
    for (let j = i + 1; j < all.length; j++) {
      const [one, two] = [all[i]!, all[j]!];
      if (one.reading === two.reading) continue;
      const met = meet(one, two);
      if ('gapM' in met) apart = apart === undefined || met.gapM < apart.gapM ? met : apart;
      else {
        const sine = Math.max(0, ...met.map(({ x, y }) => sharpness(one, two, x, y)));
        if (met.length > 0 && (best === undefined || sine > best.sine)) best = { at: met, sine };
      }
    }
  }
  if (best === undefined) return apart ?? { why: 'loose', loci: [...new Set(all.map((locus) => locus.reading))] };
  if (sharp && best.sine < FLAT_SIN) return { why: 'loose', loci: all.map((locus) => locus.reading) };
  // The places of the sharpest crossing, and where an offset may be to either side, of all that it is part of.
  const twofold = readings.some((reading) => reading.eitherSide);
  const places = twofold ? everyCrossing(all) : best.at;
  return chosen(notes, p, places, all, xy);
}

function everyCrossing(all: readonly Locus[]): Crossing[] {
  const out: Crossing[] = [];
  for (let i = 0; i < all.length; i++) {
    for (let j = i + 1; j < all.length; j++) {
      const met = all[i]!.reading === all[j]!.reading ? [] : meet(all[i]!, all[j]!);
      if (!('gapM' in met))
        for (const { x, y } of met)
          if (sharpness(all[i]!, all[j]!, x, y) >= FLAT_SIN) out.push({ x, y, sign: signsOf([all[i]!, all[j]!]) });
    }
  }
  return out;
}

function signsOf(two: readonly Locus[]): Map<Reading, number> {
  return new Map(two.filter(({ reading }) => reading.eitherSide).map(({ reading, sign }) => [reading, sign]));
}

/** The place that sides, rays and the other readings agree with; a trouble where two are as good. */
function chosen(
  notes: Notebook,
  p: number,
  places: readonly Crossing[],
  all: readonly Locus[],
  xy: Float64Array,
): Crossing | Trouble {
  const hints = notes.sides.filter((hint) => hint.p === p && isAt(xy, hint.a, hint.b));
  const sided = places.filter((place) => hints.every((hint) => agrees(hint, place, xy)));
  const scored = (sided.length > 0 ? sided : places)
    .map((place) => ({ place, misfit: misfit(place, all) }))
    .sort((one, two) => one.misfit - two.misfit);
  const [first] = scored;
  const rival = scored.find(
    ({ place }) => Math.hypot(place.x - first!.place.x, place.y - first!.place.y) > apartM(all),
  );
  if (rival === undefined || rival.misfit - first!.misfit > CLEARLY) return first!.place;
  const line = all.filter((locus) => locus.circle).map(({ reading }) => (reading.p === p ? reading.q : reading.p));
  return {
    why: 'side',
    places: [first!.place, rival.place].map(({ x, y }) => [x, y] as const),
    line: line.length >= 2 ? [line[0]!, line[1]!] : null,
  };
}

/** Places nearer to each other than this are one, for all the readings can tell. */
function apartM(all: readonly Locus[]): number {
  return 4 * Math.max(...all.map((locus) => sigmaM(locus, locus.r)));
}

function sigmaM({ reading }: Locus, reach: number): number {
  const isAngle = reading.kind === 'bearing' || reading.kind === 'angle';
  return isAngle ? reading.sigma * Math.max(reach, 1) : reading.sigma;
}

function agrees(
  { a, b, left }: { readonly a: number; readonly b: number; readonly left: boolean },
  { x, y }: Crossing,
  xy: Float64Array,
): boolean {
  const cross = (xy[b * 2]! - xy[a * 2]!) * (y - xy[a * 2 + 1]!) - (xy[b * 2 + 1]! - xy[a * 2 + 1]!) * (x - xy[a * 2]!);
  return left ? cross >= 0 : cross <= 0;
}

/** Sum of squares of how far a place lies off the loci, in standard errors; of an offset to either side the nearer counts. */
function misfit({ x, y }: Crossing, all: readonly Locus[]): number {
  const least = new Map<Reading, number>();
  for (const locus of all) {
    const [ex, ey] = [x - locus.x, y - locus.y];
    const reach = Math.hypot(ex, ey);
    const forward = ex * locus.dx + ey * locus.dy;
    const off = locus.circle ? reach - locus.r : locus.isRay && forward < 0 ? reach : ex * locus.dy - ey * locus.dx;
    const square = (off / sigmaM(locus, reach)) ** 2;
    least.set(locus.reading, Math.min(least.get(locus.reading) ?? Infinity, square));
  }
  let sum = 0;
  for (const square of least.values()) sum += square;
  return sum;
}

function meet(one: Locus, two: Locus): Crossing[] | Extract<Trouble, { why: 'apart' }> {
  const sign = signsOf([one, two]);
  const at = (places: readonly (readonly [number, number])[]): Crossing[] => places.map(([x, y]) => ({ x, y, sign }));
  if (!one.circle && !two.circle) return at(lines(one, two));
  const [circle, other] = one.circle ? [one, two] : [two, one];
  const touch = TOUCH * Math.hypot(sigmaM(one, one.r), sigmaM(two, one.circle ? one.r : two.r));
  const met = other.circle ? circles(circle, other, touch) : circleLine(circle, other, touch);
  return typeof met === 'number' ? { why: 'apart', gapM: met, of: [one.reading, two.reading] } : at(met);
}

function lines(one: Locus, two: Locus): [number, number][] {
  const det = one.dx * two.dy - one.dy * two.dx;
  if (Math.abs(det) < 1e-9) return [];
  const t = ((two.x - one.x) * two.dy - (two.y - one.y) * two.dx) / det;
  const s = ((two.x - one.x) * one.dy - (two.y - one.y) * one.dx) / det;
  if ((one.isRay && t < 0) || (two.isRay && s < 0)) return [];
  return [[one.x + t * one.dx, one.y + t * one.dy]];
}

/** Where two circles meet, or the gap between them. */
function circles(one: Locus, two: Locus, touch: number): [number, number][] | number {
  const [dx, dy] = [two.x - one.x, two.y - one.y];
  const d = Math.hypot(dx, dy);
  if (d < 1e-9) return [];
  const gap = Math.max(d - one.r - two.r, Math.abs(one.r - two.r) - d);
  if (gap > touch) return gap;
  const a = (one.r * one.r - two.r * two.r + d * d) / (2 * d);
  const [mx, my] = [one.x + (a * dx) / d, one.y + (a * dy) / d];
  const h2 = one.r * one.r - a * a;
  if (h2 <= 0) return [[mx, my]];
  const h = Math.sqrt(h2);
  return [
    [mx - (h * dy) / d, my + (h * dx) / d],
    [mx + (h * dy) / d, my - (h * dx) / d],
  ];
}

function circleLine(circle: Locus, line: Locus, touch: number): [number, number][] | number {
  const t = (circle.x - line.x) * line.dx + (circle.y - line.y) * line.dy;
  const [fx, fy] = [line.x + t * line.dx, line.y + t * line.dy];
  const off = Math.hypot(fx - circle.x, fy - circle.y);
  if (off - circle.r > touch) return off - circle.r;
  const h = Math.sqrt(Math.max(circle.r * circle.r - off * off, 0));
  return [t + h, t - h]
    .filter((s, i, both) => (!line.isRay || s >= 0) && (i === 0 || s !== both[0]))
    .map((s) => [line.x + s * line.dx, line.y + s * line.dy]);
}

/** Sine of the sharpest angle under which what is measured of a placed point crosses; 0 where nothing crosses. */
export function sharpest(p: number, readings: readonly Reading[], xy: Float64Array): number {
  const own = readings.filter((reading) => reading.p === p || reading.q === p);
  const all = loci(p, own, xy, () => 0);
  let most = 0;
  for (let i = 0; i < all.length; i++) {
    for (let j = i + 1; j < all.length; j++) {
      if (all[i]!.reading !== all[j]!.reading)
        most = Math.max(most, sharpness(all[i]!, all[j]!, xy[p * 2]!, xy[p * 2 + 1]!));
    }
  }
  return most;
}
