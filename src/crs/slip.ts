// In: layers with their Crs; out: findings where international and US survey feet look mixed up.
// Terms: slip = the shift such a mix-up makes: 2 parts in a million of the coordinates (4 ft at 2,000,000 ft), which
// no layer shows alone. It is looked for between layers: their middles apart by just that much, in that direction.

import type { Crs } from '../model/index.js';
import { type Finding, finding, METRES_PER } from '../model/index.js';
import type { AssignedLayer } from './stated.js';
import { transformFor } from './transform.js';

const RATIO = METRES_PER.ftUS / METRES_PER.ft - 1; // 2.000004e-6
const SAMPLE = 20_000; // vertices looked at per layer
const LEAST = 8; // with fewer, one layer's middle says nothing about the other's
const LEAST_SLIP_M = 0.3; // smaller slips cannot be told from drawing errors
const MATCH = 0.1; // share of the slip by which the middles may miss it

export function feetSlips(layers: readonly AssignedLayer[]): readonly Finding[] {
  const trees = layers.find((one) => one.role === 'trees');
  if (trees === undefined || trees.crs.kind !== 'projected') return [];
  const findings: Finding[] = [];
  for (const other of layers) {
    if (other === trees || other.crs.kind !== 'projected') continue;
    const message = twoFeet(trees, other) ?? slip(trees, other);
    if (message === null) continue;
    const cure = `find out which foot each file uses (1 ft = 0.3048 m, 1 US survey foot = 1200/3937 m) and name the system of that foot with --${other.role}-crs`;
    findings.push(finding('feet-slip', { layer: other.layer.name }, message, cure));
  }
  return findings;
}

/** One zone in both kinds of feet: right only if the two files really differ. */
function twoFeet(a: AssignedLayer, b: AssignedLayer): string | null {
  const feet = [a.crs.unit, b.crs.unit];
  if (!feet.includes('ft') || !feet.includes('ftUS') || zoneOf(a.crs) !== zoneOf(b.crs)) return null;
  const middle = middleOf(a);
  const metres = middle === null ? Number.NaN : Math.hypot(middle[0], middle[1]) * RATIO * a.crs.metresPerUnit;
  const stake = Number.isNaN(metres)
    ? ''
    : `: ${metres.toFixed(2)} m apart at this place if one of them is named wrongly`;
  return `${a.layer.name} is in ${word(a.crs)} (${a.crs.code}), ${b.layer.name} in ${word(b.crs)} (${b.crs.code}) of the same zone${stake}`;
}

function word(crs: Crs): string {
  return crs.unit === 'ftUS' ? 'US survey feet' : 'international feet';
}

/** A projected system without its unit and false origin (which its registry rounds in its own unit). */
function zoneOf(crs: Crs): string {
  return crs.proj
    .replace(/ \+units=\S+/, '')
    .replace(/ \+([xy])_0=(\S+)/g, (_, axis, value) => ` ${axis}${Math.round(Number(value))}`);
}

function slip(a: AssignedLayer, b: AssignedLayer): string | null {
  const p = middleOf(a);
  const q = middleOf(b, a.crs);
  if (p === null || q === null) return null;
  const sx = p[0] * RATIO;
  const sy = p[1] * RATIO;
  const size = Math.hypot(sx, sy);
  if (size * a.crs.metresPerUnit < LEAST_SLIP_M) return null;
  for (const sign of [1, -1]) {
    const miss = Math.hypot(q[0] - p[0] - sign * sx, q[1] - p[1] - sign * sy);
    if (miss > MATCH * size) continue;
    const metres = (size * a.crs.metresPerUnit).toFixed(2);
    return `the middles of ${a.layer.name} and ${b.layer.name} lie ${metres} m apart, in the direction and by the amount that mixing international and US survey feet makes here`;
  }
  return null;
}

/** Median easting and northing of a layer, in its own or another layer's system; null when it has too few vertices. */
function middleOf(one: AssignedLayer, into: Crs = one.crs): readonly [number, number] | null {
  const { xy } = one.layer.geometry;
  const count = xy.length / 2;
  if (count < LEAST) return null;
  const step = Math.max(1, Math.floor(count / SAMPLE));
  const sample = new Float64Array(Math.ceil(count / step) * 2);
  let n = 0;
  for (let v = 0; v < count; v += step) {
    sample[n++] = xy[v * 2]!;
    sample[n++] = xy[v * 2 + 1]!;
  }
  if (into.proj !== one.crs.proj || into.ground !== one.crs.ground) {
    transformFor(one.crs).toLonLat(sample);
    transformFor(into).fromLonLat(sample);
  }
  const axis = (offset: number): number => {
    const values = new Float64Array(n / 2);
    for (let i = 0; i < values.length; i++) values[i] = sample[i * 2 + offset]!;
    const sorted = values.filter(Number.isFinite).sort();
    return sorted.length < LEAST ? Number.NaN : sorted[sorted.length >> 1]!;
  };
  const x = axis(0);
  const y = axis(1);
  return Number.isNaN(x) || Number.isNaN(y) ? null : [x, y];
}
