// Works about one tree for drawing. In: a Meter's pieces, a place, a reach; out: rings relative to the place. Terms: long =
// of so many corners that it is walked only where it comes near; crowded = so many pieces that they are united once for
// all trees of a tile; tile = a square of the frame, the smaller the smaller the zones. What is shared depends on the
// works and the tree alone, so a drawing does not depend on which other trees are drawn.
// Cost: what lies near a tree; of crowded works the union, once a tile, and then what is left of it.

import type { BoxIndex } from '../box-index.js';
import { FIRST_CLASS, PieceBuilder, type Pieces, pieceRings } from '../kernel/pieces.js';
import { areApart } from './alone.js';
import { nearPart } from './near-part.js';
import { NearRings } from './near-rings.js';
import type { Look } from './overlay.js';
import { growUnited, type Ring, unionOfMany } from './shapes.js';

/** Pieces of more corners than this are walked only where they come near. */
const LONG_CORNERS = 500;
/** From so many pieces near a tree on, their union is made once for its tile. */
const CROWDED_FROM = 48;
/** How far about a zone works are kept, metres. */
const ROOM_M = 1;
/** Zones are told apart by four sizes an octave; a tile is a quarter of its largest zone's radius wide. */
const SIZES_AN_OCTAVE = 4;
const TILES_A_RADIUS = 4;
/** Corners of unions that are kept for the next tree. */
const MOST_KEPT = 2_000_000;

interface Tile {
  readonly x: number;
  readonly y: number;
  readonly union: NearRings;
}

/** The pieces of one frame, asked about one tree after another. */
export class WorksToDraw {
  readonly #pieces: Pieces;
  readonly #index: BoxIndex;
  readonly #long = new Map<number, NearRings>();
  readonly #tiles = new Map<string, Tile>();
  #kept = 0;

  constructor(pieces: Pieces, index: BoxIndex) {
    this.#pieces = pieces;
    this.#index = index;
  }

  /** Polygons of some classes (bits) about a place, without what lies beyond its reach. Crowded ones come united. */
  about(x: number, y: number, reach: number, classes: number, look?: Look): readonly (readonly Ring[])[] {
    const near = this.#near(x, y, reach, classes);
    if (near.length < CROWDED_FROM) return this.#rings(near, x, y, reach + ROOM_M);
    const tile = this.#tileOf(x, y, reach, classes, look);
    const most = reach + ROOM_M;
    return tile.union.within([-most, -most, most, most], x - tile.x, y - tile.y);
  }

  #near(x: number, y: number, reach: number, classes: number): number[] {
    const n = this.#index.search(x - reach, y - reach, x + reach, y + reach);
    return [...this.#index.found.subarray(0, n)]
      .filter((p) => (this.#pieces.classBit[p]! & classes) !== 0)
      .sort((a, b) => a - b);
  }

  #rings(near: readonly number[], x: number, y: number, reach: number): Ring[][] {
    const { ringStart, vertexStart } = this.#pieces;
    return near.flatMap((p) => {
      const corners = vertexStart[ringStart[p + 1]!]! - vertexStart[ringStart[p]!]!;
      if (corners > LONG_CORNERS) return this.#longOf(p).within([-reach, -reach, reach, reach], x, y);
      return [pieceRings(this.#pieces, p, x, y).map((ring) => nearPart(ring, reach))];
    });
  }

  #longOf(p: number): NearRings {
    let near = this.#long.get(p);
    if (near === undefined) {
      const { ringStart, vertexStart, xy } = this.#pieces;
      const builder = new PieceBuilder();
      builder.addRings(xy, vertexStart, ringStart[p]!, ringStart[p + 1]!, 0, TAG);
      near = new NearRings(builder.finish());
      this.#long.set(p, near);
    }
    return near;
  }

  /** The union about a tile's middle, as far as any zone of this size that stands in the tile can reach. */
  #tileOf(x: number, y: number, reach: number, classes: number, look: Look | undefined): Tile {
    const size = Math.ceil(Math.log2(reach) * SIZES_AN_OCTAVE);
    const most = 2 ** (size / SIZES_AN_OCTAVE);
    const side = most / TILES_A_RADIUS;
    const [column, row] = [Math.floor(x / side), Math.floor(y / side)];
    const key = `${classes} ${size} ${column} ${row}`;
    let tile = this.#tiles.get(key);
    if (tile === undefined) {
      const [cx, cy] = [Math.round((column + 0.5) * side), Math.round((row + 0.5) * side)];
      // Half a tile, half a metre of rounding, and the room again: within its own reach a union is what it should be.
      const around = side / 2 + 0.5 + most + 2 * ROOM_M;
      const builder = new PieceBuilder();
      const rings = this.#rings(this.#near(cx, cy, around, classes), cx, cy, around);
      // What lies apart is its own union, and of what crosses everywhere the union has far more corners than its parts.
      const kept = areApart(rings) || growUnited(rings) ? rings : unionOfMany(rings, look);
      for (const polygon of kept) builder.add(polygon, TAG);
      const united = builder.finish();
      tile = { x: cx, y: cy, union: new NearRings(united) };
      this.#keep(key, tile, united.xy.length / 2);
    }
    return tile;
  }

  #keep(key: string, tile: Tile, corners: number): void {
    if (this.#kept + corners > MOST_KEPT) {
      this.#tiles.clear();
      this.#kept = 0;
    }
    this.#kept += corners;
    this.#tiles.set(key, tile);
  }
}

const TAG = { owner: 0, classBit: FIRST_CLASS, cuts: false };
