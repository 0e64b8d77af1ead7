// One parsed GeoJSON feature -> the layer builder (RFC 7946 sections 3.1 and 3.2).
// In: any JSON value that stands where a feature should; out: one feature in the builder, whatever the value is.
// Terms: path = where in the source: features[12].geometry.coordinates[0][3][1]; depth = levels of arrays above a position.

import * as gjv from 'geojson-validation';
import type { GeometryKind, LayerBuilder, Properties } from '../model/index.js';
import { finding } from '../model/index.js';

/** A JSON object. */
export type JsonObject = Readonly<Record<string, unknown>>;

export function isObject(value: unknown): value is JsonObject {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

type WalkedType = 'Point' | 'MultiPoint' | 'LineString' | 'MultiLineString' | 'Polygon' | 'MultiPolygon';

interface Walker {
  readonly kind: GeometryKind;
  /** Adds the coordinates; returns where they break and why, or undefined when all went in. */
  walk(coordinates: readonly unknown[], into: LayerBuilder): Fault | undefined;
  /** The shape check that explains a refusal; it is never called for geometry that could be read. */
  explain(geometry: unknown): string[];
}

/** Where coordinates break: the rest of the path, and what is wrong. */
interface Fault {
  readonly path: string;
  readonly message: string;
}

const GEOMETRIES: Readonly<Record<WalkedType, Walker>> = {
  Point: { kind: 'point', walk: single, explain: (g) => gjv.isPoint(g, true) },
  MultiPoint: {
    kind: 'multipoint',
    walk: (c, into) => each(c, (item) => single(item, into)),
    explain: (g) => gjv.isMultiPoint(g, true),
  },
  LineString: { kind: 'line', walk: line, explain: (g) => gjv.isLineString(g, true) },
  MultiLineString: {
    kind: 'multiline',
    walk: (c, into) => each(c, (item) => line(item, into)),
    explain: (g) => gjv.isMultiLineString(g, true),
  },
  Polygon: { kind: 'polygon', walk: polygon, explain: (g) => gjv.isPolygon(g, true) },
  MultiPolygon: {
    kind: 'multipolygon',
    walk: (c, into) => each(c, (item) => polygon(item, into)),
    explain: (g) => gjv.isMultiPolygon(g, true),
  },
};

/** Whether a name is one of the GeoJSON geometry types, GeometryCollection included. */
export function isGeometryType(type: unknown): boolean {
  return typeof type === 'string' && (Object.hasOwn(GEOMETRIES, type) || type === 'GeometryCollection');
}

/**
 * Adds one feature; a value that is not a feature is kept as one without geometry, with a finding.
 *
 * @param where path of the value, such as `features[12]` or `line 13`
 */
export function addFeature(value: unknown, where: () => string, into: LayerBuilder): void {
  if (!isObject(value) || value.type !== 'Feature') {
    addBrokenFeature(
      where(),
      `not a GeoJSON feature but ${isObject(value) ? typed(value) : described(value)}`,
      'write it as {"type": "Feature", "geometry": ..., "properties": ...}',
      into,
    );
    return;
  }
  const own = value.properties;
  const id = value.id;
  addGeometry(value.geometry, () => `${where()}.geometry`, into);
  let properties: Properties = {};
  if (isObject(own)) properties = own;
  else if (own !== null && own !== undefined) {
    into.findings.push(
      finding(
        'properties-broken',
        { layer: into.name, feature: into.count, path: `${where()}.properties` },
        `the properties of feature ${into.count} hold ${described(own)}, not names with values`,
        'write them as {"name": value, ...}',
      ),
    );
  }
  into.end(properties, typeof id === 'string' || typeof id === 'number' ? id : undefined);
}

/** Keeps something that is not a feature as a feature of kind `broken`. */
export function addBrokenFeature(path: string, problem: string, cure: string, into: LayerBuilder): void {
  into.begin('broken');
  into.findings.push(finding('feature-broken', { layer: into.name, feature: into.count, path }, problem, cure));
  into.end({});
}

/** Adds the geometry of the open feature; `end` still has to follow. */
export function addGeometry(geometry: unknown, where: () => string, into: LayerBuilder): void {
  if (geometry === null || geometry === undefined) {
    addNothing(where(), 'has no geometry', into);
    return;
  }
  if (!isObject(geometry)) {
    into.begin('broken');
    into.abandon(where(), `the geometry is ${described(geometry)}`, 'write a GeoJSON geometry object there');
    return;
  }
  const type = geometry.type;
  if (typeof type !== 'string' || !Object.hasOwn(GEOMETRIES, type)) {
    into.begin('broken');
    if (type === 'GeometryCollection') {
      into.abandon(where(), 'a GeometryCollection holds several geometries', 'split it into one feature per geometry');
    } else {
      into.abandon(`${where()}.type`, `unknown geometry type: ${described(type)}`, 'use one of the GeoJSON types');
    }
    return;
  }
  const walker = GEOMETRIES[type as WalkedType];
  const coordinates = geometry.coordinates;
  if (!Array.isArray(coordinates)) {
    into.begin('broken');
    into.abandon(`${where()}.coordinates`, `the coordinates are ${described(coordinates)}, not a list`, CURE);
    return;
  }
  if (coordinates.length === 0) {
    addNothing(`${where()}.coordinates`, `has an empty ${type}`, into);
    return;
  }
  into.begin(walker.kind);
  const fault = walker.walk(coordinates, into);
  if (fault === undefined) return;
  const reason = explained(walker, type, coordinates);
  into.abandon(
    `${where()}.coordinates${fault.path}`,
    `the ${type} can't be read: ${fault.message}${reason === undefined ? '' : ` (${reason})`}`,
    CURE,
  );
}

const CURE = 'correct the coordinates at that place, or export the layer again';

/** RFC 7946 section 3.1: empty coordinates may be taken as a null geometry. */
function addNothing(path: string, problem: string, into: LayerBuilder): void {
  into.begin('none');
  into.findings.push(
    finding(
      'geometry-null',
      { layer: into.name, feature: into.count, path },
      `feature ${into.count} ${problem}`,
      'give it a position, or delete it from the source',
    ),
  );
}

/** The shape check's message for a refusal; undefined where it finds nothing wrong (infinite numbers). */
function explained(walker: Walker, type: string, coordinates: unknown): string | undefined {
  try {
    return walker.explain({ type, coordinates })[0]?.replace(/^(at \d+: )+/, ''); // the path says where
  } catch {
    return undefined; // it fails on some shapes; our own message remains
  }
}

// ---------------------------------------------------------------- coordinates, from the outside in

function each(items: unknown, add: (item: readonly unknown[]) => Fault | undefined): Fault | undefined {
  const list = items as readonly unknown[];
  for (let i = 0; i < list.length; i++) {
    const item = list[i];
    const fault = Array.isArray(item) ? add(item) : { path: '', message: `${described(item)} instead of a list` };
    if (fault !== undefined) return { path: `[${i}]${fault.path}`, message: fault.message };
  }
  return undefined;
}

function single(position: readonly unknown[], into: LayerBuilder): Fault | undefined {
  into.part();
  into.ring();
  return vertex(position, into);
}

function line(positions: readonly unknown[], into: LayerBuilder): Fault | undefined {
  if (positions.length < 2) return { path: '', message: 'a line needs at least two positions' };
  into.part();
  return ring(positions, into);
}

function polygon(rings: readonly unknown[], into: LayerBuilder): Fault | undefined {
  if (rings.length === 0) return { path: '', message: 'a polygon without a ring' };
  into.part();
  return each(rings, (item) =>
    item.length === 0 ? { path: '', message: 'a ring without positions' } : ring(item, into),
  );
}

function ring(positions: readonly unknown[], into: LayerBuilder): Fault | undefined {
  into.ring();
  for (let i = 0; i < positions.length; i++) {
    const position = positions[i];
    const fault = Array.isArray(position)
      ? vertex(position, into)
      : { path: '', message: `${described(position)} instead of a position` };
    if (fault !== undefined) return { path: `[${i}]${fault.path}`, message: fault.message };
  }
  return undefined;
}

function vertex(position: readonly unknown[], into: LayerBuilder): Fault | undefined {
  const x = position[0];
  const y = position[1];
  const z = position[2];
  if (!Number.isFinite(x)) return numberFault(position, 0);
  if (!Number.isFinite(y)) return numberFault(position, 1);
  // Some writers put null for an unknown height; the position itself is usable.
  if (z === undefined || z === null) into.vertex(x as number, y as number);
  else if (Number.isFinite(z)) into.vertex(x as number, y as number, z as number);
  else return numberFault(position, 2);
  return undefined;
}

function numberFault(position: readonly unknown[], i: number): Fault {
  if (i >= position.length)
    return { path: '', message: `a position of ${position.length === 1 ? 'one number' : 'no numbers'}; it needs two` };
  return { path: `[${i}]`, message: `${described(position[i])} instead of a number` };
}

/** A value in a few words, for messages. */
export function described(value: unknown): string {
  if (value === undefined) return 'nothing';
  if (value === null) return 'null';
  if (typeof value === 'string')
    return `text ${JSON.stringify(value.length > 24 ? `${value.slice(0, 24)}...` : value)}`;
  if (typeof value === 'number') return Number.isFinite(value) ? `the number ${value}` : 'a number that is not finite';
  if (Array.isArray(value)) return 'a list';
  return typeof value === 'object' ? 'an object' : String(value);
}

function typed(value: JsonObject): string {
  return value.type === undefined ? 'an object without "type"' : `an object of type ${described(value.type)}`;
}
