// In: layers with their Crs; out: findings about where they lie: outside the area of use, axes swapped, datums,
// layers far from each other. Terms: area of use as in model/; a feature is judged by its first vertex outside.

import type { Crs, Layer, StatedUnit } from '../model/index.js';
import { type Finding, finding, firstVertex } from '../model/index.js';
import { someOf } from '../text/index.js';
import { type Box, boundsOf, edge, inArea, lonLatBounds } from './bounds.js';
import type { AssignedLayer } from './stated.js';
import { tableWorkIfAny } from './table-work.js';
import { transformFor } from './transform.js';

const LISTED = 20; // features named one by one; the rest are counted
const COARSE_M = 5; // an operation no better than this gets its own finding
const COARSE_SHIFT_M = 2; // so does a shift by parameters that a grid would improve: an old national datum
const APART_M = 1000;

/**
 * Findings about the positions of all layers together. Reads coordinates only; costs one pass over them, and a
 * transformation per vertex only for a layer that does not lie wholly within its area of use.
 */
export function checkPositions(layers: readonly AssignedLayer[]): readonly Finding[] {
  return [
    ...layers.flatMap(({ layer, crs }) => areaFindings(layer, crs)),
    ...unitConflicts(layers),
    ...compareLayers(layers),
  ];
}

/** Findings that need several layers; `checkPositions` includes them. */
export function compareLayers(layers: readonly AssignedLayer[]): readonly Finding[] {
  return [...datumFindings(layers), ...(tableWorkIfAny()?.feetSlips(layers) ?? []), ...apartFindings(layers)];
}

// ---------------------------------------------------------------- area of use

function areaFindings(layer: Layer, crs: Crs): readonly Finding[] {
  const area = crs.areaOfUse;
  const native = boundsOf(layer.geometry.xy);
  if (area === null || native === null || crs.kind === 'local') return [];
  if (boxInside(native, crs, area)) return [];
  const { outside, swappedInside, shown } = countOutside(layer, crs, area);
  if (outside === 0) return [];
  const where = `${fixed(area[0])} to ${fixed(area[2])} longitude, ${fixed(area[1])} to ${fixed(area[3])} latitude`;
  if (swappedInside * 2 > layer.count) {
    const area = `outside the area of ${crs.code} (${where})`;
    const message = `${someOf(swappedInside, layer.count, 'feature', `lies ${area} as it stands`, `lie ${area} as they stand`)} and inside with easting and northing swapped`;
    const cure = 'swap the two coordinate columns (--xy E,N names them), or write longitude before latitude';
    return [finding('axes-swapped', { layer: layer.name }, message, cure)];
  }
  const suspect = tableWorkIfAny()?.suspect(layer, crs) ?? null;
  if (suspect !== null) return [suspect];
  const cure = 'check the coordinates, their unit, and the coordinate system of the layer';
  const findings = shown.map(({ feature, lon, lat }) => {
    const place = Number.isNaN(lon)
      ? 'its position is nowhere on earth in'
      : `its position (longitude ${fixed(lon)}, latitude ${fixed(lat)}) is outside the area of`;
    const id = layer.id(feature);
    const at = { layer: layer.name, feature, path: 'geometry', ...(id === undefined ? {} : { id: String(id) }) };
    return finding('outside-area-of-use', at, `${place} ${crs.code}, ${where}`, cure);
  });
  if (outside > shown.length) {
    const area = `outside the area of ${crs.code}, ${where}`;
    const some = someOf(outside, layer.count, 'feature', `lies ${area}`, `lie ${area}`);
    const message = `${some}; the first ${shown.length} are listed`;
    findings.push(finding('outside-area-of-use', { layer: layer.name }, message, cure));
  }
  return findings;
}

/** A box lies in the area when its edge does: the projection maps the inside to the inside. */
function boxInside(native: Box, crs: Crs, area: Box): boolean {
  const round = edge(native);
  transformFor(crs).toLonLat(round);
  for (let i = 0; i < round.length; i += 2) if (!inArea(area, round[i]!, round[i + 1]!)) return false;
  return true;
}

