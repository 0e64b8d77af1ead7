// Spot heights to surfaces. In: a layer of points with heights; out: surfaces over their hull. Terms: Delaunay = the triangulation
// whose triangles are as little pointed as can be; hull = the outline of all points: ground outside is not known. n log n in the points.

import Delaunator from 'delaunator';
import {
  type Finding,
  finding,
  GEOMETRY_KINDS,
  InputError,
  type Layer,
  type LengthUnit,
  lengthInMetres,
  METRES_PER,
  type StopSignal,
  type Surface,
  unitNamed,
} from '../model/index.js';
import { counted, listOf } from '../text/index.js';
import { CornerPool } from './pool.js';
import { surfaceOf } from './surface.js';

/** Which heights of a layer are wanted. */
export type Which = 'existing' | 'proposed';

export interface SpotOptions {
  /** Unit of heights whose column, or file, does not say it. */
  readonly heightUnit?: LengthUnit | undefined;
  readonly signal?: StopSignal | undefined;
}

/** Heights of one position that differ by no more are one height, metres. */
const SAME_HEIGHT_M = 0.005;
const NAMED = 5;
const TREE = /^(?:dbh|girth|stems?|base_dia|diam)/i;
/** Names of height columns, best first; `height` of a tree is the tree's own. */
const NAMES: Readonly<Record<Which, readonly string[]>> = {
  existing: ['ground_height', 'existing_height', 'elevation', 'elev', 'height', 'z'],
  proposed: ['proposed_height', 'proposed_elevation', 'proposed_elev', 'proposed_z'],
};
const UNIT = /^(.*?)_(m|cm|mm|ft|in|ftus)$/i;

interface HeightColumn {
  readonly field: string;
  readonly metresPer: number | null; // null: the unit is not said
}

/** Whether a layer says proposed heights beside existing ones. */
export function holdsProposed(layer: Layer): boolean {
  return columnsOf(layer, 'proposed').length > 0;
}

function columnsOf(layer: Layer, which: Which): HeightColumn[] {
  const isTrees = layer.fields.some((field) => TREE.test(field));
  const out: HeightColumn[] = [];
  for (const name of NAMES[which]) {
    if (name === 'height' && isTrees) continue;
    for (const field of layer.fields) {
      const match = UNIT.exec(field);
      if ((match?.[1] ?? field).toLowerCase() !== name) continue;
      const unit = match === null ? undefined : unitNamed(match[2]!);
      out.push({ field, metresPer: unit === undefined ? null : METRES_PER[unit] });
    }
  }
  return out;
}

/**
 * Triangulates the points of a layer that have a height.
 *
 * @throws InputError `grade-empty` (fewer than three points, or all on a line), `unit-missing`, `grade-large`
 * @example
 * spotSurface(layer, 'proposed', { heightUnit: 'ft' }).z;
 */
export function spotSurface(layer: Layer, which: Which, options: SpotOptions = {}): Surface {
  const points = heightsOf(layer, which, options);
  const { xy, z, findings } = apart(layer, points);
  if (z.length < 3) {
    const message = `${layer.name} has ${counted(z.length, 'point')} with a height (${which}); a surface needs three`;
    throw new InputError('grade-empty', message, {
      layer: layer.name,
      cure: `give points with ${which === 'proposed' ? 'proposed_height_ft or _m' : 'height_ft, height_m or elevation_ft'}`,
    });
  }
  const faces = new Delaunator(levelled(xy, layer)).triangles;
  return surfaceOf({ layer, xy, z, faces, findings: [...points.findings, ...findings] }, options.signal);
}

/** Coordinates about their middle; degrees of longitude made as short as they are on the ground. */
function levelled(xy: Float64Array, { geometry, crs }: Layer): Float64Array {
  const [x0, y0] = [xy[0]!, xy[1]!];
  const isDegrees = crs?.from === 'rfc7946' || geometry.xy.every((v) => Math.abs(v) <= 180);
  const shrink = isDegrees ? Math.cos((y0 * Math.PI) / 180) || 1 : 1;
  return xy.map((v, i) => (i % 2 === 0 ? (v - x0) * shrink : v - y0));
}

interface Spots {
  readonly xy: number[];
  readonly z: number[];
  readonly findings: readonly Finding[];
}

function heightsOf(layer: Layer, which: Which, { heightUnit, signal }: SpotOptions): Spots {
  const columns = columnsOf(layer, which);
  const { kind, partStart, ringStart, vertexStart, xy, z } = layer.geometry;
  const out = { xy: [] as number[], z: [] as number[] };
  let without = 0;
  let others = 0;
  const own = which === 'existing' || columns.length === 0 ? z : null;
  const said = heightUnit === undefined ? null : METRES_PER[heightUnit];
  for (let f = 0; f < layer.count; f++) {
    if (f % 1024 === 0) signal?.throwIfAborted();
    const shape = GEOMETRY_KINDS[kind[f]!];
    if (shape === 'none' || shape === 'broken' || layer.setAside?.has(f) === true) continue;
    if (shape !== 'point' && shape !== 'multipoint') {
      others++;
      continue;
    }
    const first = vertexStart[ringStart[partStart[f]!]!]!;
    const end = vertexStart[ringStart[partStart[f + 1]!]!]!;
    const stated = shape === 'point' ? statedHeight(layer, f, columns, said) : null;
    for (let v = first; v < end; v++) {
      const height = stated ?? zOf(layer, own?.[v], said);
      if (height === null) without++;
      else {
        out.xy.push(xy[v * 2]!, xy[v * 2 + 1]!);
        out.z.push(height);
      }
    }
  }
  return { ...out, findings: leftOut(layer, which, without, others, out.z.length) };
}

