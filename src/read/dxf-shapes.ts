// DXF entities -> geometry. In: a raw entity; out: parts and vertices in a LayerBuilder, begun and not yet ended.
// Terms: extrusion as in dxf-groups.ts; it turns arcs the other way. bulge as in geometry/curves/arc.ts.

import type { LayerBuilder } from '../model/index.js';
import type { Arcs } from './arcs.js';
import { ellipse, spline } from './dxf-curves.js';
import { begin, flag, height, mirror, needed, numberOf, plainNumber, ShapeError } from './dxf-groups.js';
import { hatch } from './dxf-hatch.js';
import type { RawEntity } from './dxf-scan.js';

type Draw = (entity: RawEntity, arcs: Arcs, into: LayerBuilder) => void;

/** Entity type -> how it is drawn; other types are not read. */
export const SHAPES: Readonly<Record<string, Draw>> = {
  POINT: (entity, _, into) => point(entity, 10, 1, into),
  INSERT: (entity, _, into) => point(entity, 10, mirror(entity), into),
  TEXT: (entity, _, into) => point(entity, textAnchor(entity), mirror(entity), into),
  MTEXT: (entity, _, into) => point(entity, 10, 1, into),
  LINE: (entity, _, into) => {
    begin('line', into);
    for (const code of [10, 11])
      into.vertex(needed(entity, code), needed(entity, code + 10), height(entity, code + 20));
  },
  CIRCLE: circle,
  ARC: arc,
  LWPOLYLINE: (entity, arcs, into) => polyline(lightVertices(entity), flag(entity, 70, 1), mirror(entity), arcs, into),
  POLYLINE: heavyPolyline,
  ELLIPSE: ellipse,
  SPLINE: spline,
  HATCH: hatch,
};

// ---------------------------------------------------------------- shapes

/** Text that is not left-aligned is placed by its second point. */
function textAnchor(entity: RawEntity): 10 | 11 {
  const aligned = (numberOf(entity, 72) || 0) !== 0 || (numberOf(entity, 73) || 0) !== 0;
  return aligned && Number.isFinite(numberOf(entity, 11)) ? 11 : 10;
}

function point(entity: RawEntity, code: number, side: 1 | -1, into: LayerBuilder): void {
  begin('point', into);
  into.vertex(side * needed(entity, code), needed(entity, code + 10), height(entity, code + 20));
}

function circle(entity: RawEntity, arcs: Arcs, into: LayerBuilder): void {
  const side = mirror(entity);
  const [x, y, radius] = [side * needed(entity, 10), needed(entity, 20), needed(entity, 40)];
  if (!(radius > 0)) throw new ShapeError('group 40', `the circle has a radius of ${radius}`);
  const z = height(entity, 30);
  begin('polygon', into);
  into.vertex(x + radius, y, z);
  arcs.centre([x + radius, y], [x + radius, y], [x, y], true, z, z);
  into.vertex(x + radius, y, z);
}

/** From angle 50 to angle 51, anticlockwise as seen along the extrusion; degrees. */
function arc(entity: RawEntity, arcs: Arcs, into: LayerBuilder): void {
  const side = mirror(entity);
  const [x, y, radius] = [needed(entity, 10), needed(entity, 20), needed(entity, 40)];
  if (!(radius > 0)) throw new ShapeError('group 40', `the arc has a radius of ${radius}`);
  const end = (code: number): [number, number] => {
    const angle = (needed(entity, code) * Math.PI) / 180;
    return [side * (x + radius * Math.cos(angle)), y + radius * Math.sin(angle)];
  };
  const [a, b] = [end(50), end(51)];
  const z = height(entity, 30);
  begin('line', into);
  into.vertex(a[0], a[1], z);
  arcs.centre(a, b, [side * x, y], side === 1, z, z);
  into.vertex(b[0], b[1], z);
}

