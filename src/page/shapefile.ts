// The parts of a shapefile -> Layer: loaded when the first one comes. In: bytes by part; out: the layer.
// Terms: part = .shp, .dbf, .shx, .prj, .cpg.

import { type Layer, type ReadOptions, readShapefile, type ShapefileParts } from '../core.js';

export function layerOf(parts: ShapefileParts, options: ReadOptions): Layer {
  return readShapefile(parts, options);
}