interface Outside {
  readonly outside: number;
  readonly swappedInside: number;
  readonly shown: readonly { readonly feature: number; readonly lon: number; readonly lat: number }[];
}

function countOutside(layer: Layer, crs: Crs, area: Box): Outside {
  const { xy } = layer.geometry;
  const { toLonLat } = transformFor(crs);
  const lonLat = xy.slice();
  toLonLat(lonLat);
  const shown: { feature: number; lon: number; lat: number }[] = [];
  const swap = new Float64Array(2);
  let outside = 0;
  let swappedInside = 0;
  for (let f = 0; f < layer.count; f++) {
    const first = firstVertex(layer.geometry, f);
    const last = firstVertex(layer.geometry, f + 1);
    for (let v = first; v < last; v++) {
      const x = xy[v * 2]!;
      const y = xy[v * 2 + 1]!;
      if (!Number.isFinite(x) || !Number.isFinite(y)) continue; // another stage's finding
      const lon = lonLat[v * 2]!;
      const lat = lonLat[v * 2 + 1]!;
      if (inArea(area, lon, lat)) continue;
      outside++;
      if (shown.length < LISTED) shown.push({ feature: f, lon, lat });
      swap[0] = y;
      swap[1] = x;
      toLonLat(swap);
      if (inArea(area, swap[0], swap[1])) swappedInside++;
      break;
    }
  }
  return { outside, swappedInside, shown };
}

function fixed(value: number): string {
  return String(Number(value.toFixed(5)));
}

// ---------------------------------------------------------------- datums

function datumFindings(layers: readonly AssignedLayer[]): readonly Finding[] {
  const findings: Finding[] = [];
  // A layer without positions has no place.
  const placed = layers.filter((one) => one.crs.kind !== 'local' && one.layer.geometry.xy.length > 0);
  for (const { layer, crs } of placed) {
    const { name, operation, accuracyM } = crs.datum;
    const limit = crs.grids === undefined && crs.proj.includes('+towgs84=') ? COARSE_SHIFT_M : COARSE_M;
    if (accuracyM === null ? crs.grids !== undefined : accuracyM < limit) continue;
    const stake =
      accuracyM === null
        ? 'its accuracy here is not known; old national datums lie tens to hundreds of metres off'
        : `accurate to ${accuracyM} m only${crs.grids === undefined ? ' (no shift grid is used)' : ''}`;
    const message = `the layer is on ${name}; to WGS 84: ${operation}, ${stake}. Figures between layers on ${name} are not affected; longitudes, latitudes and figures against layers on other datums are`;
    const cure = `give the shift grid of ${name} with --grid FILE (NTv2 .gsb or GeoTIFF .tif), or keep every layer on ${name}`;
    findings.push(finding('crs-datum-null', { layer: layer.name }, message, cure));
  }
  const [first, ...others] = placed;
  if (first === undefined) return findings;
  for (const other of others) {
    if (other.crs.datum.name === first.crs.datum.name) continue;
    const a = first.crs.datum.accuracyM;
    const b = other.crs.datum.accuracyM;
    const stake = a === null || b === null ? 'an unknown distance' : `up to ${Math.max(a, b)} m`;
    const message = `${first.layer.name} is on ${first.crs.datum.name} (${first.crs.datum.operation}), ${other.layer.name} on ${other.crs.datum.name} (${other.crs.datum.operation}): they may lie ${stake} apart`;
    const cure = 'ask for both layers on one datum, or check them against a point that both show';
    findings.push(finding('crs-mixed-datums', { layer: other.layer.name }, message, cure));
  }
  return findings;
}

// ---------------------------------------------------------------- distance between layers

