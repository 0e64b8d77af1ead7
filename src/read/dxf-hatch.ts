// DXF HATCH -> polygons. In: a raw entity; out: the ground it fills, in a LayerBuilder.
// Terms: path = one boundary: a polyline, or edges (lines, arcs, arcs of ellipses, splines) one after the other;
// style = which of nested paths are filled: every other one, the outermost with its islands cut out, or all inside.
// Group codes by the DXF reference; that arcs running clockwise keep 360 - angle, and that edges of ellipses keep true
// angles and not parameters, is common practice. Where edges do not meet end to end, the hatch is not used.

import { bulgeArc, centreArc, ellipseArc, splineFault, splineVertices } from '../geometry/index.js';
import type { LayerBuilder } from '../model/index.js';
import type { Arcs } from './arcs.js';
import { height, mirror, plainNumber, ShapeError, textOf } from './dxf-groups.js';
import type { RawEntity } from './dxf-scan.js';
import { groupRings, nestingDepth } from './rings.js';

type Point = readonly [number, number];
type Path = Point[];

const POLYLINE = 2; // of a path's flags (92)
const TEXT_BOX = 8; // a gap left for a text is not a hole in the ground

/** Fills a multi-polygon, holes as the hatch's style says. */
export function hatch(entity: RawEntity, arcs: Arcs, into: LayerBuilder): void {
  const side = mirror(entity);
  const z = height(entity, 30);
  const all = pathsOf(entity)
    .filter((path) => (path.number(92) & TEXT_BOX) === 0)
    .map((path) => ((path.number(92) & POLYLINE) === 0 ? edges(path, arcs) : polyline(path, arcs)));
  const rings = filled(distinct(all), textOf(entity, 75)?.trim() ?? '0');
  if (rings.length === 0) throw new ShapeError('group 91', 'the HATCH has no boundary');
  const { groups } = groupRings(rings);
  into.begin(groups.length > 1 ? 'multipolygon' : 'polygon');
  for (const group of groups) {
    into.part();
    for (const index of group) {
      into.ring();
      for (const [x, y] of rings[index]!) into.vertex(side * x, y, z);
    }
  }
}

/** Rings that are filled, shells clockwise and holes the other way, as `groupRings` takes them. */
function filled(rings: readonly Path[], style: string): Path[] {
  const deepest = style === '2' ? 0 : style === '1' ? 1 : Number.POSITIVE_INFINITY;
  return nestingDepth(rings).flatMap(({ depth, clockwise }, i) => {
    const ring = rings[i]!;
    if (depth > deepest) return [];
    return [(depth % 2 === 0) === clockwise ? ring : ring.toReversed()];
  });
}

/** Leaves out rings that are drawn twice: they would cancel each other. */
function distinct(rings: readonly Path[]): Path[] {
  const seen = new Set<string>();
  return rings.filter((ring) => {
    const key = ring
      .map(([x, y]) => `${x.toFixed(6)},${y.toFixed(6)}`)
      .sort()
      .join(' ');
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}

// ---------------------------------------------------------------- groups of a path

/** A run of groups of the entity, and where it is. */
class Groups {
  readonly where: string;
  readonly #codes: readonly number[];
  readonly #values: readonly string[];

  constructor(where: string, codes: readonly number[], values: readonly string[]) {
    this.where = where;
    this.#codes = codes;
    this.#values = values;
  }

  /** The first number under a code. */
  number(code: number, usual?: number): number {
    const at = this.#codes.indexOf(code);
    if (at === -1 && usual !== undefined) return usual;
    return this.#value(code, at);
  }

  all(code: number): number[] {
    return this.#codes.flatMap((one, i) => (one === code ? [this.#value(code, i)] : []));
  }

  /** Pairs under a code and the one ten higher. */
  points(code: number): Path {
    const [x, y] = [this.all(code), this.all(code + 10)];
    if (x.length !== y.length) throw new ShapeError(this.where, `it has ${x.length} x and ${y.length} y`);
    return x.map((one, i) => [one, y[i]!]);
  }

  point(code: number): Point {
    return [this.number(code), this.number(code + 10)];
  }

  /** A point under code 10 with the bulge that follows it, if one does. */
  bulged(): { readonly points: Path; readonly bulges: readonly number[] } {
    const points = this.points(10);
    const bulges = points.map(() => 0);
    let vertex = -1;
    this.#codes.forEach((code, i) => {
      if (code === 10) vertex++;
      else if (code === 42 && vertex >= 0) bulges[vertex] = this.#value(42, i);
    });
    return { points, bulges };
  }

  /** Split before each group of a code; what stands before the first is left out. */
  split(code: number, name: string): Groups[] {
    const starts = this.#codes.flatMap((one, i) => (one === code ? [i] : []));
    return starts.map((from, k) => {
      const to = starts[k + 1] ?? this.#codes.length;
      return new Groups(`${this.where}, ${name} ${k}`, this.#codes.slice(from, to), this.#values.slice(from, to));
    });
  }

  #value(code: number, at: number): number {
    const text = this.#values[at];
    const value = text === undefined ? Number.NaN : plainNumber(text);
    if (Number.isFinite(value)) return value;
    const what = text === undefined ? 'is missing' : `holds ${JSON.stringify(text)}, which is not a number`;
    throw new ShapeError(this.where, `group ${code} of the HATCH ${what}`);
  }
}

