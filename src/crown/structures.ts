// Structures that crowns may meet. In: rows of works and a way to their pieces; out: those near a tree, and tiles of them.
// Terms: source = a table of works or of what stands today; structure = one row of it that stands above the ground, widened
// by the clearance; tile = structures of a place made into pieces once, for all the trees that stand there.

import {
  BoxIndex,
  DEGREES_PER_METRE,
  eastward,
  FIRST_CLASS,
  Meter,
  PieceBuilder,
  type Pieces,
} from '../geometry/index.js';
import type { Frame, WorksTable } from '../model/index.js';
import { firstVertex } from '../model/index.js';

/** A table, which rows of it are structures, and how they look in a frame, widened by the clearance; pieces in their order. */
export interface StructureSource {
  readonly works: WorksTable;
  readonly lonLat: Float64Array; // 2 per vertex of works.geometry
  isStructure(row: number): boolean;
  pieces(rows: Uint32Array, frame: Frame): Pieces;
}

export interface Structure {
  readonly source: StructureSource;
  readonly row: number;
  readonly key: string;
  readonly heightM: number; // NaN: not given
}

/** Mitred corners reach up to twice the distance a shape is widened by (geometry/kernel/strip.ts). */
const MITRE = 2;

export class Structures {
  readonly #list: Structure[] = [];
  readonly #index: BoxIndex;

  constructor(sources: readonly StructureSource[], clearanceM: number) {
    const boxes: number[] = [];
    for (const source of sources) {
      const { works } = source;
      for (let row = 0; row < works.count; row++) {
        if (!source.isStructure(row) || works.rejected.has(row)) continue;
        const width = works.widthM[row]!;
        const reach = ((Number.isNaN(width) ? 0 : width / 2) + clearanceM) * MITRE;
        const box = boxOf(source, row, reach);
        if (box === null) continue;
        boxes.push(...box);
        this.#list.push({ source, row, key: works.key.at(row)!, heightM: works.heightM[row]! });
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
    let found: Set<number> | undefined;
    for (const shift of shifts) {
      const n = this.#index.search(lon + shift - dLon, lat - dLat, lon + shift + dLon, lat + dLat);
      if (n > 0) found ??= new Set();
      for (let i = 0; i < n; i++) found?.add(this.#index.found[i]!);
    }
    if (found === undefined) return NONE;
    return [...found].sort((a, b) => a - b).map((i) => this.#list[i]!);
  }

  /** Structures of a place, in input order, as one tile. */
  tile(structures: readonly Structure[], frame: Frame): Tile {
    return new Tile(structures, frame);
  }
}

/** Structures in one frame, measured together: where they overlap counts once. */
export class Tile {
  readonly frame: Frame;
  readonly pieces: Pieces;
  readonly #ranges = new Map<Structure, readonly [number, number]>();
  #meter: Meter | undefined;

  constructor(structures: readonly Structure[], frame: Frame) {
    this.frame = frame;
    const bySource = new Map<StructureSource, Structure[]>();
    for (const structure of structures) {
      const list = bySource.get(structure.source);
      if (list === undefined) bySource.set(structure.source, [structure]);
      else list.push(structure);
    }
    const parts = [...bySource].map(([source, list]) => {
      const pieces = source.pieces(
        Uint32Array.from(list, (structure) => structure.row),
        frame,
      );
      return { pieces, list };
    });
    this.pieces = parts.length === 1 ? parts[0]!.pieces : joined(parts.map((one) => one.pieces));
    let base = 0;
    for (const { pieces, list } of parts) {
      let p = 0;
      for (const structure of list) {
        const from = p;
        while (p < pieces.count && pieces.owner[p] === structure.row) p++;
        this.#ranges.set(structure, [base + from, base + p]);
      }
      base += pieces.count;
    }
  }

  /** Over all its structures; made when first asked for. */
  get meter(): Meter {
    this.#meter ??= new Meter(this.pieces);
    return this.#meter;
  }

  /** The pieces of one structure, from the first to the one after the last. */
  range(structure: Structure): readonly [number, number] {
    return this.#ranges.get(structure) ?? [0, 0];
  }
}

function joined(parts: readonly Pieces[]): Pieces {
  const builder = new PieceBuilder();
  parts.forEach((pieces, owner) => {
    builder.addPieces(pieces, () => ({ owner, classBit: FIRST_CLASS, cuts: false }));
  });
  return builder.finish();
}

const HERE = [0] as const;
const ALL_ROUND = [-360, 0, 360] as const;
const NONE: Structure[] = [];

/** West, south, east, north of a row with `reachM` about it; null without vertices. */
function boxOf({ works, lonLat }: StructureSource, row: number, reachM: number): number[] | null {
  const from = firstVertex(works.geometry, row);
  const to = firstVertex(works.geometry, row + 1);
  if (from === to) return null;
  const first = lonLat[from * 2]!;
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let v = from; v < to; v++) {
    let lon = lonLat[v * 2]!;
    if (lon - first > 180) lon -= 360;
    else if (lon - first < -180) lon += 360;
    const lat = lonLat[v * 2 + 1]!;
    [west, east] = [Math.min(west, lon), Math.max(east, lon)];
    [south, north] = [Math.min(south, lat), Math.max(north, lat)];
  }
  const dLat = reachM * DEGREES_PER_METRE;
  const dLon = eastward(dLat, Math.max(Math.abs(south), Math.abs(north)));
  return [west - dLon, south - dLat, east + dLon, north + dLat];
}
