// Long polygons cut into compact ones: in: a valid polygon (shell anticlockwise, holes clockwise, not closed);
// out: polygons with the same union, none of them long. A road across a city otherwise meets every tree's box.
// Terms: cut = an upright or level line that passes through no corner; crossing = where an edge meets it; chain = a run
// of corners on one side, from crossing to crossing. Figures of the union do not change: a cut adds edges inside the
// polygon only, and moves its crossings by rounding (1e-12 m).

import { ringBox, ringHolds, signedArea } from '../rings/ring.js';

export type Rings = readonly (readonly number[])[];

/** A polygon of more corners is cut. */
const MOST_CORNERS = 32;
/** A polygon that is longer than this and fills little of its box is cut, metres. */
const LONG_M = 80;
const FILLS_LITTLE = 0.35;
const DEEPEST = 16;

/**
 * Cuts a polygon until its parts are compact; a compact polygon comes back unchanged.
 *
 * @example
 * compactParts([[0, 0, 1000, 10, 1000, 20, 0, 10]]).length; // 16
 */
export function compactParts(polygon: Rings, depth: number = 0): Rings[] {
  const axis = depth < DEEPEST ? axisToCut(polygon) : null;
  if (axis === null) return [polygon];
  const at = middle(polygon, axis);
  const halves = at === null ? null : cut(polygon, axis, at);
  if (halves === null) return [polygon];
  return halves.flatMap((half) => compactParts(half, depth + 1));
}

/** 0 to cut across x, 1 across y, null to leave the polygon as it is. */
function axisToCut(polygon: Rings): 0 | 1 | null {
  let corners = 0;
  let area = 0;
  for (const ring of polygon) {
    corners += ring.length / 2;
    area += signedArea(ring);
  }
  const [minX, minY, maxX, maxY] = ringBox(polygon[0]!);
  const width = maxX - minX;
  const height = maxY - minY;
  const long = Math.max(width, height) > LONG_M && area < FILLS_LITTLE * width * height;
  if (corners <= MOST_CORNERS && !long) return null;
  return width >= height ? 0 : 1;
}

/** A coordinate near the middle of the box that no corner has; null when there is none. */
function middle(polygon: Rings, axis: 0 | 1): number | null {
  const shell = polygon[0]!;
  let low = Infinity;
  let high = -Infinity;
  for (let i = axis; i < shell.length; i += 2) {
    low = Math.min(low, shell[i]!);
    high = Math.max(high, shell[i]!);
  }
  const wanted = (low + high) / 2;
  let below = -Infinity;
  let above = Infinity;
  for (const ring of polygon) {
    for (let i = axis; i < ring.length; i += 2) {
      const c = ring[i]!;
      if (c <= wanted) below = Math.max(below, c);
      else above = Math.min(above, c);
    }
  }
  // `wanted` itself unless a corner is there; between two different corners there is always room
  const at = below === wanted ? (below + above) / 2 : wanted;
  return at > below && at < above && Number.isFinite(at) ? at : null;
}

interface Crossing {
  readonly along: number;
  readonly x: number;
  readonly y: number;
  /** Whether the edge goes from the low side to the high side. */
  readonly up: boolean;
  partner: number;
  /** The chain that begins here, on the side the edge goes to. */
  next: Chain | null;
}

interface Chain {
  readonly corners: number[];
  readonly high: boolean;
  from: number; // crossing
  to: number;
  used: boolean;
}

/** Both halves' polygons; null when the crossings do not pair up (the polygon is left whole then). */
function cut(polygon: Rings, axis: 0 | 1, at: number): Rings[] | null {
  const crossings: Crossing[] = [];
  const chains: Chain[] = [];
  const whole: (readonly number[])[] = []; // holes that the line misses
  for (const ring of polygon) {
    const before = crossings.length;
    addChains(ring, axis, at, crossings, chains);
    if (crossings.length === before) {
      if (ring === polygon[0]) return null;
      whole.push(ring);
    }
  }
  if (!pair(crossings)) return null;
  const shells: number[][] = [];
  for (const chain of chains) {
    if (chain.used) continue;
    const shell = trace(chain, crossings);
    if (shell === null || !(signedArea(shell) > 0)) return null;
    shells.push(shell);
  }
  const parts: (readonly number[])[][] = shells.map((shell) => [shell]);
  for (const hole of whole) {
    const home = parts.find((part) => ringHolds(part[0]!, hole[0]!, hole[1]!));
    if (home === undefined) return null;
    home.push(hole);
  }
  return parts;
}

function addChains(ring: readonly number[], axis: 0 | 1, at: number, crossings: Crossing[], chains: Chain[]): void {
  const n = ring.length / 2;
  const isHigh = (i: number): boolean => ring[(i % n) * 2 + axis]! > at;
  let start = 0;
  while (start < n && isHigh(start) === isHigh(start + 1)) start++;
  if (start === n) return; // all on one side
  let chain: Chain | null = null;
  const first = crossings.length;
  for (let k = 0; k <= n; k++) {
    const i = (start + k) % n;
    if (k > 0) chain?.corners.push(ring[i * 2]!, ring[i * 2 + 1]!);
    if (k === n || isHigh(i) === isHigh(i + 1)) continue;
    const number = crossings.length;
    if (chain !== null) chain.to = number;
    crossings.push(crossingOf(ring, i, (i + 1) % n, axis, at));
    chain = { corners: [], high: isHigh(i + 1), from: number, to: first, used: false };
    crossings[number]!.next = chain;
    chains.push(chain);
  }
}

function crossingOf(ring: readonly number[], a: number, b: number, axis: 0 | 1, at: number): Crossing {
  const ca = ring[a * 2 + axis]!;
  const cb = ring[b * 2 + axis]!;
  const oa = ring[a * 2 + 1 - axis]!;
  const ob = ring[b * 2 + 1 - axis]!;
  const along = oa + ((at - ca) / (cb - ca)) * (ob - oa);
  return { along, x: axis === 0 ? at : along, y: axis === 0 ? along : at, up: cb > ca, partner: -1, next: null };
}

/** Pairs the crossings along the line: between the two of a pair lies the polygon's inside. */
function pair(crossings: Crossing[]): boolean {
  if (crossings.length % 2 !== 0) return false;
  const order = crossings.map((_, i) => i);
  order.sort((a, b) => crossings[a]!.along - crossings[b]!.along || a - b);
  for (let k = 0; k < order.length; k += 2) {
    const a = order[k]!;
    const b = order[k + 1]!;
    if (crossings[a]!.up === crossings[b]!.up) return false;
    crossings[a]!.partner = b;
    crossings[b]!.partner = a;
  }
  return true;
}

/** One part's shell: a chain, along the line to its partner, the chain that begins there on the same side, and so on. */
function trace(start: Chain, crossings: readonly Crossing[]): number[] | null {
  const shell: number[] = [];
  let chain = start;
  do {
    if (chain.used) return null;
    chain.used = true;
    const from = crossings[chain.from]!;
    const to = crossings[chain.to]!;
    shell.push(from.x, from.y, ...chain.corners, to.x, to.y);
    const next = crossings[to.partner]!.next;
    if (next === null || next.high !== start.high) return null;
    chain = next;
  } while (chain !== start);
  return shell;
}
