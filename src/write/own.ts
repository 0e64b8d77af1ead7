// Own properties of a source -> text. In: properties as read and our prefix; out: their JSON members, untouched.
// Terms: clash = a source property whose name begins with our prefix, as in a file this library wrote before.

import type { Layer, Properties } from '../model/index.js';
import { jsonText } from './json.js';

/** Names that are ours beside those with our prefix: those that `--simplestyle` writes. */
const NONE: ReadonlySet<string> = new Set();

/**
 * Members of the own properties, in their own order, with a trailing comma when there are any.
 *
 * A property that begins with our prefix is written as `source_<name>`, so that figures of an earlier run are kept
 * and never mistaken for figures of this one; if that name is taken too, another `source_` is added in front.
 * `keys` keeps the text of names from one feature to the next.
 */
export function ownText(
  properties: Properties,
  prefix: string,
  keys: Map<string, string>,
  ours: ReadonlySet<string> = NONE,
): string {
  let text = '';
  for (const name of Object.keys(properties)) {
    let key = keys.get(name);
    if (key === undefined) {
      key = `${jsonText(name)}:`;
      keys.set(name, key);
    }
    if (name.startsWith(prefix) || ours.has(name)) key = `${jsonText(renamed(name, properties))}:`;
    text += `${key}${jsonText(properties[name])},`;
  }
  return text;
}

function renamed(name: string, properties: Properties): string {
  let free = `source_${name}`;
  while (Object.hasOwn(properties, free)) free = `source_${free}`;
  return free;
}

/** Whether any property of a layer begins with our prefix, or is one of ours, and has to be renamed. */
export function clashes(layer: Layer, prefix: string, ours: ReadonlySet<string> = NONE): boolean {
  return layer.fields.some((name) => name.startsWith(prefix) || ours.has(name));
}

/**
 * The own members of one row, with a trailing comma when there are any: the very bytes that were read where they are at
 * hand (long whole numbers stay exact), else as `ownText` writes them.
 */
export function ownMembers(
  layer: Layer,
  row: number,
  prefix: string,
  clash: boolean,
  keys: Map<string, string>,
  ours: ReadonlySet<string> = NONE,
): string {
  const bytes = clash ? null : layer.propertyBytes(row);
  if (bytes === null) return ownText(layer.properties(row), prefix, keys, ours);
  return bytes.length === 2 ? '' : `${decoder.decode(bytes.subarray(1, -1))},`;
}

const decoder = new TextDecoder();
