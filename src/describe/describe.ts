// What a file holds and what an assessment of it would need. In: a layer and options; out: a LayerDescription.
// Terms: role = what the layer is probably for, by its geometry, fields and name; need = something that has to be
// said before the layer can be used, as an option and a reason; likely field = one that is probably meant.
// Joins check and project as assess/index.ts does; nothing is assessed, and no layer makes it throw.

import {
  checkValues,
  type LikelyField,
  likelyFields,
  type SizeColumn,
  sizeColumns,
  type UnknownWord,
} from '../check/index.js';
import { type AssignedLayer, assignCrs, boundsOf, checkPositions, layerBounds } from '../crs/index.js';
import {
  type AssessOptions,
  type Finding,
  GEOMETRY_KINDS,
  type GeometryKind,
  InputError,
  type Layer,
  type LayerRole,
} from '../model/index.js';
import { drawingNeeds, type Need } from './drawing.js';
import { judge } from './judge.js';
import { crsNeed, fieldNeed, swapNeeds, unitNeeds } from './needs.js';

export interface LayerDescription {
  readonly layer: Layer;
  readonly role: LayerRole;
  readonly kinds: readonly { readonly kind: GeometryKind; readonly count: number }[];
  /** Features that would be used; null when the layer can't be used as it is. */
  readonly usable: number | null;
  /** The layer with its coordinate system; null when it has none. */
  readonly placed: AssignedLayer | null;
  /** West, south, east, north in degrees; null when unknown. */
  readonly lonLat: readonly [number, number, number, number] | null;
  /** The same in the layer's own coordinates: least x, least y, largest x, largest y. */
  readonly native: readonly [number, number, number, number] | null;
  /** Positions that both boxes leave out: not on earth, or outside the area of use while most lie inside. */
  readonly strays: number;
  readonly sizes: readonly SizeColumn[]; // tree layers only
  readonly likely: readonly LikelyField[];
  readonly needs: readonly Need[];
  readonly findings: readonly Finding[];
  /** Why the layer can't be used as it is. */
  readonly problems: readonly InputError[];
  /** Words that their fields do not take, once the likely fields are taken. */
  readonly words: readonly UnknownWord[];
  /** How many features of works say no kind, in words, once the likely fields are taken; null where all do. */
  readonly kindless: string | null;
  /** Single letters that the file's own words settle, as --value maps them. */
  readonly letters: Readonly<Record<string, string>>;
}

/**
 * Describes a layer: never throws on one, whatever it holds; only for a wrong option (`usage`).
 *
 * @param name what the layer is called where that is not the file's name: that of a folder, table or sheet in it
 * @example
 * const { role, needs } = describeLayer(layer, { crs: 'EPSG:2913' });
 * needs[0]; // { option: '--dbh-unit', value: 'in', why: '...' }
 */
export function describeLayer(read: Layer, options: AssessOptions = {}, name: string = read.name): LayerDescription {
  // The layers of a drawing are asked for with their kinds, as needs.
  const layer = read.format === 'dxf' ? withoutContents(read) : read;
  checkValues(options.values);
  const problems: InputError[] = [];
  const attempt = <T>(act: () => T): T | undefined => {
    try {
      return act();
    } catch (error) {
      if (!(error instanceof InputError) || error.usage) throw error;
      problems.push(error);
      return undefined;
    }
  };
  const kinds = countKinds(layer);
  const role = roleOf(layer, kinds, name);
  const assigned = attempt(() => assignCrs([{ role, layer }], options));
  const placed = assigned?.assigned[0] ?? null;
  const box = placed === null || placed.crs.kind === 'local' ? null : layerBounds(layer, placed.crs);
  const positions = assigned === undefined ? [] : checkPositions(assigned.assigned);
  const degrees = placed?.crs.kind === 'geographic' ? { degrees: new Set([layer]) } : {};
  const judged = attempt(() => judge(role, layer, { ...options, ...degrees }));
  const sizes = role === 'trees' ? sizeColumns(layer, options.dbhUnit) : [];
  const likely = likelyFields(layer, role).filter((one) => options.fields?.[one.field] === undefined);
  const asked = unitNeeds(role, layer, { ...options, ...degrees }, likely, sizes);
  return {
    layer,
    role,
    kinds,
    usable: judged === undefined ? null : layer.count - judged.rejected,
    placed,
    lonLat: box?.lonLat ?? null,
    native: box?.native ?? boundsOf(layer.geometry.xy),
    strays: box?.strays ?? 0,
    sizes,
    likely,
    needs: [
      ...drawingNeeds(read, role),
      ...swapNeeds(layer, placed, positions),
      ...(placed === null ? [crsNeed(layer, problems)] : []),
      ...likely.flatMap(fieldNeed),
      ...asked.needs,
    ],
    findings: [...layer.findings, ...(assigned?.findings ?? []), ...positions, ...(judged?.findings ?? [])],
    problems,
    kindless: (asked.judged?.findings ?? []).find((one) => one.code === 'kind-assumed')?.message ?? null,
    words: asked.judged?.words ?? [],
    letters: asked.judged?.letters ?? {},
  };
}

function withoutContents({ contents: _, ...layer }: Layer): Layer {
  return layer;
}

/** Names of layers of areas that are not works (common practice, no source). */
const AREAS: readonly (readonly [name: RegExp, role: LayerRole])[] = [
  [/crown|canop|drip.?line/i, 'crowns'],
  [/root.?zone|(tree|root|protection|drawn).?zones?|\b[rtc]r?pz\b|\bcrz\b/i, 'zones'],
  [/lot|parcel|plat/i, 'lots'],
  [/exist/i, 'existing'],
];

/** Points are trees; of areas, those named like parcels, crowns or zones are those; all others are works. */
function roleOf(layer: Layer, kinds: LayerDescription['kinds'], name: string): LayerRole {
  const of = (...names: GeometryKind[]): number =>
    kinds.reduce((sum, { kind, count }) => sum + (names.includes(kind) ? count : 0), 0);
  if (layer.format === 'notes') return noteRole(layer, of('point'));
  const areas = of('polygon', 'multipolygon');
  const lines = of('line', 'multiline');
  if (of('point', 'multipoint') >= areas + lines) return 'trees';
  const kinded = layer.fields.some((field) => field.toLowerCase() === 'kind');
  return kinded || lines > 0 ? 'works' : (AREAS.find(([words]) => words.test(name))?.[1] ?? 'works');
}

/** Of field notes, which are read role by role: trees are points, lots say that they are, what stands today says nothing. */
function noteRole(layer: Layer, points: number): LayerRole {
  if (points > 0) return 'trees';
  const kind = layer.value(0, layer.fields.find((field) => field.toLowerCase() === 'kind') ?? '');
  return kind === undefined ? 'existing' : String(kind).toLowerCase() === 'lot' ? 'lots' : 'works';
}

function countKinds(layer: Layer): { kind: GeometryKind; count: number }[] {
  const counts = new Map<GeometryKind, number>();
  for (const code of layer.geometry.kind) {
    const kind = GEOMETRY_KINDS[code] ?? 'broken';
    counts.set(kind, (counts.get(kind) ?? 0) + 1);
  }
  return [...counts].map(([kind, count]) => ({ kind, count }));
}
