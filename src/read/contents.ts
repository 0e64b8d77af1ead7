// A layer read whole from a file that holds several -> what is in each of them. In: the layer, and where each feature lies;
// out: names with counts of points, lines and areas, in order of first appearance. Linear in the features.

import { GEOMETRY_KINDS, type Layer, type LayerContent } from '../model/index.js';

/** What features outside every folder are called. */
export const NO_FOLDER = '(no folder)';
/** A name that stands for all layers of a file, so that it is read whole. */
export const ALL = '*';

const SHAPES: Readonly<Record<(typeof GEOMETRY_KINDS)[number], 'points' | 'lines' | 'areas' | null>> = {
  none: null,
  broken: null,
  point: 'points',
  multipoint: 'points',
  line: 'lines',
  multiline: 'lines',
  polygon: 'areas',
  multipolygon: 'areas',
};

/** Nothing for a file with one layer; features set aside and those without a shape don't count. */
export function contentsOf(layer: Layer, names: readonly string[]): readonly LayerContent[] | undefined {
  const counts = new Map<string, { name: string; points: number; lines: number; areas: number }>();
  names.forEach((name, feature) => {
    const shape = SHAPES[GEOMETRY_KINDS[layer.geometry.kind[feature]!] ?? 'broken'];
    if (shape === null || layer.setAside?.has(feature) === true) return;
    const key = name.toLowerCase(); // layers are chosen in any case
    const own = counts.get(key) ?? { name, points: 0, lines: 0, areas: 0 };
    own[shape]++;
    counts.set(key, own);
  });
  return counts.size < 2 ? undefined : [...counts.values()];
}