/** Vertices as columns: one entry per vertex. */
interface Vertices {
  readonly x: number[];
  readonly y: number[];
  readonly z: number[];
  readonly bulge: number[];
}

function lightVertices(entity: RawEntity): Vertices {
  const out: Vertices = { x: [], y: [], z: [], bulge: [] };
  const elevation = numberOf(entity, 38);
  for (let i = 0; i < entity.codes.length; i++) {
    const value = entity.values[i]!;
    switch (entity.codes[i]) {
      case 10:
        out.x.push(vertexNumber(value, out.x.length, 'x'));
        out.y.push(Number.NaN);
        out.z.push(elevation);
        out.bulge.push(0);
        break;
      case 20:
        if (out.x.length > 0) out.y[out.x.length - 1] = vertexNumber(value, out.x.length - 1, 'y');
        break;
      case 42:
        if (out.x.length > 0) out.bulge[out.x.length - 1] = vertexNumber(value, out.x.length - 1, 'bulge');
        break;
      default:
    }
  }
  const missing = out.y.findIndex(Number.isNaN);
  if (missing !== -1) throw new ShapeError(`vertex ${missing}`, `vertex ${missing} has no y`);
  const stated = numberOf(entity, 90);
  if (Number.isFinite(stated) && stated !== out.x.length) {
    throw new ShapeError('group 90', `the LWPOLYLINE states ${stated} vertices and has ${out.x.length}`);
  }
  return out;
}

function vertexNumber(text: string, vertex: number, what: string): number {
  const value = plainNumber(text);
  if (Number.isFinite(value)) return value;
  throw new ShapeError(
    `vertex ${vertex}`,
    `${what} of vertex ${vertex} is ${JSON.stringify(text)}, which is not a number`,
  );
}

const SPLINE_FRAME = 16; // of a VERTEX's flags: a control point that does not lie on the curve
const MESHES = 16 | 64; // of a POLYLINE's flags

function heavyPolyline(entity: RawEntity, arcs: Arcs, into: LayerBuilder): void {
  if (flag(entity, 70, MESHES)) throw new ShapeError('group 70', 'a mesh is not read');
  const flat = !flag(entity, 70, 8);
  const out: Vertices = { x: [], y: [], z: [], bulge: [] };
  for (const vertex of entity.owned) {
    if (flag(vertex, 70, SPLINE_FRAME)) continue;
    out.x.push(needed(vertex, 10));
    out.y.push(needed(vertex, 20));
    out.z.push(flat ? numberOf(entity, 30) : numberOf(vertex, 30));
    out.bulge.push(flat ? numberOf(vertex, 42) || 0 : 0);
  }
  polyline(out, flag(entity, 70, 1), flat ? mirror(entity) : 1, arcs, into);
}

/** Closed: a polygon; open: a line. The bulge of a vertex belongs to the segment that starts there. */
function polyline(v: Vertices, closed: boolean, side: 1 | -1, arcs: Arcs, into: LayerBuilder): void {
  const n = v.x.length;
  if (n < 2) throw new ShapeError('vertices', `a polyline of ${n === 1 ? '1 vertex' : `${n} vertices`}`);
  // Many programs repeat the first vertex in place of the closing flag: without width it is still an outline.
  const repeated = n > 3 && v.x[0] === v.x[n - 1] && v.y[0] === v.y[n - 1];
  begin(closed || repeated ? 'polygon' : 'line', into);
  const segments = closed ? n : n - 1;
  const x = (i: number): number => side * v.x[i % n]!;
  const y = (i: number): number => v.y[i % n]!;
  into.vertex(x(0), y(0), v.z[0]);
  for (let i = 0; i < segments; i++) {
    const bulge = side * v.bulge[i]!;
    if (bulge !== 0) arcs.bulge(x(i), y(i), x(i + 1), y(i + 1), bulge, v.z[i]!);
    into.vertex(x(i + 1), y(i + 1), v.z[(i + 1) % n]);
  }
}