/** The paths stand between their count (91) and the style (75). */
function pathsOf({ codes, values }: RawEntity): Groups[] {
  const from = codes.indexOf(91);
  const end = codes.indexOf(75, from);
  const to = end === -1 ? codes.length : end;
  if (from === -1) throw new ShapeError('group 91', 'the HATCH does not say how many boundaries it has');
  const all = new Groups('HATCH', codes.slice(from, to), values.slice(from, to));
  const paths = all.split(92, 'path');
  const stated = all.number(91);
  if (stated !== paths.length)
    throw new ShapeError('group 91', `the HATCH states ${stated} paths and has ${paths.length}`);
  return paths;
}

function counted(what: string, path: Groups, there: number): void {
  const stated = path.number(93);
  if (stated !== there) throw new ShapeError(path.where, `a path states ${stated} ${what} and has ${there}`);
}

// ---------------------------------------------------------------- shapes of a path

function polyline(path: Groups, arcs: Arcs): Path {
  const { points, bulges } = path.bulged();
  counted('vertices', path, points.length);
  const ring: Path = [];
  points.forEach(([x, y], i) => {
    ring.push([x, y]);
    const bulge = bulges[i]!;
    const [u, v] = points[(i + 1) % points.length]!;
    if (bulge === 0) return;
    arcs.tell();
    bulgeArc(x, y, u, v, bulge, arcs.sagitta, (bx, by) => ring.push([bx, by]));
  });
  return ring;
}

/** Each edge continues from the end of the one before; an edge drawn the other way is reversed. */
function edges(path: Groups, arcs: Arcs): Path {
  const drawn = path.split(72, 'edge').map((edge) => {
    const draw = EDGES[edge.number(72)];
    if (draw === undefined) throw new ShapeError(edge.where, `an edge of the kind ${edge.number(72)} is not read`);
    return draw(edge, arcs);
  });
  counted('edges', path, drawn.length);
  const meet = (a: Point | undefined, b: Point | undefined): boolean =>
    a !== undefined && b !== undefined && Math.hypot(a[0] - b[0], a[1] - b[1]) <= arcs.sagitta;
  const [first, second] = drawn;
  if (first === undefined) throw new ShapeError(path.where, 'a path has no edges');
  const ends = [second?.[0], second?.at(-1)];
  const turn = second !== undefined && !ends.some((end) => meet(first.at(-1), end));
  const ring = turn ? first.toReversed() : [...first];
  for (const [i, edge] of drawn.entries()) {
    if (i === 0) continue;
    const onward = meet(ring.at(-1), edge[0]) ? edge : meet(ring.at(-1), edge.at(-1)) ? edge.toReversed() : undefined;
    if (onward === undefined) {
      throw new ShapeError(
        `${path.where}, edge ${i}`,
        'the boundary has a gap: an edge does not start where the one before ended',
      );
    }
    ring.push(...onward.slice(1));
  }
  if (!meet(ring[0], ring.at(-1))) {
    throw new ShapeError(path.where, 'the boundary has a gap: its last edge does not end where the first began');
  }
  ring.pop();
  return ring;
}

