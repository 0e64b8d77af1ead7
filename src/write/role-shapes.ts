// Which shapes a drawn role has: in: a tree's figures and its shapes; out: the shapes of one role, drawn as they are taken.
// Terms: approximate = a drawn shape that differs from the exact figure; it says so on its own feature.

import type { Finding, LonLatPolygons, TreeResult, TreeShapes } from '../model/index.js';
import type { Drawn } from './columns.js';
import type { DrawnRole } from './options.js';

interface RoleShapes {
  /** Whether there is anything to draw: the figures tell, so nothing has to be drawn first. */
  readonly any: (tree: TreeResult) => boolean;
  readonly of: (shapes: TreeShapes) => readonly { readonly ring?: string; readonly shape: LonLatPolygons }[];
  readonly findings: (shapes: TreeShapes) => readonly Finding[];
}

const NONE = (): readonly Finding[] => [];

const ROLE_SHAPES: Readonly<Record<DrawnRole, RoleShapes>> = {
  zone: { any: () => true, of: (s) => [{ shape: s.zone }], findings: NONE },
  ring: { any: () => true, of: (s) => s.rings.map(({ name, shape }) => ({ ring: name, shape })), findings: NONE },
  crown: { any: (tree) => tree.crown !== null, of: (s) => [{ shape: s.crown }], findings: NONE },
  overlap: {
    any: (tree) => (tree.overlapM2 ?? 0) > 0,
    of: (s) => [{ shape: s.overlap }],
    findings: (s) => s.findingsOf('overlap'),
  },
  severed: {
    any: (tree) => (tree.severedM2 ?? 0) > 0,
    of: (s) => [{ shape: s.severed }],
    findings: (s) => s.findingsOf('severed'),
  },
};

/** One drawn feature before it is placed or written. */
export interface DrawnShape {
  readonly id: string;
  readonly of: Drawn;
  readonly shape: LonLatPolygons;
}

/**
 * The features of one role for one tree, drawn now; findings of drawing go to `findings`.
 * Roles come one after another in a file, and each shape is drawn in its own role's turn: nothing is kept between them.
 */
export function* drawnShapes(
  role: DrawnRole,
  tree: TreeResult,
  shapesOf: (row: number) => TreeShapes,
  findings: Finding[],
): Generator<DrawnShape> {
  const about = ROLE_SHAPES[role];
  if (!about.any(tree)) return;
  const shapes = shapesOf(tree.row);
  const told = about.findings(shapes);
  findings.push(...told);
  for (const { ring: name, shape } of about.of(shapes)) {
    const ring = name === undefined ? null : (tree.rings.find((r) => r.name === name) ?? null);
    const id = name === undefined ? `${role}:${tree.key}` : `${role}:${tree.key}:${name}`;
    yield { id, of: { tree, ring, approximate: told.length > 0 }, shape };
  }
}
