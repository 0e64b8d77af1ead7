// Assessment -> DXF for the drawing office. In: a path and what to write; out: a file in the survey's own projected system
// and unit (or that of --out-crs), plane, on the layers of dxf-layers.ts. Terms: entity = a thing drawn; sign = a block with
// attributes (dxf-signs.ts). The file is made in memory: a drawing is not a place for a city.

import { arcRuns, type BulgedVertex } from '../../geometry/index.js';
import type { Assessment, TreeResult } from '../../model/index.js';
import { InputError, treeViews, WORKS_KINDS } from '../../model/index.js';
import {
  eachStake,
  type OutGeometry,
  type OutputSystem,
  Placer,
  type Role,
  tablesOf,
  unitOf,
  type Value,
} from '../../write/index.js';
import { type Drawing, openDrawing } from './dxf-drawing.js';
import { DXF_LAYERS, type DxfLayer, layerNames, TREE_LAYERS, WORKS_LAYERS, zoneLayer } from './dxf-layers.js';
import { TREE_SIGNS, TREE_TEXTS, treeValues } from './dxf-signs.js';
import type { OutputFormat, Writing } from './format.js';
import { writePieces } from './write-file.js';

/** Half a metre: 2.5 mm on a sheet of 1:200. */
const TEXT_M = 0.5;
/** How far a corner may lie from the arc it is taken for: twice what nine decimals of a degree leave of its place. */
const OFF_ARC_M = 0.0002;
/** How far an arc may stand off the chord it takes the place of: what arcs were read with (read/arcs.ts), and rounding. */
const OFF_CHORD_M = 0.0012;
/** A sign of a tree of which neither crown nor zone is known. */
const SIGN_M = 1;

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
    const { assessment, plan, dxfLayers } = writing;
    const output = plan.output!; // `check` has seen to it
    const names = layerNames(dxfLayers);
    const layers = new Map((Object.keys(names) as DxfLayer[]).map((key) => [names[key], DXF_LAYERS[key][0]]));
    const drawing = await openDrawing(output.crs, layers, Object.values(TREE_SIGNS), TREE_TEXTS);
    const sheet: Sheet = { drawing, names, writing, output, place: new Placer(output) };
    // Zones, rings and round crowns are drawn as circles below, not from their outlines.
    const outlined = plan.roles.filter((role) => !['zone', 'ring', 'crown', 'tree'].includes(role));
    const tables = tablesOf(assessment, { ...plan, roles: outlined });
    for (const { role, fields, features } of tables.tables) {
      const at = (name: string): number => fields.findIndex((field) => field.name === plan.prefix + name);
      const [kind, why, fence] = [at('kind'), at('counted_reason'), at('fence_kind')];
      for (const { geometry, values } of features()) {
        if (geometry === null) continue;
        outline(sheet, layerOf(role, values[kind], values[why], values[fence]), geometry, CURVED.includes(role));
      }
    }
    if (plan.roles.includes('fence')) drawStakes(sheet);
    const points = tablesOf(assessment, { ...plan, roles: ['tree'] }).tables[0]?.features();
    for (const tree of treeViews(assessment)) {
      const shape = points?.next().value?.geometry ?? null;
      drawZone(sheet, tree);
      if (!plan.roles.includes('tree') || shape === null) continue;
      // A row that is not a single point is drawn as what it is: it must not go missing from the plan.
      if (shape.type === 'Point') drawTree(sheet, tree);
      else drawGroup(sheet, tree, shape);
    }
    if (plan.roles.includes('crown')) drawLimbs(sheet);
    drawing.notes(names.NOTES, TEXT_M / output.crs.metresPerUnit, notesOf(sheet));
    await writePieces(path, drawing.pieces());
    return tables.findings();
  },
};

/** What everything is drawn on and with. */
interface Sheet {
  readonly drawing: Drawing;
  readonly names: Readonly<Record<DxfLayer, string>>;
  readonly writing: Writing;
  readonly output: OutputSystem;
  readonly place: Placer;
}

/** Roles whose outlines may have been arcs in their source, or be rounded corners of a width. */
const CURVED: readonly Role[] = ['lot', 'existing', 'works', 'fence'];

const PLAIN: Readonly<Record<Exclude<Role, 'works' | 'fence' | 'zone' | 'tree'>, DxfLayer>> = {
  lot: 'LOTS',
  existing: 'EXISTING',
  ring: 'ROOT-RINGS',
  crown: 'CROWNS',
  overlap: 'OVERLAP',
  severed: 'SEVERED-GROUND',
};

