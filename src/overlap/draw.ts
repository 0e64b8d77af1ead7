// Figures -> shapes on the map. In: one tree's place among the works and its exact figures; out: polygons as lon/lat.
// Terms: drawn shapes are made on a millimetre grid and held against the exact figure; they never feed back into it.

import type { Meter } from '../geometry/index.js';
import {
  circleRing,
  EXISTING,
  insideOf,
  type Pieces,
  quartersRing,
  type Ring,
  type Shape,
  shadowOf,
  unionShape,
  WORKS,
  WorksToDraw,
} from '../geometry/index.js';
import type { Frame, LonLatPolygons, TreeShapes } from '../model/index.js';
import { type Finding, finding } from '../model/index.js';

/** Where a tree stands and what was measured there. */
export interface DrawnTree {
  readonly frame: Frame;
  readonly meter: Meter;
  readonly x: number; // in the frame
  readonly y: number;
  readonly radiusM: number;
  readonly quarters: readonly [number, number, number, number] | undefined;
  /** The zone drawn for it, as rings relative to the tree; else a circle or quarters. */
  readonly drawnZone: readonly (readonly Ring[])[] | undefined;
  readonly rings: readonly { readonly name: string; readonly radiusM: number }[];
  readonly crown: () => LonLatPolygons; // drawn when asked
  readonly overlapM2: number;
  readonly severedM2: number;
  readonly stemInWorks: boolean;
  readonly layer: string;
  readonly feature: number;
  readonly key: string;
}

/** Nothing to draw: a tree that was not assessed. */
export const NO_SHAPES: TreeShapes = { zone: [], rings: [], crown: [], overlap: [], severed: [], findingsOf: () => [] };

/** Zone, rings, overlap and severed ground of one tree, each drawn when it is asked for. */
export function drawTree(tree: DrawnTree): TreeShapes {
  return new TreeDrawing(tree);
}

interface Clipped {
  readonly shape: LonLatPolygons;
  readonly findings: readonly Finding[];
}

class TreeDrawing implements TreeShapes {
  readonly #tree: DrawnTree;
  readonly #turn: number;
  readonly #outline: Shape;
  #near: readonly (readonly Ring[])[] | undefined;
  #overlap: Clipped | undefined;
  #severed: Clipped | undefined;

  constructor(tree: DrawnTree) {
    const { frame, x, y, quarters } = tree;
    this.#tree = tree;
    this.#turn = quarters ? (-frame.convergence(x, y) * Math.PI) / 180 : 0;
    this.#outline = outlineOf(tree, this.#turn);
  }

  get zone(): LonLatPolygons {
    return this.#place(this.#outline);
  }

  get rings(): TreeShapes['rings'] {
    return this.#tree.rings.map(({ name, radiusM }) => ({ name, shape: this.#place([[circleRing(radiusM)]]) }));
  }

  get crown(): LonLatPolygons {
    return this.#tree.crown();
  }

  get overlap(): LonLatPolygons {
    return this.#drawOverlap().shape;
  }

  get severed(): LonLatPolygons {
    return this.#drawSevered().shape;
  }

  findingsOf(shape: 'overlap' | 'severed'): readonly Finding[] {
    return (shape === 'overlap' ? this.#drawOverlap() : this.#drawSevered()).findings;
  }

  #drawOverlap(): Clipped {
    const { overlapM2 } = this.#tree;
    this.#overlap ??=
      overlapM2 > 0
        ? this.#checked('overlap', insideOf(this.#pieces(), this.#outline, overlapM2, this.#spared()))
        : { shape: [], findings: [] };
    return this.#overlap;
  }

