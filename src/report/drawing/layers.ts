// The layers of a drawing, bottom to top. In: an assessment, its scene, the paper; out: SVG per layer and what the legend
// must explain. Terms: detail = how much is drawn by the number of trees: full, plain (no rings where nothing is touched),
// symbols (a dot per tree, no zones). One table holds every layer: a new role is a row.

import type { Assessment, LonLatPolygons, LonLatRing, TreeShapes, WorksKind } from '../../model/index.js';
import { isGoing, isOver, WORKS_KINDS } from '../../model/index.js';
import { isFromGrades, shownFences } from '../../write/index.js';
import { dashedRings } from './dashes.js';
import type { Drawing } from './drawings.js';
import { boxOfPairs, grown, meets } from './ground.js';
import { type AreaName, hatchOf, PATTERNS } from './palette.js';
import type { Paper } from './paper.js';
import type { Scene, SceneShape, SceneTree } from './scene.js';
import { shapesIn } from './scene.js';
import { circlePath, linePath, ringsPath } from './svg.js';

export type Detail = 'full' | 'plain' | 'symbols';

/** Above so many trees on the drawing, less is drawn. */
const FULL_AT_MOST = 400;
const PLAIN_AT_MOST = 5000;

/** Mean distance between trees on paper below which labels would only hide what they speak of, mm. */
const LABELS_FROM_MM = 5;

/** How near trees stand to each other on paper, mm: the side of the square that each has to itself. */
export function spacingMm(trees: readonly SceneTree[], paper: Paper): number {
  const box = boxOfPairs(trees.flatMap(({ x, y }) => [x, y]));
  if (box === null || trees.length < 2) return 100;
  return Math.sqrt(((box.x1 - box.x0 + 1) * (box.y1 - box.y0 + 1)) / trees.length) * paper.perMetre;
}

export function hasLabels(spacing: number): boolean {
  return spacing >= LABELS_FROM_MM;
}

export function detailOf(trees: number): Detail {
  return trees <= FULL_AT_MOST ? 'full' : trees <= PLAIN_AT_MOST ? 'plain' : 'symbols';
}

export interface DrawJob {
  readonly assessment: Assessment;
  readonly scene: Scene;
  readonly paper: Paper;
  readonly detail: Detail;
  /** How near trees stand to each other on paper, mm. */
  readonly spacing: number;
  readonly drawing: Drawing;
  /** Shapes of one tree; the same object while the layers of one tree are drawn. */
  shapes(row: number): TreeShapes;
}

/** What was drawn, for the legend: 'lot', 'works:paving', 'zone', ... */
export type Key = string;

export interface Drawn {
  readonly svg: string;
  readonly keys: readonly Key[];
}

const NOTHING: Drawn = { svg: '', keys: [] };

/** A zone smaller than this on paper shows its circle only: what lies within would be a blot. */
const INNER_FROM_MM = 1.2;
/** Shapes below this are not drawn, mm. */
const LEAST_MM = 0.25;
/** Vertices of works on one drawing at most, so that a city's works do not make a file that nobody can open. */
const VERTICES_AT_MOST = 120_000;

/** Every layer, in the order of the roles. */
export const LAYERS: readonly { readonly role: string; draw(job: DrawJob): Drawn }[] = [
  { role: 'lot', draw: drawLots },
  { role: 'existing', draw: drawExisting },
  { role: 'works', draw: drawWorks },
  { role: 'zone', draw: (job) => drawZones(job) },
  { role: 'ring', draw: drawRings },
  { role: 'crown', draw: (job) => drawTreeShape(job, 'crown', (shapes) => shapes.crown) },
  { role: 'overlap', draw: (job) => drawTreeShape(job, 'overlap', (shapes) => shapes.overlap) },
  { role: 'severed', draw: (job) => drawTreeShape(job, 'severed', (shapes) => shapes.severed) },
  { role: 'fence', draw: drawFences },
];

function drawLots({ assessment, scene, paper }: DrawJob): Drawn {
  const { lots, lotsLonLat } = assessment.job;
  if (lots === null) return NOTHING;
  const least = LEAST_MM / paper.perMetre;
  const shapes = shapesIn(scene.ground, lots.geometry, lotsLonLat, paper.shown, least, (row) => lots.rejected.has(row));
  return pathOf('lot', paper, shapes);
}

/** Surfaces that stand today, where the job has them; lines in their width. */
function drawExisting({ assessment, scene, paper }: DrawJob): Drawn {
  const { existing } = assessment.job;
  if (existing === null) return NOTHING;
  const { works, lonLat } = existing;
  const least = LEAST_MM / paper.perMetre;
  const rejected = (row: number): boolean => works.rejected.has(row);
  const shapes = shapesIn(scene.ground, works.geometry, lonLat, paper.shown, least, rejected);
  const widened = shapes.map((shape) =>
    shape.closed ? shape : { ...shape, rings: scene.ground.rings(assessment.measured(shape.row, 'existing')) },
  );
  return pathOf('existing', paper, widened);
}

