// What a file holds and what an assessment of it would need. In: a layer and options; out: a LayerDescription.
// Terms: role = what the layer would be taken for, by its geometry, fields and name; need = something that has to be
// said before the layer can be used, as an option and a reason; likely field = one that is probably meant.
// Joins check and project as assess/index.ts does; nothing is assessed, and no layer makes it throw.

import {
  checkDrawn,
  checkLots,
  checkTrees,
  checkValues,
  checkWorks,
  type LikelyField,
  likelyFields,
  type SizeColumn,
  sizeColumns,
} from '../check/index.js';
import { type AssignedLayer, assignCrs, boundsOf, checkPositions, layerBounds } from '../crs/index.js';
import type { LengthUnit } from '../model/index.js';
import {
  type AssessOptions,
  type Finding,
  GEOMETRY_KINDS,
  type GeometryKind,
  InputError,
  type Layer,
  type LayerRole,
} from '../model/index.js';
import { drawingNeeds, type Need, SWAPPED } from './drawing.js';

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
  /** Positions that both boxes leave out: nowhere on earth, or outside the area of use while most lie inside. */
  readonly strays: number;
  readonly sizes: readonly SizeColumn[]; // tree layers only
  readonly likely: readonly LikelyField[];
  readonly needs: readonly Need[];
  readonly findings: readonly Finding[];
  /** Why the layer can't be used as it is. */
  readonly problems: readonly InputError[];
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
      ...unitNeeds(role, layer, options, likely, sizes),
    ],
    findings: [...layer.findings, ...(assigned?.findings ?? []), ...positions, ...(judged?.findings ?? [])],
    problems,
  };
}

function withoutContents({ contents: _, ...layer }: Layer): Layer {
  return layer;
}

interface Judged {
  readonly findings: readonly Finding[];
  readonly rejected: number;
}

