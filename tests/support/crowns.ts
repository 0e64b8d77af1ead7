// One tree with a crown at 5000, 5000 of a plane in metres, and buildings about it, proposed or
// standing today, given relative to the trunk.
// Terms: ring = flat x, y, not closed; figures come from the whole pipeline, through files as text.
import { assess } from '../../src/assess/index.js';
import type { Assessment, AssessOptions, CrownResult } from '../../src/model/index.js';
import { readLayer } from '../../src/read/index.js';
import { bytesOf } from './layers.js';

export const TRUNK = [5000, 5000] as const;

export interface Building {
  readonly ring: readonly number[];
  readonly height_m?: number;
  readonly kind?: string;
  readonly id?: string;
}

/** Fields of the tree beside its place, such as { crown_n_m: 4 }. */
export function crownJob(
  tree: Readonly<Record<string, number | string>>,
  buildings: readonly Building[],
  options: AssessOptions = {},
  standing: readonly Building[] = [],
): Assessment {
  const fields = { id: 'T1', dbh_m: 0.5, ...tree };
  const text = `${['x', 'y', ...Object.keys(fields)].join(',')}\n${[...TRUNK, ...Object.values(fields)].join(',')}\n`;
  const features = buildings.map(({ kind = 'building', ...rest }, i) => shapeOf({ id: `B${i + 1}`, kind, ...rest }));
  const today = standing.map((one, i) => shapeOf({ id: `E${i + 1}`, ...one }));
  return assess({
    trees: readLayer(bytesOf(text), { name: 'trees.csv' }),
    works: features.length === 0 ? [] : [{ layer: readLayer(collection(features), { name: 'works.geojson' }) }],
    ...(today.length === 0 ? {} : { existing: [readLayer(collection(today), { name: 'existing.geojson' })] }),
    options: { crs: 'local:m', ...options },
  });
}

function shapeOf({ ring, ...properties }: Building): unknown {
  const corners = Array.from({ length: ring.length / 2 }, (_, k) => [
    ring[k * 2]! + TRUNK[0],
    ring[k * 2 + 1]! + TRUNK[1],
  ]);
  return { type: 'Feature', properties, geometry: { type: 'Polygon', coordinates: [[...corners, corners[0]]] } };
}

function collection(features: readonly unknown[]): Uint8Array {
  return bytesOf(JSON.stringify({ type: 'FeatureCollection', features }));
}

export function crownOf(
  tree: Readonly<Record<string, number | string>>,
  buildings: readonly Building[],
  options: AssessOptions = {},
): CrownResult {
  const crown = crownJob(tree, buildings, options).trees[0]?.crown;
  if (crown === null || crown === undefined) throw new Error('the tree has no crown');
  return crown;
}