function pathOf(role: string, paper: Paper, shapes: readonly SceneShape[]): Drawn {
  const shown = shapes.map(({ rings }) => paper.shownRings(rings));
  const d = shown.map(ringsPath).join('');
  const hatch = role === 'existing' ? hatchOf(role, shown) : '';
  return d === '' ? NOTHING : { svg: `<path class="rb-${role}" d="${d}"/>${hatch}`, keys: [role] };
}

/** Works of every kind, the light ones below; what was measured (a line's width, working space) rather than the line. */
function drawWorks(job: DrawJob): Drawn {
  const { assessment, scene, paper, detail } = job;
  const { works, worksLonLat } = assessment.job;
  const least = (detail === 'symbols' ? 2 * LEAST_MM : LEAST_MM) / paper.perMetre;
  const shapes = shapesIn(scene.ground, works.geometry, worksLonLat, paper.shown, 0, (row) => works.rejected.has(row));
  const drawn = new Map<string, number[][][]>();
  let vertices = 0;
  for (const shape of shapes) {
    const result = assessment.works[shape.row];
    const kind = areaName(WORKS_KINDS[works.kind[shape.row]!]!, isFromGrades(assessment, shape.row));
    const measured = !shape.closed || works.overdigM[shape.row]! > 0;
    const rings = measured ? scene.ground.rings(assessment.measured(shape.row)) : shape.rings;
    if (rings.every((ring) => isTiny(ring, least))) continue;
    for (const ring of rings) vertices += ring.length / 2;
    if (vertices > VERTICES_AT_MOST) break;
    const key = result?.counted === 'false' ? `${kind} rb-off` : kind;
    const shown = paper.shownRings(rings);
    const held = drawn.get(key);
    if (held === undefined) drawn.set(key, [shown]);
    else held.push(shown);
  }
  const order = ['grade-fill', 'grade-cut', 'paving', 'compaction', 'fill', 'excavation', 'building', 'trench', 'bore'];
  const keys = [...drawn.keys()].sort((a, b) => order.indexOf(a.split(' ')[0]!) - order.indexOf(b.split(' ')[0]!));
  const svg = keys
    .map((key) => {
      const shown = drawn.get(key)!;
      const hatch = key.endsWith(' rb-off') ? '' : hatchOf(key as AreaName, shown);
      return `${shown.map((rings) => `<path class="rb-${key}" d="${ringsPath(rings)}"/>`).join('')}${hatch}`;
    })
    .join('');
  return {
    svg: svg === '' ? '' : `<g class="rb-works">${svg}</g>`,
    keys: keys.map((key) => `works:${key.replace(' rb-', ':')}`),
  };
}

/** Ground made by grades has a hatch of its own. */
function areaName(kind: WorksKind, isMade: boolean): AreaName {
  return !isMade ? kind : kind === 'fill' ? 'grade-fill' : 'grade-cut';
}

function isTiny(ring: readonly number[], least: number): boolean {
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < ring.length; i += 2) {
    x0 = Math.min(x0, ring[i]!);
    x1 = Math.max(x1, ring[i]!);
    y0 = Math.min(y0, ring[i + 1]!);
    y1 = Math.max(y1, ring[i + 1]!);
  }
  return x1 - x0 < least && y1 - y0 < least;
}

/**
 * Circles as circles; a zone that follows the crown as its outline. That of a tree over its limit is drawn heavier, that of one
 * that goes lighter, and on the sheet of protection not at all.
 */
function drawZones({ assessment, scene, paper, detail, drawing, shapes }: DrawJob): Drawn {
  if (detail === 'symbols') return NOTHING;
  const { zonePolygons } = assessment.job;
  const parts: string[] = [];
  for (const tree of scene.trees) {
    if (!(tree.radiusM > 0)) continue;
    const isLeaving = isGoing(tree.disposition);
    if (isLeaving && drawing === 'protection') continue;
    const light = isLeaving
      ? ' stroke-opacity=".35"'
      : tree.verdict !== 'none' && isOver(tree.verdict)
        ? ' stroke-width=".7"'
        : tree.touched
          ? ''
          : ' stroke-opacity=".6"';
    const drawnZone =
      assessment.job.zones.quarters.has(tree.row) || zonePolygons?.table.rowOfTree.has(tree.row) === true;
    const d = drawnZone
      ? `<path d="${ringsPath(paper.rings(scene.ground.rings(shapes(tree.row).zone)))}"${light}/>`
      : circle(paper, tree, tree.radiusM, light);
    parts.push(d);
  }
  return parts.length === 0 ? NOTHING : { svg: `<g class="rb-zone">${parts.join('')}</g>`, keys: ['zone'] };
}

