// An annotated output -> its rows by role. In: layers as read, the `rootberth` member, a prefix; out: rows, labels, units, the
// way to lon/lat and to a plane. Terms: row = one feature of a role; label = what a person calls it, null where its name is
// only its place in a file; own = a property of the source, one that does not begin with the prefix. Linear in the features.

import { canonicalOf, labelSources, ownId, TREE_FIELDS } from '../check/index.js';
import { frameAt, placeLayers, planeFrame } from '../crs/index.js';
import { pairAt } from '../geometry/index.js';
import {
  type Crs,
  type CrsTransform,
  type Frame,
  firstVertex,
  GEOMETRY_KINDS,
  InputError,
  type Layer,
  type LonLatPolygons,
} from '../model/index.js';

/** An output of `assess` as it was read: one layer that holds all roles, or one for each. */
export interface AssessedLayers {
  readonly name: string;
  readonly layers: readonly Layer[];
  /** The collection's `rootberth` member, or what stands in the file beside it; undefined where there is none. */
  readonly provenance: unknown;
}

/** One feature of a role. */
export interface Row {
  readonly layer: Layer;
  readonly at: number; // in its layer
  readonly label: string | null;
}

export type Dictionary = Readonly<Record<string, unknown>>;

/** A file opened: its rows by role, each in the order of the file. */
export interface Opened {
  readonly name: string;
  readonly prefix: string;
  readonly units: 'us' | 'metric';
  readonly provenance: Dictionary | null;
  /** The ground system of a local survey; null: longitude and latitude. */
  readonly local: CrsTransform | null;
  /** How far a position may be off by rounding, metres. */
  readonly slackM: number;
  readonly trees: readonly Row[];
  readonly works: readonly Row[];
  readonly existing: readonly Row[];
  readonly lots: readonly Row[];
  readonly zones: readonly Row[];
  readonly overlaps: readonly Row[];
  readonly severed: readonly Row[];
  frame(lon: number, lat: number): Frame;
  /** One of our properties, without the prefix. */
  figure(row: Row, name: string): unknown;
  /** The first position; null where there is none. */
  place(row: Row): readonly [number, number] | null;
  /** Polygons in lon/lat, closed; empty for anything else. */
  shape(row: Row): LonLatPolygons;
}

/** Half a step of nine decimals of a degree on the ground, both ways at once. */
const DEGREE_SLACK_M = 0.00008;
/** The same of six decimals of a foot or a metre. */
const PLANE_SLACK_M = 0.000001;

/**
 * Opens an output.
 *
 * @throws InputError `compare-not-assessed`, `compare-filtered`, and those of coordinate systems
 */
export function openSubmission({ name, layers, provenance: member }: AssessedLayers, asked?: string): Opened {
  const provenance = dictionary(member);
  const written = dictionary(provenance?.written);
  const prefix = textOr(written?.prefix, asked ?? 'rb_');
  if (provenance?.siting !== undefined || provenance?.compared !== undefined)
    throw notAssessed(name, 'it is an output of another command');
  refuseFiltered(name, written);
  const byRole = rowsByRole(layers, prefix);
  if (byRole.size === 0) throw notAssessed(name, `no feature has the property ${prefix}role`);
  if (!byRole.has('tree') && !byRole.has('works')) throw notAssessed(name, 'it holds neither trees nor works');
  const transforms = new Map<Layer, CrsTransform>();
  for (const layer of layers) {
    if (layer.count > 0) transforms.set(layer, placeLayers([{ role: 'trees', layer }]).placed[0]!.transform);
  }
  const lonLat = new Map<Layer, Float64Array>();
  for (const [layer, transform] of transforms) lonLat.set(layer, positions(layer, transform));
  const local = [...transforms.values()].find(({ crs }) => crs.kind === 'local') ?? null;
  const isLonLat = [...transforms.values()].every((one) => one.isLonLat);
  const labels = new Labels(byRole, prefix, provenance);
  const rows = (role: string): Row[] =>
    (byRole.get(role) ?? []).map(({ layer, at }) => ({ layer, at, label: labels.of(role, layer, at) }));
  return {
    name,
    prefix,
    units: unitsOf(layers, prefix, written),
    provenance,
    local,
    slackM: isLonLat ? DEGREE_SLACK_M : PLANE_SLACK_M,
    trees: rows('tree'),
    works: rows('works'),
    existing: rows('existing'),
    lots: rows('lot'),
    zones: rows('zone'),
    overlaps: rows('overlap'),
    severed: rows('severed'),
    frame: (lon, lat) => (local === null ? frameAt(lon, lat) : planeFrame),
    figure: (row, figure) => row.layer.value(row.at, prefix + figure),
    place(row) {
      const { geometry } = row.layer;
      const first = firstVertex(geometry, row.at);
      if (firstVertex(geometry, row.at + 1) === first) return null;
      const [lon, lat] = pairAt(lonLat.get(row.layer)!, first * 2);
      return Math.abs(lon) <= FARTHEST && Math.abs(lat) <= FARTHEST ? [lon, lat] : null;
    },
    shape: (row) => polygonsOf(row, lonLat.get(row.layer)!),
  };
}