function leftOut(layer: Layer, which: Which, without: number, others: number, used: number): Finding[] {
  const findings: Finding[] = [];
  if (without > 0 && used > 0) {
    const message = `${counted(without, 'point')} of ${layer.name} ${without === 1 ? 'has' : 'have'} no ${which} height and ${without === 1 ? 'was' : 'were'} left out of the ${which} surface`;
    const cure =
      which === 'proposed'
        ? 'where the ground stays as it is, write the existing height in the proposed column too'
        : 'fill in their heights where they are known';
    findings.push(finding('grade-no-height', { layer: layer.name }, message, cure));
  }
  if (others > 0) {
    const message = `${counted(others, 'feature')} of ${layer.name} ${others === 1 ? 'is no point' : 'are no points'}: only points make a surface`;
    findings.push(
      finding(
        'grade-no-height',
        { layer: layer.name },
        message,
        'give spot heights, or a surface with faces as LandXML',
      ),
    );
  }
  return findings;
}

/** The height in the first column that is filled; null where none is. */
function statedHeight(layer: Layer, f: number, columns: readonly HeightColumn[], said: number | null): number | null {
  for (const { field, metresPer } of columns) {
    const value = layer.value(f, field);
    if (value === undefined || value === null || value === '') continue;
    const text = String(value).trim();
    const number = typeof value === 'number' ? value : Number(text === '' ? Number.NaN : text);
    if (Number.isFinite(number)) {
      const per = metresPer ?? said;
      if (per === null) throw unitMissing(layer, field);
      return number * per;
    }
    const length = lengthInMetres(text);
    if (length !== undefined) return length;
    throw new InputError(
      'number-unreadable',
      `${layer.name}: ${field} of feature ${f + 1} is no height: ${JSON.stringify(text.slice(0, 40))}`,
      {
        layer: layer.name,
        feature: f,
        path: `properties.${field}`,
        cure: 'write a number, or leave it blank',
      },
    );
  }
  return null;
}

/** The third coordinate: metres in GeoJSON (RFC 7946), else in the unit said or stated by the file. */
function zOf(layer: Layer, z: number | undefined, said: number | null): number | null {
  if (z === undefined || Number.isNaN(z)) return null;
  const per = said ?? (layer.crs?.from === 'rfc7946' ? 1 : (layer.unit?.metresPerUnit ?? null));
  if (per === null) throw unitMissing(layer, 'the third coordinate');
  return z * per;
}

function unitMissing(layer: Layer, field: string): InputError {
  return new InputError('unit-missing', `${layer.name}: nothing says the unit of the heights (${field})`, {
    layer: layer.name,
    cure: 'give it: --grade-unit ft, ftUS or m; or name the column elevation_ft, height_m, ...',
    usage: true,
  });
}

/** Each position once. Where one has two heights the first is used, and it is told. */
function apart(layer: Layer, { xy, z }: Spots): { xy: Float64Array; z: Float64Array; findings: Finding[] } {
  const findings: Finding[] = [];
  const double = twoHeights(xy, z);
  if (double.places.length > 0) {
    const message = `${counted(double.places.length, 'position')} of ${layer.name} ${double.places.length === 1 ? 'has' : 'have'} two heights: ${listOf(double.places, NAMED)}; the first was used`;
    findings.push(
      finding(
        'grade-two-heights',
        { layer: layer.name },
        message,
        'delete the wrong ones; draw a wall as two lines of points a little apart',
      ),
    );
  }
  const kept = z.map((_, i) => i).filter((i) => !double.later.has(i));
  return {
    xy: Float64Array.from(kept.flatMap((i) => [xy[i * 2]!, xy[i * 2 + 1]!])),
    z: Float64Array.from(kept.map((i) => z[i]!)),
    findings,
  };
}

/** Positions that come twice, and those of them whose heights differ. */
export function twoHeights(
  xy: ArrayLike<number>,
  z: ArrayLike<number>,
): { readonly places: readonly string[]; readonly later: ReadonlySet<number> } {
  let [west, south, extent] = [Infinity, Infinity, 0];
  for (let i = 0; i < z.length; i++) [west, south] = [Math.min(west, xy[i * 2]!), Math.min(south, xy[i * 2 + 1]!)];
  for (let i = 0; i < z.length; i++) extent = Math.max(extent, xy[i * 2]! - west, xy[i * 2 + 1]! - south);
  const pool = new CornerPool(extent);
  const first: number[] = [];
  const places: string[] = [];
  const later = new Set<number>();
  for (let i = 0; i < z.length; i++) {
    const at = pool.at(xy[i * 2]! - west, xy[i * 2 + 1]! - south);
    if (at === first.length) {
      first.push(i);
      continue;
    }
    later.add(i);
    const [a, b] = [z[first[at]!]!, z[i]!];
    if (Math.abs(a - b) > SAME_HEIGHT_M) {
      places.push(`${xy[i * 2]}, ${xy[i * 2 + 1]} (${a.toFixed(3)} m and ${b.toFixed(3)} m)`);
    }
  }
  return { places, later };
}