function judge(role: LayerRole, layer: Layer, options: AssessOptions): Judged {
  const { table, findings } =
    role === 'trees'
      ? checkTrees(layer, options)
      : role === 'lots'
        ? checkLots(layer, options)
        : role === 'zones' || role === 'crowns'
          ? checkDrawn(layer, role, null, options)
          : checkWorks([{ layer }], options, role);
  return { findings, rejected: table.rejected.size };
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

// ---------------------------------------------------------------- what has to be said

/** Figures that can only be latitude and longitude, in this order. */
function isTurned(box: LayerDescription['native']): boolean {
  if (box === null) return false;
  const [minX, minY, maxX, maxY] = box;
  const turned = minX >= -90 && maxX <= 90 && minY >= -180 && maxY <= 180;
  return turned && !(minY >= -90 && maxY <= 90);
}

/** No system is guessed from figures; they can only show lon/lat. */
function crsNeed(layer: Layer, problems: readonly InputError[]): Need {
  const box = boundsOf(layer.geometry.xy);
  const degrees = box !== null && box[0] >= -180 && box[2] <= 180 && box[1] >= -90 && box[3] <= 90;
  const unreadable = problems.find((one) => one.code !== 'crs-missing' && one.code.startsWith('crs-'));
  const turned = isTurned(box);
  const order = turned ? 'latitude and longitude, the wrong way round' : 'longitude and latitude';
  const why =
    unreadable !== undefined
      ? `${unreadable.message}; put the code of its coordinate system in place of EPSG:NNNN`
      : degrees || turned
        ? `${layer.name} does not say its coordinate system; its figures could be ${order}: check that they are`
        : `${layer.name} does not say its coordinate system: put its code in place of EPSG:NNNN (the survey's sheet names it)`;
  const lonLat = (degrees || turned) && unreadable === undefined;
  return { option: '--crs', value: lonLat ? 'EPSG:4326' : 'EPSG:NNNN', why };
}

/** The coordinate columns the other way round, where a finding says that they are swapped. */
function swapNeeds(layer: Layer, placed: AssignedLayer | null, findings: readonly Finding[]): Need[] {
  const unplaced = placed === null && isTurned(boundsOf(layer.geometry.xy));
  if (!unplaced && !findings.some((one) => one.code === 'axes-swapped')) return [];
  if (layer.format === 'points') {
    return [{ option: '--columns', value: SWAPPED, why: 'northing and easting are the other way round: check' }];
  }
  if (layer.columns === undefined) return [];
  const [x, y] = layer.columns.map((name) => columnWord(layer, name));
  const needs: Need[] = [{ option: '--xy', value: `${y},${x}`, why: 'easting and northing are swapped: check' }];
  // Columns named longitude and latitude state the system only in that order.
  if (layer.crs !== null) {
    const why = 'columns in another order than their names say don’t state their system';
    needs.push({ option: '--trees-crs', value: 'EPSG:4326', why });
  }
  return needs;
}

/** A column as --xy takes it: by its position where its name would be read as two, or as a position. */
function columnWord(layer: Layer, name: string): string {
  return /,|^\d+$|^\s|\s$/.test(name) ? String(layer.fields.indexOf(name) + 1) : name;
}

/** Said once for all fields that are mapped by their names. */
export const LIKELY = 'chosen by the names of the fields: remove what is wrong';

/** A likely field whose unit is known, or that needs none. */
function fieldNeed(one: LikelyField): Need[] {
  if (one.length === 'length' && one.unit === null) return [];
  return [{ option: '--field', value: `${one.field}=${one.source}`, why: LIKELY }];
}

/** Tries the check with what is needed so far, and answers each field it can't read, until it can read all. */
function unitNeeds(
  role: LayerRole,
  layer: Layer,
  options: AssessOptions,
  likely: readonly LikelyField[],
  sizes: readonly SizeColumn[],
): Need[] {
  const needs: Need[] = [];
  const fields: Record<string, string> = {
    ...options.fields,
    ...Object.fromEntries(likely.flatMap(fieldNeed).map((need) => need.value.split('=') as [string, string])),
  };
  let dbhUnit = options.dbhUnit;
  for (let tries = 0; tries < 40; tries++) {
    const error = refusal(() =>
      judge(role, layer, { ...options, fields, ...(dbhUnit === undefined ? {} : { dbhUnit }) }),
    );
    if (error === null) return needs;
    const source = error.path?.replace(/^properties\./, '') ?? '';
    if (error.code === 'unit-missing' && dbhUnit === undefined && error.cure.includes('--dbh-unit')) {
      const size = sizes.find((one) => one.field === source);
      needs.push(dbhUnitNeed(source, size));
      dbhUnit = size?.fits[0] ?? 'in';
    } else if (error.code === 'unit-missing') {
      const field = /--field ([\w.]+)=/.exec(error.cure)?.[1];
      if (field === undefined || fields[field] === '-') return needs;
      fields[field] = '-';
      const why = `${source} does not say its unit and is left out; to use it write ${field}=${source}:ft (or :m, :in, :cm)`;
      needs.push({ option: '--field', value: `${field}=-`, why });
    } else if (error.code === 'dbh-field-missing') {
      const size = sizes[0];
      if (size === undefined) {
        const why = `no field of ${layer.name} looks like a trunk diameter: replace NAME with the right one`;
        return [...needs, { option: '--field', value: 'dbh=NAME', why }];
      }
      const as = size.fits.length === 0 || /girth|gbh|circ/i.test(size.field) ? 'girth' : 'dbh';
      fields[as] = size.field;
      needs.push({ option: '--field', value: `${as}=${size.field}`, why: `${size.field} is probably the ${as}` });
    } else return needs;
  }
  return needs;
}

function dbhUnitNeed(source: string, size: SizeColumn | undefined): Need {
  const fits: readonly LengthUnit[] = size?.fits ?? [];
  const [only] = fits;
  // A girth in the next smaller unit would pass for a diameter as well: then nothing is filled in.
  const girth = only === 'mm' && size?.asGirth.includes('cm') === true;
  if (only !== undefined && fits.length === 1 && !girth) {
    return {
      option: '--dbh-unit',
      value: only,
      why: `${source} does not say its unit; by size only ${only} fits: check`,
    };
  }
  const which = fits.length === 0 ? 'in, cm, mm, m or ft' : fits.join(' or ');
  const or = girth ? `; if it is girth in cm, write --field girth=${source}:cm in place of dbh` : '';
  return {
    option: '--dbh-unit',
    value: 'UNIT',
    why: `${source} does not say its unit: put ${which} in place of UNIT${or}`,
  };
}

function refusal(act: () => unknown): InputError | null {
  try {
    act();
    return null;
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
}
