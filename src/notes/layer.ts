// Field notes by role -> Layer. In: computed notes, a role; out: trees as points, works, existing and lots as polygons and centre
// lines, in the coordinates of the notes. Terms: see types.ts. A feature that can't be placed stays, with what is missing.

import {
  type CrsStatement,
  InputError,
  type Layer,
  LayerBuilder,
  type LayerRole,
  METRES_PER,
  type Properties,
} from '../model/index.js';
import type { FieldNotes, PlacedPoint } from './result.js';
import { drawn } from './shapes.js';
import { CIRCLE_95 } from './statistics.js';
import type { Outline, Spread } from './types.js';

const ROLES: readonly (LayerRole | undefined)[] = ['trees', 'works', 'existing', 'lots', 'grades', undefined];

/**
 * The part of notes that a role asks for; undefined: all of them.
 *
 * @throws InputError `notes-role` for roles that notes do not hold
 */
export function notesLayer(notes: FieldNotes, role: LayerRole | undefined, sha256: string | null = null): Layer {
  if (!ROLES.includes(role)) {
    throw new InputError(
      'notes-role',
      `${notes.name} is a file of field notes: it holds trees, works, existing and lots, no ${role}`,
      {
        layer: notes.name,
        cure: 'give them in a file of their own',
        usage: true,
      },
    );
  }
  const into = new LayerBuilder(notes.name, 'notes');
  // What is wrong with the notes is told once, with the trees; spots may be of notes that no trees are taken from.
  if (role === 'trees' || role === 'grades' || role === undefined) into.findings.push(...notes.findings);
  if (role === 'trees' || role === undefined) {
    notes.points.forEach((point, p) => {
      if (point.isTree) addTree(point, groundOf(notes, p), into);
    });
  }
  if (role === 'grades') addSpots(notes, into);
  else if (role !== 'trees')
    for (const outline of notes.outlines) if (isOf(outline, role)) addOutline(notes, outline, role, into);
  const layer = into.finish({ crs: statement(notes), sha256 });
  if (notes.system !== 'plane') return layer;
  const { unit } = notes;
  // A person who writes easting_ft seldom says which foot.
  const stated = unit === 'ft' ? 'foot' : unit;
  return { ...layer, unit: { unit: stated, metresPerUnit: METRES_PER[unit], from: 'the names of its columns' } };
}

function isOf({ kind }: Outline, role: LayerRole | undefined): boolean {
  if (role === undefined) return true;
  return role === 'lots'
    ? kind === 'lot'
    : role === 'existing'
      ? kind === 'existing'
      : kind !== 'lot' && kind !== 'existing';
}

function statement({ system, unit }: FieldNotes): CrsStatement | null {
  if (system === 'plane') return null;
  return { from: 'file', text: system === 'degrees' ? 'OGC:CRS84' : `local:${unit}` };
}

const PROPOSED = /^proposed_(?:height|elevation)/i;

/** The height of the ground at a point, by level or as given. */
function groundOf({ levels }: FieldNotes, p: number): Properties {
  const height = levels?.heightM[p];
  return height === undefined || Number.isNaN(height) ? {} : { ground_height_m: Number(height.toFixed(4)) };
}

/** Points that have a place and a height of the ground, as it is or as it is proposed. */
function addSpots(notes: FieldNotes, into: LayerBuilder): void {
  notes.points.forEach((point, p) => {
    const ground = groundOf(notes, p);
    const proposed = Object.entries(point.properties).filter(([key]) => PROPOSED.test(key));
    if (point.at === null || (Object.keys(ground).length === 0 && proposed.length === 0)) return;
    into.begin('point');
    into.part();
    into.ring();
    into.vertex(point.at[0], point.at[1]);
    into.end({ id: point.name, ...ground, ...Object.fromEntries(proposed) });
  });
}

function addTree(
  { name, at, accuracyM, spread, properties, row }: PlacedPoint,
  ground: Properties,
  into: LayerBuilder,
): void {
  const own = Object.keys(properties).some((key) => key.toLowerCase() === 'id') ? { point: name } : { id: name };
  if (at === null) {
    into.begin('broken');
    into.abandon(`row ${row}`, `${name} can't be placed by what was measured`, 'see what is told of this point');
  } else {
    into.begin('point');
    into.part();
    into.ring();
    into.vertex(at[0], at[1]);
  }
  into.end({ ...own, ...properties, ...ground, ...accuracyOf(accuracyM), ...ellipseOf(spread) });
}

function addOutline(notes: FieldNotes, outline: Outline, role: LayerRole | undefined, into: LayerBuilder) {
  const { points } = notes;
  const xy = Float64Array.from(points.flatMap((point) => [point.xM, point.yM]));
  const shape = drawn(outline, xy, (p) => points[p]!.name);
  const { name, row, properties } = outline;
  const own = Object.keys(properties).some((key) => key.toLowerCase() === 'id') ? {} : { id: name };
  const worst = Math.max(...outline.corners.map(({ point }) => points[point]!.accuracyM));
  const rest = Object.entries(properties).filter(([key]) => role !== 'existing' || key.toLowerCase() !== 'kind');
  const props: Properties = { ...own, ...Object.fromEntries(rest), ...accuracyOf(worst) };
  if ('missing' in shape) {
    into.begin('broken');
    into.abandon(`row ${row}`, shape.missing, shape.cure);
    return into.end(props);
  }
  into.begin(shape.isLine ? 'line' : 'polygon');
  into.part();
  into.ring();
  const n = shape.xy.length;
  for (let i = 0; i < n + (shape.isLine ? 0 : 2); i += 2)
    into.vertex(...notes.toNative(shape.xy[i % n]!, shape.xy[(i + 1) % n]!));
  into.end(props);
}

function accuracyOf(metres: number): Properties {
  return Number.isFinite(metres) ? { accuracy_m: Number(metres.toFixed(3)) } : {};
}

/** The other half axis of the ellipse whose longer one is the accuracy, and where that one points. */
function ellipseOf(spread: Spread | null): Properties {
  if (spread === null || !(spread.majorM > 0)) return {};
  const { minorM, azimuthDeg } = spread;
  return {
    accuracy_minor_m: Number((minorM * CIRCLE_95).toFixed(3)),
    accuracy_azimuth_deg: Number(azimuthDeg.toFixed(1)),
  };
}
