// Crowns that an arborist drew. In: polygons joined to trees; out: per tree its shape in the tree's frame, ready to be
// measured. Terms: parts = the polygons of one crown, whose union it is.

import { eachEdge, FIRST_CLASS, Meter, PieceBuilder, type Pieces, passesEast, reachOf } from '../geometry/index.js';
import type { DrawnPolygons, Frame } from '../model/index.js';
import { addSpan, type BearingArcs } from './arcs.js';

const STRUCTURE = FIRST_CLASS;
const CROWN = FIRST_CLASS << 1;
/** Pieces from the first to the one after the last. */
type Range = readonly [number, number];

export class DrawnCrown {
  readonly frame: Frame;
  readonly x: number; // the trunk, in the frame
  readonly y: number;
  readonly parts: Pieces;
  readonly areaM2: number;
  /** From the trunk to the farthest corner. */
  readonly reachM: number;
  /** Whether the trunk stands in the crown. */
  readonly holdsTrunk: boolean;
  readonly #turn: readonly [sin: number, cos: number]; // of the angle from true north to the frame's y

  constructor(polygons: DrawnPolygons, rows: readonly number[], lon: number, lat: number, frame: Frame) {
    const at = Float64Array.of(lon, lat);
    frame.toFrame(at, at);
    this.frame = frame;
    const gamma = (frame.convergenceAt(lon, lat) * Math.PI) / 180;
    this.#turn = [Math.sin(gamma), Math.cos(gamma)];
    this.x = at[0]!;
    this.y = at[1]!;
    this.parts = partsOf(polygons, rows, frame);
    this.reachM = reachOf(this.parts, this.x, this.y);
    const meter = new Meter(this.parts);
    this.areaM2 = meter.disc(this.x, this.y, this.#disc);
    meter.nearest(this.x, this.y);
    this.holdsTrunk = meter.distance === 0;
  }

  /** A disc about the trunk that holds the whole crown, with room for rounding. */
  get #disc(): number {
    return this.reachM * 1.001 + 0.001;
  }

  /** Area of the crown that pieces of the same frame cover, exact. */
  overlap(structures: Pieces): number {
    const builder = new PieceBuilder();
    builder.addPieces(this.parts, (owner) => ({ owner, classBit: CROWN, cuts: false }));
    builder.addPieces(structures, (owner) => ({ owner, classBit: STRUCTURE, cuts: false }));
    const meter = new Meter(builder.finish());
    meter.disc(this.x, this.y, this.#disc);
    const both = STRUCTURE | CROWN;
    return meter.areas.at(both);
  }

  /** Adds the bearings under which pieces (from, to) stand in the crown: of their edges in it, and of its edges in them. */
  spans(structures: Pieces, range: Range, arcs: BearingArcs): void {
    const whole = [0, this.parts.count] as const;
    this.#inside(structures, range, this.parts, whole, arcs);
    this.#inside(this.parts, whole, structures, range, arcs);
  }

  /** The parts of `edges` that lie in `held`, as seen from the trunk. */
  #inside(edges: Pieces, [from, to]: Range, held: Pieces, within: Range, arcs: BearingArcs): void {
    for (let p = from; p < to; p++) {
      eachEdge(edges, p, (ax, ay, bx, by) => {
        const cuts = crossings(held, within, ax, ay, bx, by);
        for (let i = 0; i + 1 < cuts.length; i++) {
          const [t0, t1] = [cuts[i]!, cuts[i + 1]!];
          const middle = (t0 + t1) / 2;
          if (!(t1 > t0) || !holds(held, within, ax + middle * (bx - ax), ay + middle * (by - ay))) continue;
          const end = (t: number): [number, number] => [ax + t * (bx - ax) - this.x, ay + t * (by - ay) - this.y];
          this.#span(...end(t0), ...end(t1), arcs);
        }
      });
    }
  }

  #span(ax: number, ay: number, bx: number, by: number, arcs: BearingArcs): void {
    const [sin, cos] = this.#turn;
    addSpan(ax * cos + ay * sin, ay * cos - ax * sin, bx * cos + by * sin, by * cos - bx * sin, arcs);
  }
}

function partsOf({ table, lonLat }: DrawnPolygons, rows: readonly number[], frame: Frame): Pieces {
  const builder = new PieceBuilder();
  rows.forEach((row, owner) => {
    builder.addRow(table.geometry, lonLat, row, frame.toFrame, { owner, classBit: CROWN, cuts: false });
  });
  return builder.finish();
}

/** Where an edge crosses the edges of pieces: 0, the crossings in order, 1. */
function crossings(pieces: Pieces, [from, to]: Range, ax: number, ay: number, bx: number, by: number): number[] {
  const cuts = [0, 1];
  const dx = bx - ax;
  const dy = by - ay;
  for (let p = from; p < to; p++) {
    eachEdge(pieces, p, (px, py, qx, qy) => {
      const ex = qx - px;
      const ey = qy - py;
      const det = dx * ey - dy * ex;
      if (det === 0) return;
      const t = ((px - ax) * ey - (py - ay) * ex) / det;
      const u = ((px - ax) * dy - (py - ay) * dx) / det;
      if (t > 0 && t < 1 && u >= 0 && u <= 1) cuts.push(t);
    });
  }
  return cuts.sort((a, b) => a - b);
}

/** Whether any piece holds a point, each by the even-odd rule. */
function holds(pieces: Pieces, [from, to]: Range, x: number, y: number): boolean {
  for (let p = from; p < to; p++) {
    let inside = false;
    eachEdge(pieces, p, (ax, ay, bx, by) => {
      if (passesEast(ax, ay, bx, by, x, y)) inside = !inside;
    });
    if (inside) return true;
  }
  return false;
}
