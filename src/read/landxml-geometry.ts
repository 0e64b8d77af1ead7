// CoordGeom of LandXML -> lines and polygons. In: the element; out: parts and vertices, begun and not yet ended.
// Terms: chain = segments that each start where the one before ended; position = northing easting [elevation], also by
// reference to a CgPoint (pntRef).

import { clothoid } from '../geometry/index.js';
import type { LayerBuilder } from '../model/index.js';
import type { Arcs } from './arcs.js';
import { childNamed, childrenNamed, type XmlElement } from './xml.js';

/** Name of a CgPoint -> the element. */
export type PointTable = ReadonlyMap<string, XmlElement>;
type Position = readonly [x: number, y: number, z: number];

/** Ends this near (a thousandth of the file's unit) are one place. */
const SAME = 1e-3;
/** Arms of an arc may differ by this share: files round their coordinates. */
const ARM_SHARE = 1e-3;

/** Easting, northing, height of an element's text or of the point it refers to; a sentence when there is none. */
export function positionIn(element: XmlElement, points: PointTable): Position | string {
  let at = element;
  for (let hops = 0; at.text === ''; hops++) {
    const reference = at.attributes.pntRef;
    const next = reference === undefined ? undefined : points.get(reference);
    if (reference === undefined) return `${element.name} has no coordinates`;
    if (next === undefined) return `${element.name} refers to the point "${reference}", which does not exist`;
    if (hops > 20) return `${element.name} refers to points in a circle`;
    at = next;
  }
  const numbers = at.text.split(/\s+/).map(Number);
  const [northing = Number.NaN, easting = Number.NaN, z = Number.NaN] = numbers;
  const sound = numbers.length >= 2 && numbers.length <= 3 && numbers.every(Number.isFinite);
  return sound ? [easting, northing, z] : `"${at.text}" is not a northing easting [elevation]`;
}

/** Begins the geometry of a plan feature (closed chains are polygons, others lines) or a parcel (always polygons). */
export function addChain(
  element: XmlElement,
  parcel: boolean,
  points: PointTable,
  arcs: Arcs,
  into: LayerBuilder,
): void {
  const geometries = childrenNamed(element, 'CoordGeom').filter((one) => one.children.length > 0);
  const start = JSON.stringify(element.attributes.name ?? '');
  const path = `${element.name} ${start}`;
  if (geometries.length === 0) {
    into.begin('broken');
    into.abandon(path, `${element.name} ${start} has no CoordGeom`, 'draw it with lines and curves');
    return;
  }
  try {
    const chains = geometries.flatMap((one, i) => chainsOf(one, points, `${path}/CoordGeom[${i}]`));
    const closed = chains.every((chain) => chain.closed);
    if (parcel && chains.length > geometries.length) {
      throw new ChainError(path, 'the boundary has a gap: a segment does not start where the one before ended');
    }
    const areas = parcel || closed;
    into.begin(areas ? (chains.length > 1 ? 'multipolygon' : 'polygon') : chains.length > 1 ? 'multiline' : 'line');
    for (const chain of chains) {
      into.part();
      into.ring();
      for (const step of chain.steps) step.add(arcs, into);
    }
  } catch (error) {
    if (!(error instanceof ChainError)) throw error;
    into.begin('broken');
    into.abandon(error.path, error.message, 'correct it in the program that drew it, and export it again');
  }
}

class ChainError extends Error {
  readonly path: string;
  constructor(path: string, message: string) {
    super(message);
    this.path = path;
  }
}

/** What a segment adds to a ring; the first of a chain adds its start too. */
interface Step {
  add(arcs: Arcs, into: LayerBuilder): void;
}
interface Chain {
  readonly steps: readonly Step[];
  readonly closed: boolean;
}

