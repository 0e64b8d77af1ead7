// Looking into a Layer from tests. In: a layer and a feature's number; out: its geometry as nested arrays, as GeoJSON has it.
// Terms: as in src/model/.
// Slow and plain on purpose: it is what the columns are compared with.

import { GEOMETRY_KINDS, type GeometryKind, type Layer } from '../../src/model/index.js';

export const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);

export function kindOf(layer: Layer, feature: number): GeometryKind {
  return GEOMETRY_KINDS[layer.geometry.kind[feature] ?? 0] ?? 'none';
}

/** Parts -> rings -> positions [x, y] or [x, y, z]. */
export function partsOf(layer: Layer, feature: number): number[][][][] {
  const g = layer.geometry;
  const range = (starts: Uint32Array, i: number): number[] => {
    const [from = 0, to = 0] = [starts[i], starts[i + 1]];
    return Array.from({ length: to - from }, (_, k) => from + k);
  };
  return range(g.partStart, feature).map((part) =>
    range(g.ringStart, part).map((ring) =>
      range(g.vertexStart, ring).map((v) => {
        const position = [g.xy[2 * v]!, g.xy[2 * v + 1]!];
        const z = g.z?.[v];
        return z === undefined || Number.isNaN(z) ? position : [...position, z];
      }),
    ),
  );
}

/** GeoJSON coordinates of a feature, null for none and broken ones. */
export function coordinatesOf(layer: Layer, feature: number): unknown {
  const parts = partsOf(layer, feature);
  const kind = kindOf(layer, feature);
  const shapes: Record<GeometryKind, () => unknown> = {
    none: () => null,
    broken: () => null,
    point: () => parts[0]?.[0]?.[0],
    multipoint: () => parts.map((p) => p[0]?.[0]),
    line: () => parts[0]?.[0],
    multiline: () => parts.map((p) => p[0]),
    polygon: () => parts[0],
    multipolygon: () => parts,
  };
  return shapes[kind]();
}

export const codesOf = (layer: Layer): string[] => layer.findings.map((f) => f.code);