const FENCES: Readonly<Record<string, DxfLayer>> = { gate: 'FENCE-GATES', 'ground-protection': 'GROUND-PROTECTION' };

function layerOf(role: Role, kind: Value | undefined, why: Value | undefined, fence: Value | undefined): DxfLayer {
  if (role === 'fence') return FENCES[String(fence)] ?? 'FENCE';
  if (role === 'works') {
    if (why === 'other-option') return 'WORKS-OTHER-OPTION';
    return WORKS_LAYERS[WORKS_KINDS.find((one) => one === kind) ?? 'building'];
  }
  return role === 'zone' || role === 'tree' ? 'TRUNKS' : PLAIN[role];
}

function outline({ drawing, names, output }: Sheet, layer: DxfLayer, geometry: OutGeometry, curved: boolean): void {
  const name = names[layer];
  const closed = geometry.type.endsWith('Polygon');
  const unit = output.crs.metresPerUnit;
  for (const ring of geometry.parts.flat()) {
    if (ring.length === 2) {
      drawing.point(name, ring[0]!, ring[1]!);
      continue;
    }
    // A line that ends where it begins is drawn closed, as the ring it is.
    const isRing = closed || (ring.length > 6 && ring[0] === ring.at(-2) && ring[1] === ring.at(-1));
    const flat = isRing ? ring.subarray(0, ring.length - 2) : ring;
    const arcs = curved ? arcRuns(flat, isRing, OFF_ARC_M / unit, OFF_CHORD_M / unit) : null;
    drawing.polyline(name, arcs ?? straight(flat), isRing);
  }
}

function straight(flat: Float64Array): BulgedVertex[] {
  return Array.from({ length: flat.length / 2 }, (_, i) => [flat[i * 2]!, flat[i * 2 + 1]!, 0] as const);
}

/** Zone, rings and crown of a tree, as far as they are asked for. */
function drawZone(sheet: Sheet, tree: TreeResult): void {
  const { writing, drawing, names, place } = sheet;
  const { assessment, plan } = writing;
  const wants = (role: Role): boolean => plan.roles.includes(role);
  const spot = spotOf(sheet, tree);
  const drawn = (layer: DxfLayer, radiusM: number | null, shape: 'zone' | 'crown'): void => {
    if (radiusM !== null && spot !== null) {
      drawing.circle(names[layer], spot.x, spot.y, radiusM * spot.scale);
      return;
    }
    const geometry = place.polygons(assessment.shapes(tree.row)[shape], true);
    if (geometry !== null) outline(sheet, layer, geometry, false);
  };
  if (wants('zone') && tree.zoneRadiusM !== null) {
    // A zone that follows the crown, or was drawn by an arborist, is not a circle.
    const { zones, zoneShapes } = assessment.job;
    const round = !(zones.quarters.has(tree.row) || zoneShapes.has(tree.row));
    drawn(zoneLayer(tree.disposition, tree.verdict), round ? tree.zoneRadiusM : null, 'zone');
  }
  if (wants('ring') && spot !== null) {
    for (const { radiusM } of tree.rings) drawing.circle(names['ROOT-RINGS'], spot.x, spot.y, radiusM * spot.scale);
  }
  if (wants('crown') && tree.crown !== null) drawn('CROWNS', roundCrown(assessment, tree.row), 'crown');
}

/** The radius of a crown that is given as one, not as four and not as a polygon; else null. */
function roundCrown({ job }: Assessment, row: number): number | null {
  const [north = Number.NaN, ...others] = job.trees.crownM.subarray(row * 4, row * 4 + 4);
  const isDrawn = job.crownPolygons?.table.rowOfTree.has(row) ?? false;
  return !isDrawn && north > 0 && others.every((radius) => radius === north) ? north : null;
}