/** Whether two files can lie on one plane. Throws InputError `compare-crs`. */
export function systemOf(before: Opened, after: Opened): Crs | null {
  const [a, b] = [before.local?.crs ?? null, after.local?.crs ?? null];
  if (a?.code === b?.code) return a;
  const words = (one: Crs | null): string => (one === null ? 'placed on the earth' : `in ${one.code}`);
  throw new InputError('compare-crs', `${before.name} is ${words(a)}, ${after.name} is ${words(b)}`, {
    cure: 'assess both with the same coordinate system; a local ground system has no place on the earth',
  });
}

export function dictionary(value: unknown): Dictionary | null {
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Dictionary) : null;
}

function textOr(value: unknown, otherwise: string): string {
  return typeof value === 'string' ? value : otherwise;
}

function notAssessed(name: string, why: string): InputError {
  return new InputError('compare-not-assessed', `${name} is not an output of rootberth assess: ${why}`, {
    layer: name,
    cure: 'give the .geojson or .gpkg that assess wrote with --out; --prefix where it was written with another prefix',
  });
}

/** Without all trees nobody can say which are gone. */
function refuseFiltered(name: string, written: Dictionary | null): void {
  if (written?.only === undefined) return;
  throw new InputError('compare-filtered', `${name} holds only some of its trees (--only)`, {
    layer: name,
    cure: 'compare whole outputs, written without --only',
  });
}

function rowsByRole(layers: readonly Layer[], prefix: string): Map<string, { layer: Layer; at: number }[]> {
  const out = new Map<string, { layer: Layer; at: number }[]>();
  for (const layer of layers) {
    for (let at = 0; at < layer.count; at++) {
      const role = layer.value(at, `${prefix}role`);
      if (typeof role !== 'string') continue;
      const held = out.get(role);
      if (held === undefined) out.set(role, [{ layer, at }]);
      else held.push({ layer, at });
    }
  }
  return out;
}

/** By the names of the columns: they are what the figures are in. */
function unitsOf(layers: readonly Layer[], prefix: string, written: Dictionary | null): 'us' | 'metric' {
  const has = (ends: readonly string[]): boolean =>
    layers.some(({ fields }) => ends.some((end) => fields.includes(prefix + end)));
  if (has(['dbh_in', 'zone_radius_ft'])) return 'us';
  if (has(['dbh_m', 'zone_radius_m'])) return 'metric';
  return written?.units === 'us' ? 'us' : 'metric';
}

function positions(layer: Layer, transform: CrsTransform): Float64Array {
  if (transform.isLonLat) return layer.geometry.xy;
  const out = layer.geometry.xy.slice();
  transform.toLonLat(out);
  return out;
}

/** Degrees: once round the earth, and the same on the plane of a ground system. */
const FARTHEST = 360;