function chainsOf(geometry: XmlElement, points: PointTable, path: string): readonly Chain[] {
  const chains: { steps: Step[]; first: Position; last: Position }[] = [];
  let open: (typeof chains)[0] | undefined;
  for (const [i, element] of geometry.children.entries()) {
    const read = Object.hasOwn(SEGMENTS, element.name) ? SEGMENTS[element.name] : undefined;
    const where = `${path}/${element.name}[${i}]`;
    if (read === undefined) {
      if (element.name === 'Feature') continue;
      throw new ChainError(where, `${element.name} is not read: lines, curves, clothoids and irregular lines are`);
    }
    const segment = read(element, points, where);
    if (open === undefined || !same(open.last, segment.start)) {
      open = { steps: [vertexStep(segment.start)], first: segment.start, last: segment.start };
      chains.push(open);
    }
    open.steps.push(...segment.steps);
    open.last = segment.end;
  }
  return chains.map(({ steps, first, last }) => ({ steps, closed: steps.length > 2 && same(first, last) }));
}

interface Segment {
  readonly start: Position;
  readonly end: Position;
  readonly steps: readonly Step[];
}

const SEGMENTS: Readonly<Record<string, (element: XmlElement, points: PointTable, path: string) => Segment>> = {
  Line: (element, points, path) => {
    const [start, end] = ends(element, points, path);
    return { start, end, steps: [vertexStep(end)] };
  },
  Curve: curve,
  Spiral: spiral,
  IrregularLine: irregular,
};

function ends(element: XmlElement, points: PointTable, path: string): readonly [Position, Position] {
  return [at(element, 'Start', points, path), at(element, 'End', points, path)];
}

function at(element: XmlElement, name: string, points: PointTable, path: string): Position {
  const child = childNamed(element, name);
  const position = child === undefined ? `it has no ${name}` : positionIn(child, points);
  if (typeof position === 'string') throw new ChainError(`${path}/${name}`, position);
  return position;
}

function curve(element: XmlElement, points: PointTable, path: string): Segment {
  const [start, end] = ends(element, points, path);
  const centre = at(element, 'Center', points, path);
  const rot = element.attributes.rot?.toLowerCase();
  if (rot !== 'cw' && rot !== 'ccw')
    throw new ChainError(`${path}/@rot`, 'a curve must say which way it runs: rot="cw" or "ccw"');
  const arms = [start, end].map(([x, y]) => Math.hypot(x - centre[0], y - centre[1])) as [number, number];
  if (!(arms[0] > 0) || Math.abs(arms[0] - arms[1]) > ARM_SHARE * Math.max(...arms) + SAME) {
    const message = `its ends lie ${arms.map((arm) => arm.toFixed(3)).join(' and ')} from its centre: that is not an arc`;
    throw new ChainError(path, message);
  }
  const between: Step = {
    add: (arcs) =>
      arcs.centre([start[0], start[1]], [end[0], end[1]], [centre[0], centre[1]], rot === 'ccw', start[2], end[2]),
  };
  return { start, end, steps: [between, vertexStep(end)] };
}

/** How far the tangent may lie off the one that the point of intersection states, radians: half a degree. */
const TANGENT = 0.01;

