// Drawn features of trees as typed geometry. In: an assessment, the roles wanted; out: per role, its features in order.
// Terms: kept = shapes made while an earlier role was read, held until their own role's turn.
// The counterpart of drawn.ts for formats that are not text; the order and the ids are the same.

import type { Finding } from '../findings.js';
import type { Assessment, LonLatPolygons, TreeResult, TreeShapes } from '../types.js';
import type { Drawn } from './columns.js';
import { DRAWN, type DrawnRole, isOutline, type Plan } from './options.js';
import type { OutGeometry, Placer } from './shape.js';

/** Vertices kept at most (16 bytes each); past it a tree is drawn again for each role. Bounds memory, not the result. */
const KEEP_AT_MOST = 4e6;

/** One drawn feature. */
export interface DrawnFeature {
  readonly id: string;
  readonly of: Drawn;
  readonly geometry: OutGeometry;
}

const SHAPES: Readonly<Record<DrawnRole, (shapes: TreeShapes) => readonly { ring?: string; shape: LonLatPolygons }[]>> =
  {
    zone: (s) => [{ shape: s.zone }],
    ring: (s) => s.rings.map(({ name, shape }) => ({ ring: name, shape })),
    crown: (s) => [{ shape: s.crown ?? [] }],
    overlap: (s) => [{ shape: s.overlap }],
    severed: (s) => [{ shape: s.severed }],
  };

export class DrawnShapes {
  /** What drawing had to say (shape-approximate); complete once the first drawn role has been read. */
  readonly findings: Finding[] = [];
  readonly #assessment: Assessment;
  readonly #roles: readonly DrawnRole[];
  readonly #place: Placer;
  readonly #kept = new Map<DrawnRole, Map<number, readonly DrawnFeature[]>>();
  readonly #heard = new Set<number>(); // trees whose findings were taken
  #keptVertices = 0;

  constructor(assessment: Assessment, plan: Plan, place: Placer) {
    this.#assessment = assessment;
    this.#place = place;
    this.#roles = DRAWN.filter((role) => plan.roles.includes(role));
    for (const role of this.#roles) this.#kept.set(role, new Map());
  }

  *features(role: DrawnRole): Generator<DrawnFeature> {
    const kept = this.#kept.get(role);
    for (const tree of this.#assessment.trees) {
      const ready = kept?.get(tree.row);
      if (ready !== undefined) {
        yield* ready;
        continue;
      }
      if (role === 'crown' && tree.crown === null) continue;
      if (role === 'overlap' && !((tree.overlapM2 ?? 0) > 0)) continue;
      if (role === 'severed' && !((tree.severedM2 ?? 0) > 0)) continue;
      yield* this.#draw(tree, role);
    }
    for (const features of kept?.values() ?? []) for (const f of features) this.#keptVertices -= vertices(f.geometry);
    kept?.clear();
  }

  #draw(tree: TreeResult, role: DrawnRole): readonly DrawnFeature[] {
    const shapes = this.#assessment.shapes(tree.row);
    if (shapes.findings.length > 0 && !this.#heard.has(tree.row)) {
      this.#heard.add(tree.row);
      this.findings.push(...shapes.findings);
    }
    const clipped = shapes.overlap.length > 0 || shapes.severed.length > 0;
    if (clipped && this.#keptVertices < KEEP_AT_MOST) {
      for (const later of this.#roles.slice(this.#roles.indexOf(role) + 1)) {
        const features = this.#features(later, tree, shapes);
        for (const f of features) this.#keptVertices += vertices(f.geometry);
        this.#kept.get(later)?.set(tree.row, features);
      }
    }
    return this.#features(role, tree, shapes);
  }

  #features(role: DrawnRole, tree: TreeResult, shapes: TreeShapes): readonly DrawnFeature[] {
    const out: DrawnFeature[] = [];
    for (const { ring: name, shape } of SHAPES[role](shapes)) {
      const geometry = this.#place.polygons(shape, isOutline(role));
      if (geometry === null) continue; // nothing to draw: the figure on the tree says so
      const ring = name === undefined ? null : (tree.rings.find((r) => r.name === name) ?? null);
      const id = name === undefined ? `${role}:${tree.key}` : `${role}:${tree.key}:${name}`;
      out.push({ id, of: { tree, ring, approximate: shapes.findings.length > 0 }, geometry });
    }
    return out;
  }
}

function vertices(geometry: OutGeometry): number {
  let sum = 0;
  for (const rings of geometry.parts) for (const ring of rings) sum += ring.length / 2;
  return sum;
}
