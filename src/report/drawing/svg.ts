// Numbers and outlines -> SVG. In: millimetres of paper; out: attribute values and path data of few bytes.
// Terms: hundredths = paper is written to 0.01 mm, as whole numbers until the last moment, so that steps add up exactly;
// tolerance = how far a corner may lie off a straight line between its neighbours and still be left out.

import { alongSegment } from '../../geometry/index.js';

/** Paper is written to a hundredth of a millimetre. */
const PER_MM = 100;
/** A corner that lies nearer to the line than this is left out, mm: half of the finest line a plotter draws. */
const TOLERANCE_MM = 0.012;

/** Millimetres to 0.01, without a leading zero: '12.5', '.25', '-3'. */
export function mm(value: number): string {
  return hundredths(Math.round(value * PER_MM));
}

function hundredths(whole: number): string {
  const text = String((whole + 0) / PER_MM);
  return text.replace(/^(-?)0\./, '$1.');
}

/** Path data of closed rings (flat x, y in mm, not closed); rings smaller than a dot fall away. */
export function ringsPath(rings: readonly (readonly number[])[]): string {
  let out = '';
  for (const ring of rings) out += ringPath(ring, true);
  return out;
}

/**
 * Path data of a circle, as four curves: of SVG's own circles a browser that prints to PDF makes 32. Off by less than 3 in
 * 10,000 of the radius.
 */
export function circlePath(x: number, y: number, r: number): string {
  const k = r * 0.5522847498; // 4/3 tan(pi/8)
  const [a, b, c] = [mm(r), mm(k), mm(r - k)];
  return `M${mm(x - r)},${mm(y)}c0-${b} ${c}-${a} ${a}-${a}s${a},${c} ${a},${a}-${c},${a}-${a},${a}-${a}-${c}-${a}-${a}z`;
}

/** Path data of an open line. */
export function linePath(line: readonly number[]): string {
  return ringPath(line, false);
}

function ringPath(flat: readonly number[], closed: boolean): string {
  const kept = simplified(flat, closed);
  const least = closed ? 6 : 4;
  if (kept.length < least) return '';
  let x = kept[0]!;
  let y = kept[1]!;
  const parts = [`M${hundredths(x)},${hundredths(y)}l`];
  for (let i = 2; i < kept.length; i += 2) {
    const dx = hundredths(kept[i]! - x);
    const dy = hundredths(kept[i + 1]! - y);
    parts.push(`${i > 2 && !dx.startsWith('-') ? ' ' : ''}${dx}${dy.startsWith('-') ? '' : ','}${dy}`);
    x = kept[i]!;
    y = kept[i + 1]!;
  }
  if (closed) parts.push('z');
  return parts.join('');
}

/** Whole hundredths, without repeated corners and without those that lie on the line (Douglas and Peucker 1973). */
function simplified(flat: readonly number[], closed: boolean): number[] {
  const xy: number[] = [];
  for (let i = 0; i < flat.length; i += 2) {
    const x = Math.round(flat[i]! * PER_MM) + 0;
    const y = Math.round(flat[i + 1]! * PER_MM) + 0;
    const n = xy.length;
    if (n > 0 && xy[n - 2] === x && xy[n - 1] === y) continue;
    xy.push(x, y);
  }
  while (closed && xy.length > 2 && xy[0] === xy[xy.length - 2] && xy[1] === xy[xy.length - 1]) xy.length -= 2;
  const n = xy.length / 2;
  if (n < 4) return xy;
  const keep = new Uint8Array(n + 1);
  keep[0] = 1;
  // A ring is cut open at its first corner and the one farthest from it.
  const far = closed ? farthestFrom(xy, 0) : n - 1;
  keep[far] = 1;
  const open: [number, number][] = closed
    ? [
        [0, far],
        [far, n],
      ]
    : [[0, n - 1]];
  for (;;) {
    const span = open.pop();
    if (span === undefined) break;
    const [from, to] = span;
    const split = farthestOff(xy, from, to, n);
    if (split < 0) continue;
    keep[split] = 1;
    open.push([from, split], [split, to]);
  }
  const out: number[] = [];
  for (let i = 0; i < n; i++) if (keep[i] === 1) out.push(xy[i * 2]!, xy[i * 2 + 1]!);
  return out;
}

function farthestFrom(xy: readonly number[], at: number): number {
  let best = at;
  let most = -1;
  for (let i = 0; i < xy.length / 2; i++) {
    const d = (xy[i * 2]! - xy[at * 2]!) ** 2 + (xy[i * 2 + 1]! - xy[at * 2 + 1]!) ** 2;
    if (d > most) [best, most] = [i, d];
  }
  return best;
}

/** The corner between two that lies farthest off the straight line, when that is more than the tolerance; else -1. */
function farthestOff(xy: readonly number[], from: number, to: number, n: number): number {
  const ax = xy[from * 2]!;
  const ay = xy[from * 2 + 1]!;
  const dx = xy[(to % n) * 2]! - ax;
  const dy = xy[(to % n) * 2 + 1]! - ay;
  let best = -1;
  let most = (TOLERANCE_MM * PER_MM) ** 2;
  for (let i = from + 1; i < to; i++) {
    const px = xy[i * 2]! - ax;
    const py = xy[i * 2 + 1]! - ay;
    const along = alongSegment(0, 0, dx, dy, px, py);
    const d = (px - along * dx) ** 2 + (py - along * dy) ** 2;
    if (d > most) [best, most] = [i, d];
  }
  return best;
}
