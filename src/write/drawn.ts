// Drawn features of trees as text. In: an assessment, the roles wanted; out: per role and tree, the text of its features.
// Terms: see role-shapes.ts.

import type { Assessment, Finding, TreeResult } from '../model/index.js';
import { treeViews } from '../model/index.js';
import { type Drawn, drawnColumns, membersOf } from './columns.js';
import { type GeometryText, geometryTextFor } from './geometry-text.js';
import { jsonText } from './json.js';
import { type DrawnRole, isOutline, type Plan } from './options.js';
import { drawnShapes } from './role-shapes.js';
import { drawnColours } from './simplestyle.js';

export class DrawnFeatures {
  /** Findings of drawing (shape-approximate); complete once every drawn role has been written. */
  readonly findings: Finding[] = [];
  readonly #assessment: Assessment;
  readonly #plan: Plan;
  readonly #text: GeometryText;

  constructor(assessment: Assessment, plan: Plan) {
    this.#assessment = assessment;
    this.#plan = plan;
    this.#text = geometryTextFor(plan.output);
  }

  *features(role: DrawnRole): Generator<string> {
    const textsOf = this.ofTree(role);
    for (const tree of treeViews(this.#assessment)) yield* textsOf(tree);
  }

  /** The function that writes one tree's features of a role. */
  ofTree(role: DrawnRole): (tree: TreeResult) => Generator<string> {
    const members: (of: Drawn) => string = membersOf(this.#plan.prefix, [
      ...drawnColumns(role, this.#assessment, this.#plan),
      ...drawnColours(role, this.#plan),
    ]);
    return (tree) => this.#texts(role, tree, members);
  }

  *#texts(role: DrawnRole, tree: TreeResult, members: (of: Drawn) => string): Generator<string> {
    for (const { id, of, shape } of drawnShapes(role, tree, this.#assessment.shapes, this.findings)) {
      const geometry = this.#text.polygons(shape, isOutline(role));
      if (geometry === 'null') continue; // nothing to draw; the tree's figure shows it
      yield `{"type":"Feature","id":${jsonText(id)},"geometry":${geometry},"properties":{${members(of)}}}`;
    }
  }
}
