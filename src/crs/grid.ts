// In: the nodes of a shift grid, read by ntv2.ts or by a reader of GeoTIFF; out: a ShiftGrid that moves positions.
// Terms: part = one rectangle of nodes (a subgrid); shift = target minus source, arc seconds, east and north positive.
// Between nodes the shift is bilinear, as the makers of grids define it (NTv2 Developer's Guide, Geomatics Canada 1995).

import type { ShiftGrid } from '../model/index.js';

/** One rectangle of nodes, from its south-west corner, row by row, west to east. */
export interface GridPart {
  readonly west: number; // degrees
  readonly south: number;
  readonly stepLon: number;
  readonly stepLat: number;
  readonly columns: number;
  readonly rows: number;
  readonly lonShift: Float32Array; // arc seconds
  readonly latShift: Float32Array;
  readonly accuracyM: Float32Array | null; // per node; negative or NaN where unknown
}

export interface GridAbout {
  readonly name: string;
  readonly source: string;
  readonly target: string;
  readonly sha256?: string | null;
}

const SECOND = 1 / 3600;
const EDGE = 1e-9; // degrees by which a position may miss the edge and still be on it
const STEPS = 12; // of the way back; each gains as many digits as the shift is smooth (four or more)

/**
 * A grid from its parts. Where parts overlap, the one with the finest mesh holds.
 *
 * @example
 * const grid = shiftGrid({ name: 'conus.gsb', source: 'NAD27', target: 'NAD83' }, parts);
 */
export function shiftGrid(about: GridAbout, parts: readonly GridPart[]): ShiftGrid {
  return new Grid(about, parts);
}

// Private members: a grid is written into the provenance by name, without its nodes.
class Grid implements ShiftGrid {
  readonly name: string;
  readonly source: string;
  readonly target: string;
  readonly sha256: string | null;
  readonly #parts: readonly GridPart[];
  readonly #out: Float64Array = new Float64Array(2);

  constructor(about: GridAbout, parts: readonly GridPart[]) {
    this.name = about.name;
    this.source = about.source;
    this.target = about.target;
    this.sha256 = about.sha256 ?? null;
    this.#parts = [...parts].sort((a, b) => a.stepLat * a.stepLon - b.stepLat * b.stepLon);
  }

  apply(lonLat: Float64Array, at: number): boolean {
    const lon = lonLat[at]!;
    const lat = lonLat[at + 1]!;
    if (!this.#shiftAt(lon, lat)) return false;
    lonLat[at] = lon + this.#out[0]!;
    lonLat[at + 1] = lat + this.#out[1]!;
    return true;
  }

  undo(lonLat: Float64Array, at: number): boolean {
    const lon = lonLat[at]!;
    const lat = lonLat[at + 1]!;
    let x = lon;
    let y = lat;
    for (let k = 0; k < STEPS; k++) {
      if (!this.#shiftAt(x, y)) return false;
      const nextX = lon - this.#out[0]!;
      const nextY = lat - this.#out[1]!;
      const still = Math.abs(nextX - x) < 1e-13 && Math.abs(nextY - y) < 1e-13;
      x = nextX;
      y = nextY;
      if (still) break;
    }
    lonLat[at] = x;
    lonLat[at + 1] = y;
    return true;
  }

  accuracyOver([west, south, east, north]: readonly [number, number, number, number]): number | null {
    let worst: number | null = null;
    for (const part of this.#parts) {
      if (part.accuracyM === null) continue;
      const clamp = (v: number, most: number): number => Math.min(Math.max(v, 0), most);
      const c0 = clamp(Math.floor((west - part.west) / part.stepLon), part.columns - 1);
      const c1 = clamp(Math.ceil((east - part.west) / part.stepLon), part.columns - 1);
      const r0 = clamp(Math.floor((south - part.south) / part.stepLat), part.rows - 1);
      const r1 = clamp(Math.ceil((north - part.south) / part.stepLat), part.rows - 1);
      for (let r = r0; r <= r1; r++)
        for (let c = c0; c <= c1; c++) {
          const value = part.accuracyM[r * part.columns + c]!;
          if (value > 0 && value > (worst ?? 0)) worst = value;
        }
    }
    return worst === null ? null : Math.round(worst * 1000) / 1000;
  }

  /** Puts the shift in degrees into #out; false outside every part. */
  #shiftAt(lon: number, lat: number): boolean {
    for (const part of this.#parts) {
      const x = (lon - part.west) / part.stepLon;
      const y = (lat - part.south) / part.stepLat;
      const slackX = EDGE / part.stepLon;
      const slackY = EDGE / part.stepLat;
      if (!(x >= -slackX && y >= -slackY && x <= part.columns - 1 + slackX && y <= part.rows - 1 + slackY)) continue;
      const c = Math.min(Math.max(Math.floor(x), 0), part.columns - 2);
      const r = Math.min(Math.max(Math.floor(y), 0), part.rows - 2);
      const u = x - c;
      const v = y - r;
      const sw = r * part.columns + c;
      const nw = sw + part.columns;
      this.#out[0] = bilinear(part.lonShift, sw, nw, u, v) * SECOND;
      this.#out[1] = bilinear(part.latShift, sw, nw, u, v) * SECOND;
      return Number.isFinite(this.#out[0] + this.#out[1]);
    }
    return false;
  }
}

function bilinear(values: Float32Array, sw: number, nw: number, u: number, v: number): number {
  const south = values[sw]! * (1 - u) + values[sw + 1]! * u;
  const north = values[nw]! * (1 - u) + values[nw + 1]! * u;
  return south * (1 - v) + north * v;
}