/** A clothoid between two radii; it is turned so that it ends at the stated place, if its length allows that. */
function spiral(element: XmlElement, points: PointTable, path: string): Segment {
  const [start, end] = ends(element, points, path);
  const { spiType = 'unstated', rot = '' } = element.attributes;
  if (spiType.toLowerCase() !== 'clothoid') {
    throw new ChainError(`${path}/@spiType`, `a spiral of the type ${spiType} is not read: clothoids are`);
  }
  if (!/^c?cw$/i.test(rot))
    throw new ChainError(`${path}/@rot`, 'a spiral must say which way it runs: rot="cw" or "ccw"');
  const side = rot.toLowerCase() === 'ccw' ? 1 : -1;
  const length = Number(element.attributes.length);
  const [from, to] = ['radiusStart', 'radiusEnd'].map((name) => side * curvature(element, name, path));
  if (!(length > 0 && length < 1e6) || from === undefined || to === undefined) {
    throw new ChainError(
      `${path}/@length`,
      `a length of ${element.attributes.length ?? 'nothing'} is not possible for a spiral`,
    );
  }
  const local: [number, number, number][] = [];
  const draw = (sagitta: number): void => {
    local.length = 0;
    clothoid(length, from, to, sagitta, (...vertex) => local.push(vertex));
  };
  draw(length / 100); // its end is exact however few the chords
  const [x, y] = local[local.length - 1]!;
  const [dx, dy] = [end[0] - start[0], end[1] - start[1]];
  const miss = Math.abs(Math.hypot(dx, dy) - Math.hypot(x, y));
  if (miss > ARM_SHARE * length + SAME) {
    const chord = `${Math.hypot(x, y).toFixed(3)} from its start, but the file puts its end ${Math.hypot(dx, dy).toFixed(3)} away`;
    throw new ChainError(path, `a clothoid of that length and those radii ends ${chord}`);
  }
  const turn = Math.atan2(dy, dx) - Math.atan2(y, x);
  if (childNamed(element, 'PI') !== undefined) {
    const pi = at(element, 'PI', points, path);
    const off = Math.atan2(pi[1] - start[1], pi[0] - start[0]) - turn;
    if (Math.abs(Math.atan2(Math.sin(off), Math.cos(off))) > TANGENT) {
      throw new ChainError(`${path}/PI`, 'the spiral does not leave its start towards its point of intersection');
    }
  }
  const scale = Math.hypot(dx, dy) / Math.hypot(x, y);
  const [cos, sin] = [Math.cos(turn) * scale, Math.sin(turn) * scale];
  const between: Step = {
    add(arcs, into) {
      arcs.tell();
      draw(arcs.sagitta);
      for (const [u, v, share] of local.slice(0, -1)) {
        into.vertex(start[0] + u * cos - v * sin, start[1] + u * sin + v * cos, start[2] + (end[2] - start[2]) * share);
      }
    },
  };
  return { start, end, steps: [between, vertexStep(end)] };
}

/** 1 over a radius; INF is a straight line. */
function curvature(element: XmlElement, name: string, path: string): number {
  const text = element.attributes[name] ?? '';
  if (/^[+]?inf(inity)?$/i.test(text.trim())) return 0;
  const radius = Number(text);
  if (radius > 0 && Number.isFinite(radius)) return 1 / radius;
  throw new ChainError(`${path}/@${name}`, `${name} is ${JSON.stringify(text)}, which is not a radius`);
}

/** Northings and eastings (and heights) one after the other; the ends may or may not be repeated in the list. */
function irregular(element: XmlElement, points: PointTable, path: string): Segment {
  const [start, end] = ends(element, points, path);
  const flat = childNamed(element, 'PntList2D');
  const list = flat ?? childNamed(element, 'PntList3D');
  const size = flat === undefined ? 3 : 2;
  const numbers = list === undefined || list.text === '' ? [] : list.text.split(/\s+/).map(Number);
  if (numbers.length % size !== 0 || !numbers.every(Number.isFinite)) {
    throw new ChainError(`${path}/PntList${size}D`, `the list does not have ${size} numbers for each point`);
  }
  const inner: Position[] = [];
  for (let i = 0; i < numbers.length; i += size) {
    inner.push([numbers[i + 1]!, numbers[i]!, size === 3 ? numbers[i + 2]! : Number.NaN]);
  }
  if (inner[0] !== undefined && same(inner[0], start)) inner.shift();
  const last = inner.at(-1);
  if (last !== undefined && same(last, end)) inner.pop();
  return { start, end, steps: [...inner, end].map(vertexStep) };
}

function vertexStep(position: Position): Step {
  return { add: (_, into) => into.vertex(...position) };
}

function same(a: Position, b: Position): boolean {
  return Math.hypot(a[0] - b[0], a[1] - b[1]) <= SAME;
}
