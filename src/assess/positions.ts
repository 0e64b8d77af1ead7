// Native coordinates -> lon/lat. In: checked tables and each layer's transform; out: lon/lat columns of the same length.
// Terms: see model/. Native coordinates stay as they are; these columns stand beside them.

import type { CrsTransform, TreeTable, WorksTable } from '../model/index.js';
import { firstVertex } from '../model/index.js';

/** A copy of x, y pairs as lon/lat. */
export function lonLatOf(xy: Float64Array, transform: CrsTransform): Float64Array {
  if (transform.isLonLat) return xy; // nothing to convert, so nothing is copied
  const out = xy.slice();
  transform.toLonLat(out);
  return out;
}

/** Positions of all trees; NaN where a row has no point. */
export function treeLonLat(trees: TreeTable, transform: CrsTransform): Float64Array {
  return lonLatOf(trees.xy, transform);
}

/** Vertices of all works, each layer by its own transform; a layer's rows lie together in the table. */
export function worksLonLat(works: WorksTable, transforms: readonly CrsTransform[]): Float64Array {
  if (transforms.every((transform) => transform.isLonLat)) return works.geometry.xy; // nothing to convert, nothing copied
  const { geometry } = works;
  const out = geometry.xy.slice();
  for (let row = 0; row < works.count; ) {
    const layer = works.layerOf[row]!;
    let end = row;
    while (end < works.count && works.layerOf[end] === layer) end++;
    transforms[layer]?.toLonLat(out.subarray(firstVertex(geometry, row) * 2, firstVertex(geometry, end) * 2));
    row = end;
  }
  return out;
}