function drawRings({ assessment, scene, paper, detail }: DrawJob): Drawn {
  if (detail === 'symbols') return NOTHING;
  const parts: string[] = [];
  for (const tree of scene.trees) {
    if (!showsInner(tree, paper) || (!tree.touched && detail === 'plain')) continue;
    for (const ring of assessment.tree(tree.row).rings) parts.push(circle(paper, tree, ring.radiusM, ''));
  }
  return parts.length === 0 ? NOTHING : { svg: `<g class="rb-ring">${parts.join('')}</g>`, keys: ['ring'] };
}

function showsInner(tree: SceneTree, paper: Paper): boolean {
  return tree.radiusM * paper.perMetre >= INNER_FROM_MM;
}

function circle(paper: Paper, { x, y }: Pick<SceneTree, 'x' | 'y'>, radiusM: number, more: string): string {
  return `<path d="${circlePath(paper.x(x), paper.y(y), radiusM * paper.perMetre)}"${more}/>`;
}

function drawTreeShape(
  { scene, paper, detail, shapes }: DrawJob,
  role: 'crown' | 'overlap' | 'severed',
  pick: (shapes: TreeShapes) => LonLatPolygons | undefined,
): Drawn {
  if (detail === 'symbols') return NOTHING;
  const parts: string[] = [];
  const drawn: number[][][] = [];
  for (const tree of scene.trees) {
    if (!showsInner(tree, paper)) continue;
    if (!tree.touched && (role !== 'crown' || detail === 'plain')) continue;
    // A tree that goes is drawn quietly: what works take of its zone is no loss to anybody.
    if (role !== 'crown' && isGoing(tree.disposition)) continue;
    const shape = pick(shapes(tree.row)) ?? [];
    if (shape.length === 0) continue;
    const rings = paper.shownRings(scene.ground.rings(shape));
    const d = role === 'crown' ? dashedRings(rings, PATTERNS.crown, grown(paper.window, 1)) : ringsPath(rings);
    if (d === '') continue;
    parts.push(`<path d="${d}"/>`);
    drawn.push(rings);
  }
  if (parts.length === 0) return NOTHING;
  const hatch = role === 'crown' ? '' : hatchOf(role, drawn);
  return { svg: `<g class="rb-${role}">${parts.join('')}</g>${hatch}`, keys: [role] };
}

/** Whether a job's fences belong on its drawings: they were asked for, or it is small enough to lay them out by default. */
export function hasFences({ options, counts }: Assessment): boolean {
  return options.fences !== undefined || counts.trees.in <= FULL_AT_MOST;
}

/** Fences, their gates, and ground to be protected outside them. */
function drawFences({ assessment, scene, paper, detail }: DrawJob): Drawn {
  if (detail === 'symbols' || !hasFences(assessment)) return NOTHING;
  const belongs = shownFences(assessment);
  const fences = assessment.fences.fences.filter((_, i) => belongs.fence(i));
  const gates = assessment.fences.gates.filter((_, i) => belongs.gate(i));
  const groundProtection = assessment.fences.groundProtection.filter((_, i) => belongs.ground(i));
  const near = scene.ground.degrees(paper.shown);
  const shows = (ring: LonLatRing | undefined): boolean => {
    const box = boxOfPairs((ring ?? []).flat());
    return box !== null && (near === null || meets(box, near));
  };
  const areas = (shapes: readonly LonLatPolygons[]): number[][][] =>
    shapes
      .flatMap((shape) => shape.filter((polygon) => shows(polygon[0])))
      .map((polygon) => paper.shownRings(scene.ground.rings([polygon])));
  const covered = areas(groundProtection.map(({ shape }) => shape));
  const ground = covered.map(ringsPath).join('');
  const window = grown(paper.window, 1);
  const lines = areas(fences.map(({ shape }) => shape))
    .map((rings) => dashedRings(rings, PATTERNS.fence, window))
    .join('');
  const open = gates
    .filter(({ line }) => shows(line))
    .map(({ line }) => linePath(paper.ring(Array.from(scene.ground.metres(Float64Array.from(line.flat()))))))
    .join('');
  const parts = [
    ['ground', ground],
    ['fence', lines],
    ['gate', open],
  ].filter(([, d]) => d !== '');
  return {
    svg: parts
      .map(([css, d]) => `<path class="rb-${css}" d="${d}"/>${css === 'ground' ? hatchOf(css, covered) : ''}`)
      .join(''),
    keys: parts.map(([css]) => css!),
  };
}

/** The line from a trunk to the nearest works, metres east and north. */
export function nearestLine(paper: Paper, tree: SceneTree, dx: number, dy: number): string {
  const line = linePath(paper.ring([tree.x, tree.y, tree.x + dx, tree.y + dy]));
  return line === '' ? '' : `<path class="rb-nearest" d="${line}"/>`;
}
