// Groups of trees: in: a tree layer; out: its polygons, cleaned, with a place inside each.
// Terms: group = a group, hedge or woodland drawn as the outline of its stems; place = a point inside it, which stands for
// it where a tree has its trunk.

import type { GroupTable, Layer } from '../model/index.js';
import { GeometryColumns } from '../model/index.js';
import type { Reporter } from './reporter.js';
import { ShapeCleaner } from './rings.js';

/** The polygons of a tree layer; null where it has none. Those that can't be used are rejected with their reasons. */
export function groupsOf(layer: Layer, out: Reporter, degrees?: ReadonlySet<Layer>): GroupTable | null {
  const POLYGON = 5;
  if (!layer.geometry.kind.some((kind) => kind === POLYGON || kind === POLYGON + 1)) return null;
  const writer = new GeometryColumns();
  const repaired = new Map<number, number>();
  const cleaner = new ShapeCleaner(writer, out, repaired, degrees);
  const rows: number[] = [];
  for (let row = 0; row < layer.count; row++) {
    const kind = cleaner.kindOf(row);
    if ((kind === 'polygon' || kind === 'multipolygon') && !out.isSetAside(row)) {
      cleaner.polygon(row);
      if (!out.rejected.has(row)) rows.push(row);
    } else cleaner.none();
  }
  const geometry = writer.take();
  const placeOf = new Map(rows.map((row) => [row, inRange(insidePoint(geometry, row), cleaner.inDegrees)]));
  return { geometry, repaired, placeOf };
}

/** Outlines across 180 degrees are made continuous beyond it; a place is not. */
function inRange([x, y]: readonly [number, number], inDegrees: boolean): readonly [number, number] {
  return [inDegrees && x > 180 ? x - 360 : inDegrees && x < -180 ? x + 360 : x, y];
}

/** A point inside a row's polygons: the middle of the longest stretch inside, on a line across the middle of each. */
function insidePoint(
  { partStart, ringStart, vertexStart, xy }: GroupTable['geometry'],
  row: number,
): readonly [number, number] {
  let best: readonly [number, number] = [Number.NaN, Number.NaN];
  let longest = -1;
  for (let part = partStart[row]!; part < partStart[row + 1]!; part++) {
    const ring0 = ringStart[part]!;
    const ring1 = ringStart[part + 1]!;
    let south = Infinity;
    let north = -Infinity;
    for (let v = vertexStart[ring0]!; v < vertexStart[ring0 + 1]!; v++) {
      south = Math.min(south, xy[v * 2 + 1]!);
      north = Math.max(north, xy[v * 2 + 1]!);
    }
    const y = (south + north) / 2;
    const crossings: number[] = [];
    for (let r = ring0; r < ring1; r++) {
      const from = vertexStart[r]!;
      const to = vertexStart[r + 1]!;
      for (let v = from; v < to; v++) {
        const w = v + 1 === to ? from : v + 1;
        const [ay, by] = [xy[v * 2 + 1]!, xy[w * 2 + 1]!];
        if (ay > y === by > y) continue;
        const [ax, bx] = [xy[v * 2]!, xy[w * 2]!];
        crossings.push(ax + ((y - ay) / (by - ay)) * (bx - ax));
      }
    }
    crossings.sort((a, b) => a - b);
    for (let i = 0; i + 1 < crossings.length; i += 2) {
      const [west, east] = [crossings[i]!, crossings[i + 1]!];
      if (east - west > longest) {
        longest = east - west;
        best = [(west + east) / 2, y];
      }
    }
  }
  return best;
}
