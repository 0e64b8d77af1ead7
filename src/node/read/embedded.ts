// A layer that stands in a job file in place of a path. In: the text in the path's place; out: its name and its bytes.
// Terms: embedded = the JSON object {"name", "geojson"}, with the kind and the design option of works where they have one.

import { InputError, WORKS_KINDS, type WorksKind } from '../../model/index.js';

export interface Embedded {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly kind?: WorksKind;
  readonly option?: string;
}

/** Whether a text is such an object and no path. */
export function isEmbedded(path: string): boolean {
  return path.startsWith('{');
}

/**
 * @throws InputError `layer-embedded` where the object is another
 * @example
 * embeddedLayer('{"name":"house","geojson":{"type":"FeatureCollection","features":[]}}').name; // 'house'
 */
export function embeddedLayer(text: string): Embedded {
  const { name, geojson, kind, option, ...rest } = objectIn(text);
  const [other] = Object.keys(rest);
  if (other !== undefined) throw wrong(`has a member "${other}"`);
  if (typeof name !== 'string' || name.trim() === '') throw wrong('has no "name"');
  if (typeof geojson !== 'object' || geojson === null) throw wrong(`called "${name}" has no "geojson"`);
  const known = WORKS_KINDS.find((one) => one === kind);
  if (kind !== undefined && known === undefined) throw wrong(`called "${name}" has an unknown "kind"`);
  if (option !== undefined && typeof option !== 'string')
    throw wrong(`called "${name}" has an "option" that is no text`);
  return {
    name: /\.(?:geo)?json$/i.test(name) ? name : `${name}.geojson`,
    bytes: new TextEncoder().encode(JSON.stringify(geojson)),
    ...(known === undefined ? {} : { kind: known }),
    ...(option === undefined ? {} : { option }),
  };
}

function objectIn(text: string): Record<string, unknown> {
  try {
    return JSON.parse(text) as Record<string, unknown>; // it starts with a brace: an object
  } catch (error) {
    throw wrong(`is not JSON (${error instanceof Error ? error.message : String(error)})`);
  }
}

function wrong(what: string): InputError {
  return new InputError('layer-embedded', `a layer in the job file ${what}`, {
    cure: `write {"name": "house", "geojson": {"type": "FeatureCollection", ...}}, for works with "kind" (${WORKS_KINDS.join(', ')}) and "option" where they have one`,
  });
}
