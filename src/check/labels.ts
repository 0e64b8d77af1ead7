// Columns that hold what a person calls a feature. In: a layer; out: those columns, as sources.
// Terms: label = a name or number of its own, such as Tree No. or the name of a placemark; asked after the id.
// Cost: a look at every row of a column called `name`, once a layer.

import type { Layer } from '../model/index.js';
import { plainName } from './field-names.js';
import { readText } from './values.js';

/** A column as the readers of text want it: no unit. */
interface Label {
  readonly name: string;
  readonly metresPerUnit: number;
}

/** Plain names of columns that are always labels, whatever they hold. */
const LABELS: ReadonlySet<string> = new Set(['tree_no', 'treeno', 'tree_id', 'treeid', 'point', 'no']);
const NAME = 'name';
/** A column called `name` may hold the species: it is a label where at least nine in ten of its values are different. */
const DIFFERENT = 0.9;

/** Whether a column is a label by its name; `name` only where its values tell features apart. */
export function isLabel(layer: Layer, field: string): boolean {
  const plain = plainName(field);
  return LABELS.has(plain) || (plain === NAME && tellsApart(layer, field));
}

/** The labels of a layer, in the order of its columns; of works and lots only `name`. */
export function labelSources(layer: Layer, only?: 'name'): Label[] {
  return layer.fields
    .filter((field) => (only === undefined || plainName(field) === NAME) && isLabel(layer, field))
    .map((name) => ({ name, metresPerUnit: Number.NaN }));
}

function tellsApart(layer: Layer, field: string): boolean {
  const seen = new Set<string>();
  let given = 0;
  for (let row = 0; row < layer.count; row++) {
    const text = readText(layer.value(row, field));
    if (text === undefined) continue;
    given++;
    seen.add(text);
  }
  return given > 0 && seen.size >= given * DIFFERENT;
}