function apartFindings(layers: readonly AssignedLayer[]): readonly Finding[] {
  const trees = layers.find((one) => one.role === 'trees');
  if (trees === undefined) return [];
  const findings: Finding[] = [];
  for (const other of layers) {
    if (other === trees) continue;
    const gap = gapM(trees, other);
    if (gap === null || gap <= APART_M) continue;
    const suspect = zoneOfOther(trees, other) ?? zoneOfOther(other, trees);
    if (suspect !== null) {
      findings.push(suspect);
      continue;
    }
    const message = `${other.layer.name} (${other.role}) lies ${(gap / 1000).toFixed(1)} km away from all trees`;
    const cure = 'check the coordinate systems and units of both layers, and that they belong to one job';
    findings.push(finding('layers-apart', { layer: other.layer.name }, message, cure));
  }
  return findings;
}

/** Whether `moved` lies with `fixed` when it is read in a neighbouring zone. */
function zoneOfOther(fixed: AssignedLayer, moved: AssignedLayer): Finding | null {
  const isNear = (crs: Crs): boolean => (gapM(fixed, { ...moved, crs }) ?? APART_M + 1) <= APART_M;
  const why = `its positions lie far from ${fixed.layer.name} in`;
  return tableWorkIfAny()?.suspectBeside(moved.layer, moved.crs, isNear, why) ?? null;
}

const M_PER_DEGREE = 111_195; // mean, good enough for "far away"

function gapM(a: AssignedLayer, b: AssignedLayer): number | null {
  if (a.crs.kind === 'local' || b.crs.kind === 'local') {
    const p = boundsOf(a.layer.geometry.xy);
    const q = boundsOf(b.layer.geometry.xy);
    if (p === null || q === null || a.crs.code !== b.crs.code) return null;
    return gap(p, q, 1, 0) * a.crs.metresPerUnit;
  }
  const p = lonLatBounds(a.layer, a.crs);
  const q = lonLatBounds(b.layer, b.crs);
  if (p === null || q === null) return null;
  const narrow = Math.cos(((p[1] + p[3]) / 2) * (Math.PI / 180));
  return gap(p, q, narrow, 360) * M_PER_DEGREE;
}

/** Shortest distance between two boxes; x counts `narrow`, and wraps at `turn` where that is not 0. */
function gap(p: Box, q: Box, narrow: number, turn: number): number {
  const apart = (a0: number, a1: number, b0: number, b1: number): number => Math.max(0, b0 - a1, a0 - b1);
  const dx = Math.min(...[-turn, 0, turn].map((t) => apart(p[0], p[2], q[0] + t, q[2] + t)));
  return Math.hypot(dx * narrow, apart(p[1], p[3], q[1], q[3]));
}

/** A foot of unstated kind agrees with both kinds: they differ by 2e-6. */
const EITHER_FOOT = 3e-6;
/** Two spellings of one unit differ by rounding only. */
const SAME = 1e-9;

const WORDS: Readonly<Record<string, string>> = {
  ft: 'international feet',
  ftUS: 'US survey feet',
  foot: 'feet',
  m: 'metres',
  cm: 'centimetres',
  mm: 'millimetres',
  in: 'inches',
  degree: 'degrees',
};

/** One finding per layer whose stated unit and coordinate system disagree. */
function unitConflicts(layers: readonly AssignedLayer[]): readonly Finding[] {
  return layers.flatMap(({ layer, crs, role }) => {
    const { unit } = layer;
    if (unit === undefined || agrees(unit, crs)) return [];
    const stated = WORDS[unit.unit] ?? `a unit of ${unit.metresPerUnit} m`;
    const own = WORDS[crs.unit] ?? `a unit of ${crs.metresPerUnit} m`;
    const message = `${layer.name} states ${stated} (${unit.from}), but its coordinate system ${crs.code} is in ${own}; the coordinates were read as they stand`;
    const cure = `find out which is right; then scale the file, or name the system of its unit with --${role}-crs`;
    return [finding('crs-unit-conflict', { layer: layer.name }, message, cure)];
  });
}

function agrees(stated: StatedUnit, crs: Crs): boolean {
  if (crs.unit === 'degree') return false;
  const ratio = stated.metresPerUnit / crs.metresPerUnit;
  return Math.abs(ratio - 1) <= (stated.unit === 'foot' ? EITHER_FOOT : SAME);
}