  #drawSevered(): Clipped {
    const { severedM2 } = this.#tree;
    this.#severed ??=
      severedM2 > 0
        ? this.#checked(
            'severed',
            shadowOf(this.#shadow(), [...this.#pieces(), ...this.#spared()], this.#outline, severedM2),
          )
        : { shape: [], findings: [] };
    return this.#severed;
  }

  #pieces(): readonly (readonly Ring[])[] {
    this.#near ??= this.#piecesOf();
    return this.#near;
  }

  /** Pieces of works (or of other classes) about the tree, without what lies beyond its zone. */
  #piecesOf(classes: number = WORKS): readonly (readonly Ring[])[] {
    const { meter, x, y, radiusM } = this.#tree;
    return worksOf(meter).about(x, y, radiusM, classes);
  }

  /** Ground that is hard today, where works on it are no loss. */
  #spared(): readonly (readonly Ring[])[] {
    const spared = this.#tree.meter.touching.spare & EXISTING;
    return spared === 0 ? [] : this.#piecesOf(spared);
  }

  /** A trunk in the works loses its whole zone, by rule; else what lies behind the nearest works that cut. */
  #shadow(): Shape {
    const { stemInWorks, meter, x, y, radiusM, quarters } = this.#tree;
    return stemInWorks ? this.#outline : meter.shadow(x, y, radiusM, quarters, this.#turn);
  }

  #checked(what: string, drawn: { readonly shape: Shape; readonly ok: boolean }): Clipped {
    return { shape: this.#place(drawn.shape), findings: drawn.ok ? [] : [approximate(this.#tree, what)] };
  }

  #place(shape: Shape): LonLatPolygons {
    return toLonLat(shape, this.#tree.frame, this.#tree.x, this.#tree.y);
  }
}

const worksByPieces = new WeakMap<Pieces, WorksToDraw>();

/** The works of a meter as they are drawn: what is made of them for one tree serves the next. */
function worksOf({ pieces, index }: Meter): WorksToDraw {
  let works = worksByPieces.get(pieces);
  if (works === undefined) {
    works = new WorksToDraw(pieces, index);
    worksByPieces.set(pieces, works);
  }
  return works;
}

/** A crown from above: four quarter ellipses about true north (area-true), or the union of what was drawn. */
export function drawCrown(
  crown: readonly [number, number, number, number] | readonly (readonly Ring[])[],
  frame: Frame,
  x: number,
  y: number,
): LonLatPolygons {
  if (!isQuarters(crown)) return drawPieces(crown, frame, x, y);
  const turn = (-frame.convergence(x, y) * Math.PI) / 180;
  return toLonLat([[quartersRing(crown, turn)]], frame, x, y);
}

function isQuarters(
  crown: readonly [number, number, number, number] | readonly (readonly Ring[])[],
): crown is readonly [number, number, number, number] {
  return typeof crown[0] === 'number';
}

function outlineOf({ radiusM, quarters, drawnZone }: DrawnTree, turn: number): Shape {
  if (drawnZone !== undefined) return unionShape(drawnZone);
  return [[quarters ? quartersRing(quarters, turn) : circleRing(radiusM)]];
}

/** Union of convex pieces (a line with width, a polygon with working space) as lon/lat polygons. */
export function drawPieces(pieces: readonly (readonly Ring[])[], frame: Frame, x: number, y: number): LonLatPolygons {
  return toLonLat(unionShape(pieces), frame, x, y);
}

function approximate(tree: DrawnTree, what: string): Finding {
  return finding(
    'shape-approximate',
    { layer: tree.layer, feature: tree.feature, id: tree.key },
    `the drawn ${what} of tree ${tree.key} differs from the exact figure by more than its drawing tolerance`,
    'trust the figure, not the shape; look for slivers or near-coincident edges in the works there',
  );
}

function toLonLat(shape: Shape, frame: Frame, x: number, y: number): LonLatPolygons {
  return shape.map((polygon) =>
    polygon.map((ring) => {
      const xy = Float64Array.from(ring, (value, i) => value + (i % 2 === 0 ? x : y));
      frame.toLonLat(xy, xy);
      const out: [number, number][] = [];
      for (let i = 0; i < xy.length; i += 2) out.push([xy[i]!, xy[i + 1]!]);
      out.push(out[0]!);
      return out;
    }),
  );
}
