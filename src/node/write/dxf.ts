// Assessment -> DXF for the drawing office. In: a path and what to write; out: a file in the survey's own projected system
// and unit (or that of --out-crs), plane, one layer per kind of thing. Terms: entity = a thing drawn; layers have names of
// our own in plain English and follow no office's standard. The file is made in memory: a drawing is not meant for a whole
// city.

import type { Assessment, TreeResult } from '../../model/index.js';
import { InputError, treeViews } from '../../model/index.js';
import { printable } from '../../text/index.js';
import { type OutGeometry, type OutputSystem, Placer, type Role, SCALES, tablesOf } from '../../write/index.js';
import { type Drawing, openDrawing } from './dxf-drawing.js';
import type { OutputFormat, Writing } from './format.js';
import { writePieces } from './write-file.js';

/** Layer names and colours (the colour index of the DXF format). */
const DXF_LAYERS = {
  trunk: ['Tree trunks', 32],
  zone: ['Root zones', 3],
  ring: ['Root zone rings', 2],
  crown: ['Crowns', 92],
  overlap: ['Overlap', 1],
  severed: ['Severed ground', 6],
  works: ['Works', 5],
  fence: ['Protection fences', 30],
  gate: ['Fence gates', 4],
  ground: ['Ground protection', 34],
  existing: ['Existing hard ground', 9],
  lot: ['Lots', 8],
  label: ['Tree labels', 7],
} as const;

export const dxf: OutputFormat = {
  extensions: ['dxf'],
  title: 'DXF drawing in the survey’s own plane coordinates',
  sidecar: true,
  roles: null,
  system: (assessment) => {
    const { treeTransform } = assessment.job;
    if (treeTransform === undefined || treeTransform.crs.kind === 'geographic') return undefined;
    return { crs: treeTransform.crs, toOutput: treeTransform.fromLonLat };
  },
  check: ({ plan, assessment }) => {
    if (plan.output !== null && plan.output.crs.kind !== 'geographic') return;
    throw new InputError('format-needs-plane', 'a drawing needs plane coordinates, and these are degrees', {
      cure: `name a projected system with --out-crs, such as ${utmOf(assessment)}`,
      usage: true,
    });
  },
  write: async (path, writing) => {
    const { assessment, plan } = writing;
    const output = plan.output!; // `check` has made sure of it
    const drawing = await openDrawing(output.crs, Object.values(DXF_LAYERS));
    // Zones and rings are drawn as circles below, not from their outlines.
    const outlined = plan.roles.filter((role) => role !== 'zone' && role !== 'ring' && role !== 'tree');
    const tables = tablesOf(assessment, { ...plan, roles: outlined });
    for (const { role, fields, features } of tables.tables) {
      const kind = fields.findIndex(({ name }) => name === `${plan.prefix}fence_kind`);
      for (const { geometry, values } of features()) {
        const layer = role === 'fence' ? FENCE_LAYERS[String(values[kind])] : undefined;
        if (geometry !== null) outline(drawing, layer ?? LAYER_OF[role], geometry);
      }
    }
    const place = new Placer(output);
    const points = tablesOf(assessment, { ...plan, roles: ['tree'] }).tables[0]?.features();
    for (const tree of treeViews(assessment)) {
      const shape = points?.next().value?.geometry ?? null;
      // A row that is not a single point is drawn as it is, so that it does not go missing from the plan.
      if (shape?.type === 'Point') drawTree(drawing, writing, output, place, tree);
      else if (shape !== null && plan.roles.includes('tree')) outline(drawing, 'trunk', shape);
    }
    await writePieces(path, drawing.pieces());
    return tables.findings();
  },
};

type LayerKey = keyof typeof DXF_LAYERS;

const LAYER_OF: Readonly<Record<Role, LayerKey>> = {
  lot: 'lot',
  existing: 'existing',
  works: 'works',
  zone: 'zone',
  ring: 'ring',
  crown: 'crown',
  overlap: 'overlap',
  severed: 'severed',
  fence: 'fence',
  tree: 'trunk',
};

const FENCE_LAYERS: Readonly<Record<string, LayerKey>> = { gate: 'gate', 'ground-protection': 'ground' };

function outline(drawing: Drawing, layer: LayerKey, geometry: OutGeometry): void {
  const name = DXF_LAYERS[layer][0];
  const closed = geometry.type.endsWith('Polygon');
  for (const ring of geometry.parts.flat()) {
    if (ring.length === 2) drawing.point(name, ring[0]!, ring[1]!);
    else drawing.polyline(name, closed ? ring.subarray(0, ring.length - 2) : ring, closed);
  }
}

