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
  /** Called between parts of a drawing, each of which is bounded: throws to stop. */
  readonly look: (() => void) | undefined;
}

/** Nothing to draw: a tree that was not assessed. */
export const NO_SHAPES: TreeShapes = { zone: [], rings: [], crown: [], overlap: [], severed: [], findingsOf: () => [] };

/** Zone, rings, overlap and severed ground of one tree, each drawn when it is asked for. */
export function drawTree(tree: DrawnTree): TreeShapes {
  return new TreeDrawing(tree);
}

class TreeDrawing implements TreeShapes {
  readonly #tree: DrawnTree;
  readonly #ground: DrawnGround;

  constructor(tree: DrawnTree) {
    this.#tree = tree;
    this.#ground = groundOf(tree);
  }

  get zone(): LonLatPolygons {
    return this.#ground.zone();
  }

  get rings(): TreeShapes['rings'] {
    return this.#ground.rings();
  }

  get crown(): LonLatPolygons {
    return this.#tree.crown();
  }

  get overlap(): LonLatPolygons {
    return this.#ground.overlap(this.#tree.look).shape;
  }

  get severed(): LonLatPolygons {
    return this.#ground.severed(this.#tree.look).shape;
  }

  findingsOf(shape: 'overlap' | 'severed'): readonly Finding[] {
    return this.#ground[shape](this.#tree.look).ok ? [] : [approximate(this.#tree, shape)];
  }
}

interface Clipped {
  readonly shape: LonLatPolygons;
  /** Whether its area is the exact figure, as near as it can be drawn. */
  readonly ok: boolean;
}

const NOTHING: Clipped = { shape: [], ok: true };

/** The shapes of all trees that have the same zone at the same place: they are drawn once. */
class DrawnGround {
  readonly #tree: Omit<DrawnTree, 'crown' | 'layer' | 'feature' | 'key' | 'look'>;
  readonly #turn: number;
  readonly #outline: Shape;
  #near: readonly (readonly Ring[])[] | undefined;
  #zone: LonLatPolygons | undefined;
  #rings: TreeShapes['rings'] | undefined;
  #overlap: Clipped | undefined;
  #severed: Clipped | undefined;

  constructor(tree: DrawnTree) {
    const { frame, x, y, quarters } = tree;
    this.#tree = tree;
    this.#turn = quarters ? (-frame.convergence(x, y) * Math.PI) / 180 : 0;
    this.#outline = outlineOf(tree, this.#turn);
  }

  zone(): LonLatPolygons {
    this.#zone ??= this.#place(this.#outline);
    return this.#zone;
  }

  rings(): TreeShapes['rings'] {
    this.#rings ??= this.#tree.rings.map(({ name, radiusM }) => {
      return { name, shape: this.#place([[circleRing(radiusM)]]) };
    });
    return this.#rings;
  }

  overlap(look: (() => void) | undefined): Clipped {
    const { overlapM2 } = this.#tree;
    this.#overlap ??=
      overlapM2 > 0
        ? this.#clipped(insideOf(this.#pieces(look), this.#outline, overlapM2, this.#spared(look), look))
        : NOTHING;
    return this.#overlap;
  }

  severed(look: (() => void) | undefined): Clipped {
    const { severedM2 } = this.#tree;
    this.#severed ??= severedM2 > 0 ? this.#clipped(this.#behind(severedM2, look)) : NOTHING;
    return this.#severed;
  }

  #behind(severedM2: number, look: (() => void) | undefined): { readonly shape: Shape; readonly ok: boolean } {
    const works = [...this.#pieces(look), ...this.#spared(look)];
    return shadowOf(this.#shadow(), works, this.#outline, severedM2, look);
  }

  #pieces(look: (() => void) | undefined): readonly (readonly Ring[])[] {
    this.#near ??= this.#piecesOf(WORKS, look);
    return this.#near;
  }

  /** Pieces of works (or of other classes) about the tree, without what lies beyond its zone. */
  #piecesOf(classes: number, look: (() => void) | undefined): readonly (readonly Ring[])[] {
    const { meter, x, y, radiusM } = this.#tree;
    return worksOf(meter).works.about(x, y, radiusM, classes, look);
  }

  /** Ground that is hard today, where works on it are no loss. */
  #spared(look: (() => void) | undefined): readonly (readonly Ring[])[] {
    const spared = this.#tree.meter.touching.spare & EXISTING;
    return spared === 0 ? [] : this.#piecesOf(spared, look);
  }

  /** A trunk in the works loses its whole zone, by rule; else what lies behind the nearest works that cut. */
  #shadow(): Shape {
    const { stemInWorks, meter, x, y, radiusM, quarters } = this.#tree;
    return stemInWorks ? this.#outline : meter.shadow(x, y, radiusM, quarters, this.#turn);
  }

  #clipped({ shape, ok }: { readonly shape: Shape; readonly ok: boolean }): Clipped {
    return { shape: this.#place(shape), ok };
  }

  #place(shape: Shape): LonLatPolygons {
    return toLonLat(shape, this.#tree.frame, this.#tree.x, this.#tree.y);
  }
}

/** Grounds that are kept for the next tree of the same place: a clump of stems comes one after another. */
const MOST_GROUNDS = 4;

interface Drawings {
  readonly works: WorksToDraw;
  readonly grounds: Map<string, DrawnGround>;
}

/** The ground of a tree: that of one just drawn where place, zone and figures are the same to the last bit. */
function groundOf(tree: DrawnTree): DrawnGround {
  if (tree.drawnZone !== undefined) return new DrawnGround(tree);
  const { meter, frame, x, y, radiusM, quarters, rings, overlapM2, severedM2, stemInWorks } = tree;
  const names = rings.map((ring) => `${ring.name}=${ring.radiusM}`);
  const key = [frame.key, x, y, radiusM, quarters, overlapM2, severedM2, stemInWorks, ...names].join(' ');
  const { grounds } = worksOf(meter);
  const known = grounds.get(key) ?? new DrawnGround(tree);
  grounds.delete(key); // to the end of the line
  grounds.set(key, known);
  for (const oldest of grounds.keys()) {
    if (grounds.size <= MOST_GROUNDS) break;
    grounds.delete(oldest);
  }
  return known;
}

const drawingsByPieces = new WeakMap<Pieces, Drawings>();

/** The works of a meter as they are drawn: what is made of them for one tree serves the next. */
function worksOf({ pieces, index }: Meter): Drawings {
  let drawings = drawingsByPieces.get(pieces);
  if (drawings === undefined) {
    drawings = { works: new WorksToDraw(pieces, index), grounds: new Map() };
    drawingsByPieces.set(pieces, drawings);
  }
  return drawings;
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
export function drawPieces(
  pieces: readonly (readonly Ring[])[],
  frame: Frame,
  x: number,
  y: number,
  look?: () => void,
): LonLatPolygons {
  return toLonLat(unionShape(pieces, look), frame, x, y);
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