/** The sign, the trunk, and the point where the tree was surveyed. */
function drawTree(sheet: Sheet, tree: TreeResult): void {
  const { writing, drawing, names, output } = sheet;
  const { trees } = writing.assessment.job;
  const spot = spotOf(sheet, tree);
  if (spot === null) return;
  const { x, y, scale } = spot;
  drawing.point(names.TRUNKS, x, y);
  if (tree.dbhM !== null && tree.dbhM > 0) drawing.circle(names.TRUNKS, x, y, (tree.dbhM / 2) * scale);
  const crown = meanOf(trees.crownM.subarray(tree.row * 4, tree.row * 4 + 4));
  const radius = (crown ?? tree.zoneRadiusM ?? SIGN_M) * scale;
  const height = TEXT_M / output.crs.metresPerUnit;
  const sign = TREE_SIGNS[tree.disposition].name;
  drawing.sign(
    sign,
    { layer: names[TREE_LAYERS[tree.disposition]], x, y, radius },
    {
      layer: names['TREES-LABELS'],
      x: x + Math.max(height, ((tree.dbhM ?? 0) / 2) * scale + 0.4 * height),
      y: y + 0.5 * height,
      height,
      values: treeValues(tree, trees.species[tree.row], crown, writing.plan.units),
    },
  );
}

/** The outline of a row that is no single point, and what it is called: it has no trunk to put a sign on. */
function drawGroup(sheet: Sheet, tree: TreeResult, shape: OutGeometry): void {
  const { drawing, names, output, place } = sheet;
  outline(sheet, TREE_LAYERS[tree.disposition], shape, false);
  const [x, y] = place.point(tree.lon, tree.lat)?.parts[0]?.[0] ?? shape.parts[0]![0]!;
  drawing.text(names['TREES-LABELS'], x!, y!, TEXT_M / output.crs.metresPerUnit, tree.key);
}

function meanOf(radii: Float64Array): number | null {
  const sum = radii.reduce((total, radius) => total + radius, 0);
  return sum > 0 ? sum / radii.length : null; // NaN: not all are given
}

function drawLimbs({ writing, drawing, names, place }: Sheet): void {
  for (const { line, conflict } of writing.assessment.limbs) {
    const parts = line === null ? [] : (place.lines([line])?.parts ?? []);
    const layer = names[conflict === true ? 'LIMBS-IN-THE-WAY' : 'LIMBS'];
    for (const [flat] of parts) if (flat !== undefined) drawing.polyline(layer, straight(flat), false);
  }
}

function drawStakes({ writing, drawing, names, output }: Sheet): void {
  const layer = names['FENCE-STAKES'];
  const height = TEXT_M / 2 / output.crs.metresPerUnit;
  for (const { id, easting, northing } of eachStake(writing.assessment, output)) {
    if (!Number.isFinite(easting) || !Number.isFinite(northing)) continue;
    drawing.point(layer, easting, northing);
    drawing.text(layer, easting + 0.5 * height, northing + 0.5 * height, height, id);
  }
}

/** What a drawing must say of itself wherever it is copied to. */
function notesOf({ writing, output }: Sheet): readonly string[] {
  const { assessment, plan } = writing;
  const { crs } = output;
  const lines = [
    `rootberth ${assessment.version}${plan.stamp === undefined ? '' : `: ${plan.stamp}`}`,
    `System: ${crs.code} ${crs.name}. Unit: ${UNIT_WORDS[crs.unit] ?? unitOf(crs)}.`,
  ];
  if (crs.unit === 'ftUS') {
    lines.push(
      'A program that takes the unit for the international foot moves things by 2 parts in a million:',
      '4 ft at 2,000,000 ft. Insert it at scale 1 into drawings in US survey feet.',
    );
  }
  lines.push(
    'Not a boundary survey: a licensed surveyor verifies it before anything is built from it.',
    'A qualified arborist and the local code decide. Zones are a rule’s figures, not where roots are.',
  );
  return lines;
}

const UNIT_WORDS: Readonly<Partial<Record<string, string>>> = {
  m: 'metre',
  ft: 'international foot (0.3048 m)',
  ftUS: 'US survey foot (1200/3937 m)',
};

interface Spot {
  readonly x: number;
  readonly y: number;
  readonly scale: number; // drawing units per true metre
}

/** Where a tree stands on the drawing; null where it has no place there. */
function spotOf({ writing, output }: Sheet, tree: TreeResult): Spot | null {
  const { assessment } = writing;
  const [x, y] = centre(assessment, output, tree);
  if (x === undefined || y === undefined || !Number.isFinite(x) || !Number.isFinite(y)) return null;
  return { x, y, scale: unitsPerMetre(assessment, output, tree, tree.zoneRadiusM ?? 1) };
}

/** The surveyor's own figures where the drawing is in the survey's system: not there and back through lon/lat. */
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
