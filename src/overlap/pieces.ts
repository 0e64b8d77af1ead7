// Works as the kernel measures them: in: rows of works as lon/lat and a frame; out: Pieces in that frame.
// Terms: a polygon is a piece, a line with width several, working space adds strips round either.

import {
  addLine,
  addMargin,
  compactParts,
  FIRST_CLASS,
  PieceBuilder,
  type Pieces,
  type PieceTag,
} from '../geometry/index.js';
import { type Frame, GEOMETRY_KINDS, type WorksTable } from '../model/index.js';

const POLYGON = GEOMETRY_KINDS.indexOf('polygon');
const MULTIPOLYGON = GEOMETRY_KINDS.indexOf('multipolygon');

/** Works and where they lie; `tagOf` tells what a row's pieces are. */
export interface PlacedWorks {
  readonly works: WorksTable;
  readonly lonLat: Float64Array; // 2 per vertex of works.geometry
  tagOf(row: number): PieceTag;
}

/** Works as shapes alone, whatever they count for. */
export function untagged(works: WorksTable, lonLat: Float64Array): PlacedWorks {
  return { works, lonLat, tagOf: (owner) => ({ owner, classBit: FIRST_CLASS, cuts: false }) };
}

/**
 * The given rows in one frame. With `compact`, long polygons are cut into parts: for measuring, not for drawing.
 */
export function worksPieces(placed: PlacedWorks, rows: Uint32Array, frame: Frame, compact: boolean = false): Pieces {
  const builder = new PieceBuilder();
  addWorks(builder, placed, rows, frame, compact);
  return builder.finish();
}

/** Adds the given rows to a builder's pieces. */
export function addWorks(
  builder: PieceBuilder,
  { works, lonLat, tagOf }: PlacedWorks,
  rows: Uint32Array,
  frame: Frame,
  compact: boolean,
): void {
  const { partStart, ringStart, vertexStart, kind } = works.geometry;
  const plane = new RunProjector(works, lonLat, rows, frame);
  for (let i = 0; i < rows.length; i++) {
    const w = rows[i]!;
    const tag = tagOf(w);
    const part0 = partStart[w]!;
    const part1 = partStart[w + 1]!;
    plane.to(i);
    const { xy, first } = plane;
    const overdigM = works.overdigM[w]!;
    const overdig = Number.isNaN(overdigM) ? 0 : overdigM;
    const isPolygon = kind[w] === POLYGON || kind[w] === MULTIPOLYGON;
    for (let p = part0; p < part1; p++) {
      const ring0 = ringStart[p]!;
      const ring1 = ringStart[p + 1]!;
      if (!isPolygon) {
        const width = works.widthM[w]! + 2 * overdig;
        addLine(builder, xy, vertexStart[ring0]! - first, vertexStart[ring1]! - first, width, overdig, tag);
        continue;
      }
      if (compact && isLarge(xy, vertexStart, ring0, ring1, first))
        addCompact(builder, xy, vertexStart, ring0, ring1, first, tag);
      else builder.addRings(xy, vertexStart, ring0, ring1, first, tag);
      if (overdig === 0) continue;
      for (let r = ring0; r < ring1; r++) {
        addMargin(builder, xy, vertexStart[r]! - first, vertexStart[r + 1]! - first, overdig, tag);
      }
    }
  }
}

/** Whether a polygon may have to be cut: it has many corners or is long. Most have few and are not. */
function isLarge(xy: Float64Array, vertexStart: Uint32Array, ring0: number, ring1: number, first: number): boolean {
  const from = vertexStart[ring0]! - first;
  const to = vertexStart[ring1]! - first;
  if (to - from > 32) return true;
  const x0 = xy[from * 2]!;
  const y0 = xy[from * 2 + 1]!;
  for (let v = from; v < to; v++) {
    if (Math.abs(xy[v * 2]! - x0) > 40 || Math.abs(xy[v * 2 + 1]! - y0) > 40) return true;
  }
  return false;
}

function addCompact(
  builder: PieceBuilder,
  xy: Float64Array,
  vertexStart: Uint32Array,
  ring0: number,
  ring1: number,
  first: number,
  tag: PieceTag,
): void {
  const rings: number[][] = [];
  for (let r = ring0; r < ring1; r++) {
    rings.push(Array.from(xy.subarray((vertexStart[r]! - first) * 2, (vertexStart[r + 1]! - first) * 2)));
  }
  for (const part of compactParts(rings)) builder.add(part, tag);
}

/** Most vertices projected at once. */
const RUN_VERTICES = 1 << 16;

/** Projects rows that follow each other in the table together: one call for thousands of polygons, in reused memory. */
class RunProjector {
  /** Frame coordinates of the run that holds the row, and the vertex they begin with. */
  xy: Float64Array = new Float64Array();
  first = 0;
  #until = -1; // the run holds rows up to this place in `rows`
  readonly #works: WorksTable;
  readonly #lonLat: Float64Array;
  readonly #rows: Uint32Array;
  readonly #frame: Frame;

  constructor(works: WorksTable, lonLat: Float64Array, rows: Uint32Array, frame: Frame) {
    this.#works = works;
    this.#lonLat = lonLat;
    this.#rows = rows;
    this.#frame = frame;
  }

  to(i: number): void {
    if (i < this.#until) return;
    const { partStart, ringStart, vertexStart } = this.#works.geometry;
    const vertexOf = (row: number): number => vertexStart[ringStart[partStart[row]!]!]!;
    const rows = this.#rows;
    const first = vertexOf(rows[i]!);
    let k = i;
    let last = first;
    do last = vertexOf(rows[k++]! + 1);
    while (k < rows.length && rows[k] === rows[k - 1]! + 1 && last - first < RUN_VERTICES);
    const n = (last - first) * 2;
    if (this.xy.length < n) this.xy = new Float64Array(n * 2);
    this.#frame.toFrame(this.#lonLat.subarray(first * 2, last * 2), this.xy);
    this.first = first;
    this.#until = k;
  }
}
