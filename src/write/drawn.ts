// Drawn features of trees. In: an assessment, the roles wanted; out: per role and tree, the text of its features.
// Terms: kept = text made while an earlier role was written, held until its own role's turn.
// Roles come one after another in a file, but a tree is drawn as a whole; clipping it once per role would waste work.

import type { Finding } from '../findings.js';
import type { Assessment, LonLatPolygons, TreeResult, TreeShapes } from '../types.js';
import { type Drawn, drawnColumns, membersOf } from './columns.js';
import { type GeometryText, geometryTextFor } from './geometry-text.js';
import { jsonText } from './json.js';
import { DRAWN, type DrawnRole, isOutline, type Plan } from './options.js';

/** Characters (bytes) of text kept at most; past it a tree is drawn again for each role. Bounds memory, not the result. */
const KEEP_AT_MOST = 128e6;

const SHAPES: Readonly<Record<DrawnRole, (shapes: TreeShapes) => readonly { ring?: string; shape: LonLatPolygons }[]>> =
  {
    zone: (s) => [{ shape: s.zone }],
    ring: (s) => s.rings.map(({ name, shape }) => ({ ring: name, shape })),
    crown: (s) => [{ shape: s.crown ?? [] }],
    overlap: (s) => [{ shape: s.overlap }],
    severed: (s) => [{ shape: s.severed }],
  };

export class DrawnFeatures {
  /** What drawing had to say (shape-approximate); complete once the first drawn role has been written. */
  readonly findings: Finding[] = [];
  readonly #assessment: Assessment;
  readonly #roles: readonly DrawnRole[];
  readonly #members: Readonly<Record<DrawnRole, (of: Drawn) => string>>;
  readonly #kept = new Map<DrawnRole, Map<number, readonly string[]>>();
  readonly #text: GeometryText;
  #keptCharacters = 0;

  constructor(assessment: Assessment, plan: Plan) {
    this.#assessment = assessment;
    this.#text = geometryTextFor(plan.output);
    this.#roles = DRAWN.filter((role) => plan.roles.includes(role));
    const members = (role: DrawnRole) => membersOf(plan.prefix, drawnColumns(role, assessment, plan));
    this.#members = {
      zone: members('zone'),
      ring: members('ring'),
      crown: members('crown'),
      overlap: members('overlap'),
      severed: members('severed'),
    };
    for (const role of this.#roles) this.#kept.set(role, new Map());
  }

  *features(role: DrawnRole): Generator<string> {
    const place = this.#roles.indexOf(role);
    const kept = this.#kept.get(role);
    for (const tree of this.#assessment.eachTree()) {
      const texts = kept?.get(tree.row);
      if (texts !== undefined) {
        yield* texts;
        continue;
      }
      if (role === 'crown' && tree.crown === null) continue;
      if (role === 'overlap' && !((tree.overlapM2 ?? 0) > 0)) continue;
      if (role === 'severed' && !((tree.severedM2 ?? 0) > 0)) continue;
      yield* this.#draw(tree, place);
    }
    kept?.clear();
  }

  /** Texts of one role; those of later roles are kept where drawing them meant clipping. */
  #draw(tree: TreeResult, place: number): readonly string[] {
    const shapes = this.#assessment.shapes(tree.row);
    if (place === 0) this.findings.push(...shapes.findings);
    const clipped = shapes.overlap.length > 0 || shapes.severed.length > 0;
    if (clipped && this.#keptCharacters < KEEP_AT_MOST) {
      for (const later of this.#roles.slice(place + 1)) {
        const texts = this.#texts(later, tree, shapes);
        for (const text of texts) this.#keptCharacters += text.length;
        this.#kept.get(later)?.set(tree.row, texts);
      }
    }
    return this.#texts(this.#roles[place] as DrawnRole, tree, shapes);
  }

  #texts(role: DrawnRole, tree: TreeResult, shapes: TreeShapes): readonly string[] {
    const texts: string[] = [];
    for (const { ring: name, shape } of SHAPES[role](shapes)) {
      const geometry = this.#text.polygons(shape, isOutline(role));
      if (geometry === 'null') continue; // nothing to draw: the figure on the tree says so
      const ring = name === undefined ? null : (tree.rings.find((r) => r.name === name) ?? null);
      const id = name === undefined ? `${role}:${tree.key}` : `${role}:${tree.key}:${name}`;
      const members = this.#members[role]({ tree, ring, approximate: shapes.findings.length > 0 });
      texts.push(`{"type":"Feature","id":${jsonText(id)},"geometry":${geometry},"properties":{${members}}}`);
    }
    return texts;
  }
}
