// Layers for the check tests: in: rows as literals; out: Layers. Terms: as in src/model/.

import type { GeometryTable, Layer, Names, Properties } from '../../src/model/index.js';
import { LayerBuilder } from '../../src/model/index.js';

export type Ring = readonly (readonly [number, number])[];

/** Points with properties; position (row, 0) unless given. */
export function treeLayer(rows: readonly Properties[], at?: readonly (readonly [number, number])[]): Layer {
  const b = new LayerBuilder('trees.csv', 'csv');
  rows.forEach((properties, i) => {
    const [x, y] = at?.[i] ?? [i * 10, 0];
    b.begin('point');
    b.part();
    b.ring();
    b.vertex(x, y);
    b.end(properties);
  });
  return b.finish({ crs: null, sha256: null });
}

/** Polygons given as rings; each feature one polygon. */
export function polygonLayer(
  polygons: readonly (readonly Ring[])[],
  properties: readonly Properties[] = [],
  name = 'works.geojson',
): Layer {
  const b = new LayerBuilder(name, 'geojson');
  polygons.forEach((rings, i) => {
    b.begin('polygon');
    b.part();
    for (const ring of rings) {
      b.ring();
      for (const [x, y] of ring) b.vertex(x, y);
    }
    b.end(properties[i] ?? {});
  });
  return b.finish({ crs: null, sha256: null });
}

export function lineLayer(lines: readonly Ring[], properties: readonly Properties[] = []): Layer {
  const b = new LayerBuilder('lines.geojson', 'geojson');
  lines.forEach((line, i) => {
    b.begin('line');
    b.part();
    b.ring();
    for (const [x, y] of line) b.vertex(x, y);
    b.end(properties[i] ?? {});
  });
  return b.finish({ crs: null, sha256: null });
}

/** A feature's parts as rings of positions. */
export function partsOf(g: GeometryTable, row: number): [number, number][][][] {
  const parts: [number, number][][][] = [];
  for (let p = g.partStart[row]!; p < g.partStart[row + 1]!; p++) {
    const rings: [number, number][][] = [];
    for (let r = g.ringStart[p]!; r < g.ringStart[p + 1]!; r++) {
      const ring: [number, number][] = [];
      for (let v = g.vertexStart[r]!; v < g.vertexStart[r + 1]!; v++) ring.push([g.xy[v * 2]!, g.xy[v * 2 + 1]!]);
      rings.push(ring);
    }
    parts.push(rings);
  }
  return parts;
}

/** Anticlockwise positive. */
export function shoelace(ring: Ring): number {
  let sum = 0;
  const [x0, y0] = ring[0]!;
  for (let i = 0; i < ring.length; i++) {
    const [x, y] = ring[i]!;
    const [u, v] = ring[(i + 1) % ring.length]!;
    sum += (x - x0) * (v - y0) - (u - x0) * (y - y0);
  }
  return sum / 2;
}

export function areaOf(g: GeometryTable, row: number): number {
  return partsOf(g, row)
    .flat()
    .reduce((sum, ring) => sum + shoelace(ring), 0);
}

/**
 * Even-odd area by slabs between all heights where edges start, end or meet: an independent second way.
 * Positions are taken from the first corner, so that a far origin costs nothing.
 */
export function evenOddArea(rings: readonly Ring[]): number {
  const [x0, y0] = rings[0]![0]!;
  const edges = rings.flatMap((ring) =>
    ring.map(([x, y], i) => {
      const [u, v] = ring[(i + 1) % ring.length]!;
      return [x - x0, y - y0, u - x0, v - y0] as const;
    }),
  );
  const heights = new Set<number>();
  edges.forEach(([ax, ay, bx, by], i) => {
    heights.add(ay);
    for (const [cx, cy, dx, dy] of edges.slice(0, i)) {
      const cross = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx);
      if (cross === 0) continue;
      const t = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / cross;
      const u = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / cross;
      if (t >= 0 && t <= 1 && u >= 0 && u <= 1) heights.add(ay + t * (by - ay));
    }
  });
  const ys = [...heights].sort((a, b) => a - b);
  let area = 0;
  for (let k = 0; k + 1 < ys.length; k++) {
    const middle = (ys[k]! + ys[k + 1]!) / 2;
    const xs = edges
      .filter(([, ay, , by]) => ay < middle !== by < middle)
      .map(([ax, ay, bx, by]) => ax + ((middle - ay) / (by - ay)) * (bx - ax))
      .sort((a, b) => a - b);
    for (let q = 0; q + 1 < xs.length; q += 2) area += (xs[q + 1]! - xs[q]!) * (ys[k + 1]! - ys[k]!);
  }
  return area;
}

/** All names of a table, as texts. */
export function named(names: Names): string[] {
  return Array.from({ length: names.length }, (_, row) => names.at(row)!);
}
