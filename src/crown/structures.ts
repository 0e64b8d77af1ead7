// Structures that crowns may meet. In: rows of works and a way to their pieces; out: those near a tree, and meters over
// them. Terms: source = a table of works; structure = one row of it of the kind `building`, widened by the clearance.

import { BoxIndex } from '../geometry/box-index.js';
import { Meter } from '../geometry/meter.js';
import { FIRST_CLASS, PieceBuilder, type Pieces } from '../geometry/pieces.js';
import { type Frame, WORKS_KINDS, type WorksTable } from '../types.js';

/** A table whose buildings count, and how one of its rows looks in a frame, widened by the clearance. */
export interface StructureSource {
  readonly works: WorksTable;
  readonly lonLat: Float64Array; // 2 per vertex of works.geometry
  pieces(row: number, frame: Frame): Pieces;
}

export interface Structure {
  readonly source: StructureSource;
  readonly row: number;
  readonly key: string;
  readonly heightM: number; // NaN: not given
}

const BUILDING = WORKS_KINDS.indexOf('building');
/** Degrees of latitude in a metre, a little more than anywhere on the ellipsoid. */
const DEGREES_PER_METRE = 1 / 110_000;
/** Mitred corners reach up to twice the distance a shape is widened by (geometry/strip.ts). */
const MITRE = 2;
/** Meters kept; neighbouring trees meet the same houses. */
const KEPT = 256;

export class Structures {
  readonly #list: Structure[] = [];
  readonly #index: BoxIndex;
  readonly #meters = new Map<Structure, { readonly frame: number; readonly meter: Meter }>();

  constructor(sources: readonly StructureSource[], clearanceM: number) {
    const boxes: number[] = [];
    for (const source of sources) {
      const { works } = source;
      for (let row = 0; row < works.count; row++) {
        if (works.kind[row] !== BUILDING || works.rejected.has(row)) continue;
        const width = works.widthM[row] as number;
        const reach = ((Number.isNaN(width) ? 0 : width / 2) + clearanceM) * MITRE;
        const box = boxOf(source, row, reach);
        if (box === null) continue;
        boxes.push(...box);
        this.#list.push({ source, row, key: works.key.at(row) as string, heightM: works.heightM[row] as number });
      }
    }
    this.#index = new BoxIndex(Float64Array.from(boxes));
  }

  get count(): number {
    return this.#list.length;
  }

  /** Structures whose box comes within `reachM` of a place, in input order. */
  near(lon: number, lat: number, reachM: number): Structure[] {
    const dLat = reachM * DEGREES_PER_METRE;
    const dLon = eastward(dLat, lat);
    // A shape across 180 degrees lies on the side its first corner is on.
    const shifts = Math.abs(lon) + dLon > 179 ? ALL_ROUND : HERE;
    const found = new Set<number>();
    for (const shift of shifts) {
      const n = this.#index.search(lon + shift - dLon, lat - dLat, lon + shift + dLon, lat + dLat);
      for (let i = 0; i < n; i++) found.add(this.#index.found[i] as number);
    }
    if (found.size === 0) return NONE;
    return [...found].sort((a, b) => a - b).map((i) => this.#list[i] as Structure);
  }

  /** A meter over one structure in a frame. */
  meter(structure: Structure, frame: Frame): Meter {
    const known = this.#meters.get(structure);
    if (known?.frame === frame.key) return known.meter;
    if (this.#meters.size >= KEPT) this.#meters.clear();
    const meter = new Meter(structure.source.pieces(structure.row, frame));
    this.#meters.set(structure, { frame: frame.key, meter });
    return meter;
  }

  /** A meter over several together, so that where they overlap counts once. */
  union(structures: readonly Structure[], frame: Frame): Meter {
    const builder = new PieceBuilder();
    structures.forEach((structure, owner) => {
      const { pieces } = this.meter(structure, frame);
      for (let p = 0; p < pieces.count; p++) {
        const ring0 = pieces.ringStart[p] as number;
        const ring1 = pieces.ringStart[p + 1] as number;
        builder.addRings(pieces.xy, pieces.vertexStart, ring0, ring1, 0, { owner, classBit: FIRST_CLASS, cuts: false });
      }
    });
    return new Meter(builder.finish());
  }
}

const HERE = [0] as const;
const ALL_ROUND = [-360, 0, 360] as const;
const NONE: Structure[] = [];

function eastward(dLat: number, lat: number): number {
  const cosine = Math.cos((Math.min(Math.abs(lat) + dLat, 90) * Math.PI) / 180);
  return cosine > 1e-6 ? Math.min(dLat / cosine, 360) : 360;
}

/** West, south, east, north of a row with `reachM` about it; null without vertices. */
function boxOf({ works, lonLat }: StructureSource, row: number, reachM: number): number[] | null {
  const { partStart, ringStart, vertexStart } = works.geometry;
  const from = vertexStart[ringStart[partStart[row] as number] as number] as number;
  const to = vertexStart[ringStart[partStart[row + 1] as number] as number] as number;
  if (from === to) return null;
  const first = lonLat[from * 2] as number;
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let v = from; v < to; v++) {
    let lon = lonLat[v * 2] as number;
    if (lon - first > 180) lon -= 360;
    else if (lon - first < -180) lon += 360;
    const lat = lonLat[v * 2 + 1] as number;
    [west, east] = [Math.min(west, lon), Math.max(east, lon)];
    [south, north] = [Math.min(south, lat), Math.max(north, lat)];
  }
  const dLat = reachM * DEGREES_PER_METRE;
  const dLon = eastward(dLat, Math.max(Math.abs(south), Math.abs(north)));
  return [west - dLon, south - dLat, east + dLon, north + dLat];
}
