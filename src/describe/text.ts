// A LayerDescription -> rows for a person. In: a description; out: titles and values, in the order they are read.
// Terms: see describe.ts. Tables, files and screens use the same rows.

import type { SizeColumn } from '../check/index.js';
import type { Finding } from '../model/index.js';
import { counted } from '../text/index.js';
import type { LayerDescription } from './describe.js';

export type Row = readonly [title: string, value: string];

/** What a layer holds and what looks wrong with it. */
export function descriptionRows(description: LayerDescription): Row[] {
  const { layer, role, usable, sizes, likely } = description;
  return [
    ['looks like', role],
    ['format', layer.format],
    ['features', featuresOf(description)],
    ['usable', usable === null ? 'not as it is' : `${usable} of ${layer.count}`],
    ...placeRows(description),
    ...sizes.map((size): Row => [`size ${size.field}`, sizeText(size)]),
    ['fields', layer.fields.length === 0 ? 'none' : layer.fields.join(', ')],
    ...(likely.length === 0 ? [] : [['likely fields', likely.map(likelyText).join(', ')] as const]),
    ['SHA-256', layer.sha256 ?? 'not computed'],
  ];
}

function featuresOf({ layer, kinds }: LayerDescription): string {
  if (layer.count === 0) return '0';
  return `${layer.count} (${kinds.map(({ kind, count }) => `${count} ${kind}`).join(', ')})`;
}

const MISPLACED: ReadonlySet<Finding['code']> = new Set([
  'outside-area-of-use',
  'axes-swapped',
  'crs-unit-suspect',
  'crs-zone-suspect',
]);

function placeRows({ placed, lonLat, native, strays, findings }: LayerDescription): Row[] {
  const numbers = (box: readonly number[], digits: number): string => {
    const [a, b, c, d] = box.map((v) => v.toFixed(digits));
    return `${a}, ${b} to ${c}, ${d}`;
  };
  const own: Row[] = native === null ? [] : [['extent (own figures)', numbers(native, 3)]];
  if (placed === null) return [['coordinate system', 'not known'], ...own];
  const { crs, from } = placed;
  const rows: Row[] = [
    ['coordinate system', `${crs.code} ${crs.name} (${from})`],
    ['unit', crs.unit === 'other' ? `${crs.metresPerUnit} m` : crs.unit],
  ];
  if (crs.kind === 'local') return [...rows, ...own];
  rows.push(['datum', `${crs.datum.name}: ${crs.datum.operation}`]);
  if (lonLat === null) return [...rows, ...own, ['extent (lon, lat)', 'no position is usable']];
  const misplaced = findings.some((one) => MISPLACED.has(one.code));
  return [
    ...rows,
    ...(crs.kind === 'projected' ? own : []),
    [
      'extent (lon, lat)',
      `${numbers(lonLat, 6)}${strays === 0 ? '' : `; without ${counted(strays, 'stray position')}`}`,
    ],
    ['inside its area of use', crs.areaOfUse === null ? 'not known' : misplaced ? 'NO' : 'yes'],
  ];
}

function sizeText(size: SizeColumn): string {
  const unit = size.unit === null ? '' : ` ${size.unit}`;
  const figures = [size.least, size.median, size.largest].map((v) => Number(v.toPrecision(6)));
  const range = `${figures[0]} to ${figures[2]}${unit}, half up to ${figures[1]} (${size.count} given)`;
  return [range, ...size.notes].join('; ');
}

function likelyText(one: LayerDescription['likely'][number]): string {
  return `${one.field}=${one.source}${one.length === 'length' && one.unit === null ? ':UNIT' : ''}`;
}