const RADIANS = Math.PI / 180;

/** Edge type (72) -> its vertices, ends included. */
const EDGES: Readonly<Record<number, (edge: Groups, arcs: Arcs) => Path>> = {
  1: (edge) => [edge.point(10), edge.point(11)],
  2: circleEdge,
  3: ellipseEdge,
  4: splineEdge,
};

/** From one angle to another, degrees; those of clockwise arcs are mirrored. */
function turnOf(edge: Groups): { readonly from: number; readonly to: number } {
  const sign = edge.number(73, 1) === 0 ? -1 : 1;
  const from = edge.number(50);
  const turn = (edge.number(51) - from) % 360;
  const to = from + (turn > 0 ? turn : turn + 360);
  return { from: sign * from * RADIANS, to: sign * to * RADIANS };
}

function circleEdge(edge: Groups, arcs: Arcs): Path {
  const centre = edge.point(10);
  const radius = edge.number(40);
  if (!(radius > 0)) throw new ShapeError(edge.where, `an arc of the HATCH has a radius of ${radius}`);
  const { from, to } = turnOf(edge);
  const at = (t: number): Point => [centre[0] + radius * Math.cos(t), centre[1] + radius * Math.sin(t)];
  const whole = Math.abs(Math.abs(to - from) - 2 * Math.PI) < 1e-9;
  const [start, end] = [at(from), at(whole ? from : to)];
  const out: Path = [start];
  arcs.tell();
  centreArc(start, end, centre, to > from, arcs.sagitta, (x, y) => out.push([x, y]));
  out.push(end);
  return out;
}

function ellipseEdge(edge: Groups, arcs: Arcs): Path {
  const centre = edge.point(10);
  const major = edge.point(11);
  const ratio = edge.number(40);
  if (!(Math.hypot(...major) > 0 && ratio > 0))
    throw new ShapeError(edge.where, 'an ellipse of the HATCH has no width');
  const minor: Point = [-ratio * major[1], ratio * major[0]];
  const turn = turnOf(edge);
  const [from, to] = [parameterOf(turn.from, ratio), parameterOf(turn.to, ratio)];
  const at = (t: number): Point => [
    centre[0] + major[0] * Math.cos(t) + minor[0] * Math.sin(t),
    centre[1] + major[1] * Math.cos(t) + minor[1] * Math.sin(t),
  ];
  const out: Path = [at(from)];
  arcs.tell();
  ellipseArc(centre, major, minor, from, to, arcs.sagitta, (x, y) => out.push([x, y]));
  out.push(at(to));
  return out;
}

/** The parameter at an angle from the longer half axis; both have made the same number of turns. */
function parameterOf(angle: number, ratio: number): number {
  const turns = Math.round(angle / (2 * Math.PI));
  const rest = angle - turns * 2 * Math.PI;
  return Math.atan2(Math.sin(rest) / ratio, Math.cos(rest)) + turns * 2 * Math.PI;
}

function splineEdge(edge: Groups, arcs: Arcs): Path {
  const weights = edge.all(42);
  const curve = {
    degree: edge.number(94),
    knots: edge.all(40),
    points: edge.points(10).map(([x, y]) => [x, y, 0] as const),
    weights: weights.length === 0 ? null : weights,
  };
  const fault = splineFault(curve);
  if (fault !== undefined) throw new ShapeError(edge.where, `a spline of the HATCH cannot be drawn: ${fault}`);
  const out: Path = [];
  arcs.tell();
  const kept = splineVertices(curve, arcs.sagitta, (x, y) => out.push([x, y]));
  if (!kept) throw new ShapeError(edge.where, 'a spline of the HATCH is too large to be drawn to 1 mm');
  return out;
}
