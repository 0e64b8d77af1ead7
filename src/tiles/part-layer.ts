// Parts of layers. In: a layer and rows of it, or a layer read from some of a file's bytes; out: a Layer that holds these
// rows and knows the facts of the whole layer. Terms: facts = what only the whole layer shows: its fields in order,
// its coordinate system, whether any vertex has a height; see model/ (LayerPart).

import type { CrsStatement, FormatName, GeometryTable, Layer, LayerPart, StatedUnit } from '../model/index.js';
import { firstVertex } from '../model/index.js';

/** What a part of a layer knows of the whole. */
export interface LayerFacts {
  readonly name: string;
  readonly format: FormatName;
  readonly count: number;
  readonly fields: readonly string[];
  readonly crs: CrsStatement | null;
  readonly unit: StatedUnit | null;
  readonly hasZ: boolean;
  readonly sha256: string | null;
}

/** Some rows of a layer as a layer; the values of each row are the same. */
export function partOf(layer: Layer, rows: Uint32Array): Layer {
  const at = (feature: number): number => rows[feature]!;
  const { setAside } = layer;
  const aside = new Map<number, string>();
  if (setAside !== undefined) {
    rows.forEach((row, i) => {
      const why = setAside.get(row);
      if (why !== undefined) aside.set(i, why);
    });
  }
  return {
    name: layer.name,
    format: layer.format,
    count: rows.length,
    geometry: geometryOf(layer.geometry, rows),
    crs: layer.crs,
    fields: layer.fields,
    findings: [],
    sha256: layer.sha256,
    id: (feature) => layer.id(at(feature)),
    properties: (feature) => layer.properties(at(feature)),
    value: (feature, field) => layer.value(at(feature), field),
    propertyBytes: (feature) => layer.propertyBytes(at(feature)),
    ...(layer.unit === undefined ? {} : { unit: layer.unit }),
    ...(setAside === undefined ? {} : { setAside: aside }),
  };
}

/** A layer of some rows, with the facts of the whole layer and the places of its rows there. */
export function withFacts(layer: Layer, facts: LayerFacts, part: LayerPart): Layer {
  const { geometry } = layer;
  const z = facts.hasZ ? (geometry.z ?? new Float64Array(geometry.xy.length / 2).fill(Number.NaN)) : null;
  return {
    ...layer,
    name: facts.name,
    format: facts.format,
    fields: facts.fields,
    crs: facts.crs,
    sha256: facts.sha256,
    findings: [],
    geometry: { ...geometry, z },
    ...(facts.unit === null ? {} : { unit: facts.unit }),
    part,
  };
}

function geometryOf(g: GeometryTable, rows: Uint32Array): GeometryTable {
  const partStart = new Uint32Array(rows.length + 1);
  const ringStart: number[] = [0];
  const vertexStart: number[] = [0];
  let vertices = 0;
  rows.forEach((row, i) => {
    for (let part = g.partStart[row]!; part < g.partStart[row + 1]!; part++) {
      for (let ring = g.ringStart[part]!; ring < g.ringStart[part + 1]!; ring++) {
        vertices += g.vertexStart[ring + 1]! - g.vertexStart[ring]!;
        vertexStart.push(vertices);
      }
      ringStart.push(vertexStart.length - 1);
    }
    partStart[i + 1] = ringStart.length - 1;
  });
  const picked = (column: Float64Array, per: number): Float64Array => {
    const out = new Float64Array(vertices * per);
    let to = 0;
    for (const row of rows) {
      const slice = column.subarray(firstVertex(g, row) * per, firstVertex(g, row + 1) * per);
      out.set(slice, to);
      to += slice.length;
    }
    return out;
  };
  return {
    kind: Uint8Array.from(rows, (row) => g.kind[row]!),
    partStart,
    ringStart: Uint32Array.from(ringStart),
    vertexStart: Uint32Array.from(vertexStart),
    xy: picked(g.xy, 2),
    z: g.z === null ? null : picked(g.z, 1),
    m: g.m === null ? null : picked(g.m, 1),
  };
}