function polygonsOf({ layer, at }: Row, lonLat: Float64Array): LonLatPolygons {
  const { geometry } = layer;
  const kind = GEOMETRY_KINDS[geometry.kind[at]!];
  if (kind !== 'polygon' && kind !== 'multipolygon') return [];
  const out: (readonly [number, number])[][][] = [];
  for (let part = geometry.partStart[at]!; part < geometry.partStart[at + 1]!; part++) {
    const rings: (readonly [number, number])[][] = [];
    for (let ring = geometry.ringStart[part]!; ring < geometry.ringStart[part + 1]!; ring++) {
      const flat: (readonly [number, number])[] = [];
      for (let v = geometry.vertexStart[ring]!; v < geometry.vertexStart[ring + 1]!; v++) {
        const [lon, lat] = pairAt(lonLat, v * 2);
        // A place that is none makes the whole shape unreadable: half of it would mislead.
        if (!(Math.abs(lon) <= FARTHEST) || !(Math.abs(lat) <= FARTHEST)) return [];
        flat.push([lon, lat]);
      }
      rings.push(flat);
    }
    out.push(rings);
  }
  return out;
}

/** Whose names are only their place in the file: `survey.csv:17` and `T4#2`, the second T4. */
const COUNTED = /#\d+$/;

/** Labels as `assess` gives them: what drawn features call their tree, the feature's id, own id, tag, other labels. */
class Labels {
  readonly #prefix: string;
  readonly #drawn = new Map<string, string>(); // rb_id of a tree -> key
  readonly #files: ReadonlySet<string>;
  readonly #ids = new Map<Layer, readonly string[]>();
  readonly #fields: Dictionary;

  constructor(
    byRole: ReadonlyMap<string, readonly { layer: Layer; at: number }[]>,
    prefix: string,
    provenance: Dictionary | null,
  ) {
    this.#prefix = prefix;
    for (const { layer, at } of byRole.get('zone') ?? []) {
      const [tree, key] = [layer.value(at, `${prefix}tree`), layer.value(at, `${prefix}tree_key`)];
      if (typeof tree === 'string' && typeof key === 'string') this.#drawn.set(tree, key);
    }
    const inputs = Array.isArray(provenance?.inputs) ? provenance.inputs : [];
    this.#files = new Set(inputs.map((input: unknown) => String(dictionary(input)?.name)));
    this.#fields = dictionary(dictionary(provenance?.options)?.fields) ?? {};
  }

  of(role: string, layer: Layer, at: number): string | null {
    const drawn = role === 'tree' ? this.#drawn.get(String(layer.value(at, `${this.#prefix}id`))) : undefined;
    if (drawn !== undefined) return this.#named(drawn, layer, at);
    const id = layer.format === 'geopackage' ? undefined : ownId(layer.id(at));
    if (id?.startsWith(`${role}:`) === true) return this.#named(id.slice(role.length + 1), layer, at);
    for (const field of this.#idsOf(layer)) {
      const text = ownId(plain(layer.value(at, field)));
      if (text !== undefined) return text;
    }
    return id ?? null;
  }

  #named(key: string, layer: Layer, at: number): string | null {
    const colon = key.lastIndexOf(':');
    if (colon > 0 && /^\d+$/.test(key.slice(colon + 1))) {
      const file = key.slice(0, colon);
      if (this.#files.has(file) || file === layer.value(at, `${this.#prefix}layer`)) return null;
      if (this.#files.size === 0) return null; // nothing says what the files were called
    }
    return key.replace(COUNTED, '');
  }

  /** Own columns that name a feature: ids, tags, labels. */
  #idsOf(layer: Layer): readonly string[] {
    const known = this.#ids.get(layer);
    if (known !== undefined) return known;
    const own = layer.fields.filter((name) => !name.startsWith(this.#prefix));
    const called = (field: 'id' | 'tag'): string[] => {
      const mapped = this.#fields[`trees.${field}`] ?? this.#fields[field];
      return [
        ...(typeof mapped === 'string' ? [mapped] : []),
        ...own.filter((name) => canonicalOf(name, TREE_FIELDS)?.field === field),
      ];
    };
    const labels = labelSources(layer).map(({ name }) => name);
    const ids = [...called('id'), 'feature_id', ...called('tag'), ...labels.filter((name) => own.includes(name))];
    this.#ids.set(layer, ids);
    return ids;
  }
}

function plain(value: unknown): string | number | undefined {
  return typeof value === 'string' || typeof value === 'number' || typeof value === 'bigint'
    ? String(value)
    : undefined;
}
