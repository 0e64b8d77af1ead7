// Drawn features of trees as typed geometry. In: an assessment; out: per role, its features in order.
// Terms: see role-shapes.ts.
// The counterpart of drawn.ts for formats that are not text; the order and the ids are the same.

import type { Assessment, Finding } from '../model/index.js';
import { treeViews } from '../model/index.js';
import type { Drawn } from './columns.js';
import { type DrawnRole, isOutline } from './options.js';
import { drawnShapes } from './role-shapes.js';
import type { OutGeometry, Placer } from './shape.js';

/** One drawn feature. */
export interface DrawnFeature {
  readonly id: string;
  readonly of: Drawn;
  readonly geometry: OutGeometry;
}

export class DrawnShapes {
  readonly #findings = new Map<DrawnRole, Finding[]>();
  readonly #assessment: Assessment;
  readonly #place: Placer;

  constructor(assessment: Assessment, place: Placer) {
    this.#assessment = assessment;
    this.#place = place;
  }

  /** Findings of drawing (shape-approximate), of the roles that have been read. */
  get findings(): readonly Finding[] {
    return [...this.#findings.values()].flat();
  }

  *features(role: DrawnRole): Generator<DrawnFeature> {
    const findings: Finding[] = []; // a role that is read twice reports once
    this.#findings.set(role, findings);
    for (const tree of treeViews(this.#assessment)) {
      for (const { id, of, shape } of drawnShapes(role, tree, this.#assessment.shapes, findings)) {
        const geometry = this.#place.polygons(shape, isOutline(role));
        if (geometry !== null) yield { id, of, geometry }; // null: there is nothing to draw; the tree's figure shows it
      }
    }
  }
}
