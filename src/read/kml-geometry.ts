// The geometry of a Placemark. In: its elements; out: parts and vertices in a LayerBuilder, begun and not yet ended.
// Terms: tuple = longitude,latitude[,altitude] without spaces; tuples are separated by spaces (OGC 12-007r2, clause 9.6).
// A tuple that can't be read makes the whole geometry broken: a ring that lost a corner would be a different ring.

import type { GeometryKind, LayerBuilder } from '../model/index.js';
import { childNamed, childrenNamed, type XmlElement } from './xml.js';

type Single = 'point' | 'line' | 'polygon';

const SINGLES: Readonly<Record<string, Single>> = {
  Point: 'point',
  LineString: 'line',
  LinearRing: 'polygon',
  Polygon: 'polygon',
  Track: 'line',
};
const MULTI: Readonly<Record<Single, GeometryKind>> = {
  point: 'multipoint',
  line: 'multiline',
  polygon: 'multipolygon',
};
const COLLECTIONS = ['MultiGeometry', 'MultiTrack'];

interface Fault {
  readonly path: string;
  readonly message: string;
}

/** Begins and fills the geometry; returns the element's name, or undefined when the Placemark has no geometry. */
export function addGeometry(placemark: XmlElement, into: LayerBuilder): string | undefined {
  const members = [...membersOf(placemark, '')];
  const [first] = members;
  const kind = first === undefined ? undefined : SINGLES[first.element.name];
  if (first === undefined || kind === undefined) {
    const unread = placemark.children.find((child) => child.name === 'Model');
    if (unread === undefined) return undefined;
    into.begin('broken');
    into.abandon('Model', 'a 3D model is not read', 'draw its outline as a polygon');
    return 'Model';
  }
  into.begin(members.length === 1 ? kind : MULTI[kind]);
  for (const { element, path } of members) {
    const fault =
      SINGLES[element.name] === kind
        ? addSingle(element, kind, path, into)
        : { path, message: `the placemark mixes ${kind}s with a ${element.name}` };
    if (fault === undefined) continue;
    into.abandon(fault.path, fault.message, 'correct it in the program that drew it, and export it again');
    break;
  }
  return first.path;
}

function* membersOf(parent: XmlElement, prefix: string): Generator<{ element: XmlElement; path: string }> {
  for (const child of parent.children) {
    const path = `${prefix}${child.name}`;
    if (COLLECTIONS.includes(child.name)) yield* membersOf(child, `${path}/`);
    else if (Object.hasOwn(SINGLES, child.name)) yield { element: child, path };
  }
}

function addSingle(element: XmlElement, kind: Single, path: string, into: LayerBuilder): Fault | undefined {
  into.part();
  if (element.name === 'Polygon') return addPolygon(element, path, into);
  if (element.name === 'Track') return addTrack(element, path, into);
  const least = kind === 'point' ? 1 : 2;
  return addTuples(element, path, least, kind === 'point' ? 1 : Number.POSITIVE_INFINITY, into);
}

function addPolygon(element: XmlElement, path: string, into: LayerBuilder): Fault | undefined {
  const outer = childrenNamed(element, 'outerBoundaryIs').flatMap((side) => childrenNamed(side, 'LinearRing'));
  const inner = childrenNamed(element, 'innerBoundaryIs').flatMap((side) => childrenNamed(side, 'LinearRing'));
  if (outer.length !== 1) return { path, message: `a polygon has one outer boundary; this has ${outer.length}` };
  for (const [i, ring] of [...outer, ...inner].entries()) {
    const side = i === 0 ? 'outerBoundaryIs' : `innerBoundaryIs[${i - 1}]`;
    const fault = addTuples(ring, `${path}/${side}`, 1, Number.POSITIVE_INFINITY, into);
    if (fault !== undefined) return fault;
  }
  return undefined;
}

/** A ring (or point) of the tuples of an element's coordinates. */
function addTuples(
  element: XmlElement,
  path: string,
  least: number,
  most: number,
  into: LayerBuilder,
): Fault | undefined {
  const text = childNamed(element, 'coordinates')?.text ?? '';
  const where = `${path}/coordinates`;
  into.ring();
  const tuples = text === '' ? [] : text.split(/\s+/);
  for (let i = 0; i < tuples.length; i++) {
    if (!addTuple(tuples[i]!.split(','), into)) {
      const spaced = /,\s/.test(text) ? '; there is a space after a comma, which is not allowed' : '';
      return { path: `${where}[${i}]`, message: `"${tuples[i]}" is not a longitude,latitude${spaced}` };
    }
  }
  if (tuples.length < least || tuples.length > most) {
    return {
      path: where,
      message: `${tuples.length} positions where ${least === 1 ? 'one is' : `${least} are`} needed`,
    };
  }
  return undefined;
}

/** gx:coord: longitude latitude altitude separated by spaces. */
function addTrack(element: XmlElement, path: string, into: LayerBuilder): Fault | undefined {
  into.ring();
  const coords = childrenNamed(element, 'coord');
  for (let i = 0; i < coords.length; i++) {
    if (!addTuple(coords[i]!.text.split(/\s+/), into)) {
      return { path: `${path}/coord[${i}]`, message: 'a coord is longitude latitude altitude' };
    }
  }
  return coords.length >= 2 ? undefined : { path, message: `${coords.length} positions where 2 are needed` };
}

function addTuple(parts: readonly string[], into: LayerBuilder): boolean {
  const [lon = '', lat = '', alt = ''] = parts;
  if (parts.length > 3 || lon === '' || lat === '') return false;
  const x = Number(lon);
  const y = Number(lat);
  const z = alt === '' ? Number.NaN : Number(alt);
  if (!Number.isFinite(x) || !Number.isFinite(y) || (alt !== '' && !Number.isFinite(z))) return false;
  into.vertex(x, y, z);
  return true;
}
