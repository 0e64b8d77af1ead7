// DXF ELLIPSE and SPLINE -> geometry. In: a raw entity; out: parts and vertices in a LayerBuilder.
// Terms: parameter = the angle of the circle an ellipse is the image of; knots, weights as in geometry/curves/spline.ts.
// Both are written in world coordinates: an extrusion mirrors no x, it only turns an ellipse the other way.

import { type Spline, splineFault, splineVertices } from '../geometry/index.js';
import type { LayerBuilder } from '../model/index.js';
import type { Arcs } from './arcs.js';
import { begin, flag, height, mirror, needed, numberOf, plainNumber, ShapeError } from './dxf-groups.js';
import type { RawEntity } from './dxf-scan.js';

const TURN = 2 * Math.PI;
const WHOLE = 1e-9; // radians short of a full turn that still count as a full turn

/** Centre 10, end of the longer half axis 11, ratio 40, parameters 41 to 42. */
export function ellipse(entity: RawEntity, arcs: Arcs, into: LayerBuilder): void {
  const side = mirror(entity);
  const centre = [needed(entity, 10), needed(entity, 20)] as const;
  const major = [needed(entity, 11), needed(entity, 21)] as const;
  const ratio = needed(entity, 40);
  if (!(Math.hypot(...major) > 0 && ratio > 0)) throw new ShapeError('group 40', 'the ellipse has no width');
  const minor = [-side * ratio * major[1], side * ratio * major[0]] as const;
  const given = (code: number, usual: number): number => {
    const value = numberOf(entity, code);
    return Number.isNaN(value) ? usual : value;
  };
  const from = given(41, 0);
  const turn = (given(42, TURN) - from) % TURN;
  const to = from + (turn > WHOLE ? turn : turn < -WHOLE ? turn + TURN : TURN);
  const whole = Math.abs(to - from - TURN) <= WHOLE;
  const z = height(entity, 30);
  const end = (t: number): void =>
    into.vertex(
      centre[0] + major[0] * Math.cos(t) + minor[0] * Math.sin(t),
      centre[1] + major[1] * Math.cos(t) + minor[1] * Math.sin(t),
      z,
    );
  begin(whole ? 'polygon' : 'line', into);
  end(from);
  arcs.ellipse(centre, major, minor, from, to, z);
  end(whole ? from : to);
}

const CLOSED = 1;

/** Degree 71, knots 40, control points 10, weights 41. */
export function spline(entity: RawEntity, arcs: Arcs, into: LayerBuilder): void {
  const column = (code: number, what: string): number[] =>
    entity.values
      .filter((_, i) => entity.codes[i] === code)
      .map((text, i) => {
        const value = plainNumber(text);
        if (Number.isFinite(value)) return value;
        throw new ShapeError(
          `${what} ${i}`,
          `${what} ${i} of the SPLINE is ${JSON.stringify(text)}, which is not a number`,
        );
      });
  const [x, y, z] = [column(10, 'x of point'), column(20, 'y of point'), column(30, 'z of point')];
  if (x.length === 0) throw new ShapeError('group 10', 'the SPLINE has no control points: its curve is not stated');
  if (y.length !== x.length) throw new ShapeError('group 20', `the SPLINE has ${x.length} x and ${y.length} y`);
  const weights = column(41, 'weight');
  const curve: Spline = {
    degree: needed(entity, 71),
    knots: column(40, 'knot'),
    points: x.map((one, i) => [one, y[i]!, z[i] ?? Number.NaN] as const),
    weights: weights.length === 0 ? null : weights,
  };
  const fault = splineFault(curve);
  if (fault !== undefined) throw new ShapeError('SPLINE', `the SPLINE cannot be drawn: ${fault}`);
  arcs.tell();
  const vertices: [number, number, number][] = [];
  const kept = splineVertices(curve, arcs.sagitta, (...vertex) => vertices.push(vertex));
  if (!kept) throw new ShapeError('SPLINE', 'the SPLINE is too large to be drawn to 1 mm');
  const [first = [0, 0], last = [0, 0]] = [vertices[0], vertices[vertices.length - 1]];
  const meets = vertices.length > 3 && Math.hypot(last[0] - first[0], last[1] - first[1]) <= arcs.sagitta;
  begin(flag(entity, 70, CLOSED) || meets ? 'polygon' : 'line', into);
  for (const vertex of vertices) into.vertex(...vertex);
}