function drawTree(drawing: Drawing, writing: Writing, output: OutputSystem, place: Placer, tree: TreeResult): void {
  const { assessment, plan } = writing;
  const [x, y] = centre(assessment, output, tree);
  if (x === undefined || y === undefined || !Number.isFinite(x) || !Number.isFinite(y)) return;
  const scale = unitsPerMetre(assessment, output, tree, tree.zoneRadiusM ?? 1);
  const circle = (layer: LayerKey, radiusM: number): void =>
    drawing.circle(DXF_LAYERS[layer][0], x, y, radiusM * scale);
  if (plan.roles.includes('zone') && tree.zoneRadiusM !== null) {
    // A zone that follows the crown is not a circle.
    const crown = assessment.job.zones.quarters?.has(tree.row) ?? false;
    const shape = crown ? place.polygons(assessment.shapes(tree.row).zone, true) : null;
    if (shape === null) circle('zone', tree.zoneRadiusM);
    else outline(drawing, 'zone', shape);
  }
  if (plan.roles.includes('ring')) for (const ring of tree.rings) circle('ring', ring.radiusM);
  if (!plan.roles.includes('tree')) return;
  drawing.point(DXF_LAYERS.trunk[0], x, y);
  if (tree.dbhM !== null && tree.dbhM > 0) circle('trunk', tree.dbhM / 2);
  drawing.text(DXF_LAYERS.label[0], x, y, 0.5 / output.crs.metresPerUnit, labelOf(writing, tree));
}

/** Tag, diameter, percent of the zone: a line each. */
function labelOf({ plan }: Writing, tree: TreeResult): string[] {
  const { diameterCell } = SCALES[plan.units];
  const lines = [printable(tree.key)];
  if (tree.dbhM !== null) lines.push(`dbh ${(tree.dbhM * diameterCell.factor).toFixed(1)} ${diameterCell.title}`);
  lines.push(tree.overlapPct === null ? 'not assessed' : `${tree.overlapPct.toFixed(1)} %`);
  return lines;
}

/** The surveyor's own figures where the drawing is in the survey's system, without the way through lon/lat and back. */
function centre(assessment: Assessment, output: OutputSystem, tree: TreeResult): readonly (number | undefined)[] {
  const { trees, treeTransform } = assessment.job;
  if (treeTransform?.crs === output.crs) return [trees.xy[tree.row * 2], trees.xy[tree.row * 2 + 1]];
  const xy = Float64Array.of(tree.lon ?? Number.NaN, tree.lat ?? Number.NaN);
  output.toOutput(xy);
  return [xy[0], xy[1]];
}

/**
 * Drawing units per true metre at a tree: the unit, times the projection's scale there, so that circles lie on the drawing
 * as zones lie on the ground. Measured across a zone, east-west and north-south, in the tree's own frame.
 */
function unitsPerMetre(
  assessment: Assessment,
  output: OutputSystem,
  tree: Pick<TreeResult, 'lon' | 'lat'>,
  radiusM: number,
): number {
  if (output.crs.kind === 'local') return 1 / output.crs.metresPerUnit; // the ground itself
  const r = Math.max(radiusM, 1);
  const frame = assessment.job.frameAt(tree.lon!, tree.lat!);
  const at = Float64Array.of(tree.lon!, tree.lat!);
  frame.toFrame(at, at);
  const [x, y] = [at[0]!, at[1]!];
  const ends = Float64Array.of(x - r, y, x + r, y, x, y - r, x, y + r);
  frame.toLonLat(ends, ends);
  output.toOutput(ends);
  const across = (i: number): number => Math.hypot(ends[i + 2]! - ends[i]!, ends[i + 3]! - ends[i + 1]!);
  return (across(0) + across(4)) / (4 * r);
}

/** The UTM zone of the first tree that has a position. */
function utmOf(assessment: Assessment): string {
  const tree = assessment.trees.find((t) => t.lon !== null && t.lat !== null);
  if (tree?.lon == null || tree.lat == null) return 'EPSG:32610';
  const zone = Math.min(60, Math.floor((tree.lon + 180) / 6) + 1);
  return `EPSG:${(tree.lat < 0 ? 32700 : 32600) + zone}`;
}
