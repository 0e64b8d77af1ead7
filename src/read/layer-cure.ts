// What to do where a file holds several layers. In: their names and whose file it is; out: the cure's text.

import type { LayerRole } from '../model/index.js';

/** Works are often drawn a layer a kind, and several may be taken; of every other role it is one. */
export function layerCure(names: readonly string[], role: LayerRole | undefined): string {
  const listed = names.join(', ');
  const one = role === undefined ? '--layer NAME' : `--layer ${role}=NAME`;
  if (names.length === 1 || (role !== undefined && role !== 'works')) return `choose one with ${one}: ${listed}`;
  return `choose one with ${one}, or several of works with their kinds (--layer NAME=building --layer NAME=paving): ${listed}`;
}
