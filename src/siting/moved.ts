// Works layers with some features moved. In: layers with their transforms, rows, a motion in a frame; out: layers whose
// vertices are where the motion takes them, in their own coordinates. Nothing else of them changes; heights stay.

import type { CrsTransform, Frame, Layer, WorksInput, WorksTable } from '../model/index.js';
import { firstVertex } from '../model/index.js';
import { type Footprint, type Motion, turner } from './motion.js';

/** The inputs with the rows of the works table moved; layers that hold none of them are the same objects. */
export function movedInputs(
  inputs: readonly WorksInput[],
  transforms: readonly CrsTransform[],
  works: WorksTable,
  rows: readonly number[],
  footprint: Footprint,
  motion: Motion,
  frame: Frame,
): WorksInput[] {
  return inputs.map((input, i) => {
    const own = rows.filter((row) => works.layerOf[row] === i);
    if (own.length === 0) return input;
    const xy = input.layer.geometry.xy.slice();
    for (const row of own) {
      const [from, to] = verticesOf(input.layer, works.rowInLayer[row]!);
      move(xy.subarray(from * 2, to * 2), transforms[i]!, footprint, motion, frame);
    }
    return { ...input, layer: withVertices(input.layer, xy) };
  });
}

function move(xy: Float64Array, transform: CrsTransform, footprint: Footprint, motion: Motion, frame: Frame): void {
  transform.toLonLat(xy);
  frame.toFrame(xy, xy);
  const place = turner(footprint, motion.turnDeg, motion.mirrored);
  for (let i = 0; i < xy.length; i += 2) {
    const [x, y] = place(xy[i]! - footprint.x, xy[i + 1]! - footprint.y);
    xy[i] = x + footprint.x + motion.eastM;
    xy[i + 1] = y + footprint.y + motion.northM;
  }
  frame.toLonLat(xy, xy);
  transform.fromLonLat(xy);
}

function verticesOf({ geometry }: Layer, feature: number): readonly [from: number, to: number] {
  return [firstVertex(geometry, feature), firstVertex(geometry, feature + 1)];
}

function withVertices(layer: Layer, xy: Float64Array): Layer {
  const { name, format, count, crs, fields, findings, sha256, unit, setAside } = layer;
  return {
    name,
    format,
    count,
    crs,
    fields,
    findings,
    sha256,
    geometry: { ...layer.geometry, xy },
    id: (feature) => layer.id(feature),
    properties: (feature) => layer.properties(feature),
    value: (feature, field) => layer.value(feature, field),
    propertyBytes: (feature) => layer.propertyBytes(feature),
    ...(unit === undefined ? {} : { unit }),
    ...(setAside === undefined ? {} : { setAside }),
  };
}
