// A layer in its role -> what its check says. In: role, layer, options; out: findings, how many features are rejected, and
// words that are not known. Linear in the layer.

import { checkDrawn, checkLots, checkTrees, checkWorks, type UnknownWord } from '../check/index.js';
import type { AssessOptions, Finding, Layer, LayerRole } from '../model/index.js';

export interface Judged {
  readonly findings: readonly Finding[];
  readonly rejected: number;
  readonly words: readonly UnknownWord[];
  readonly letters: Readonly<Record<string, string>>;
}

/** The check of a layer in its role. Throws InputError where it can't be read as it is. */
export function judge(role: LayerRole, layer: Layer, options: AssessOptions): Judged {
  if (role === 'trees') {
    const { table, findings, words } = checkTrees(layer, options);
    return { findings, rejected: table.rejected.size, words, letters: table.letters ?? {} };
  }
  if (role === 'lots' || role === 'zones' || role === 'crowns') {
    const { table, findings } = role === 'lots' ? checkLots(layer, options) : checkDrawn(layer, role, null, options);
    return { findings, rejected: table.rejected.size, words: [], letters: {} };
  }
  const { table, findings, words } = checkWorks([{ layer }], options, role);
  return { findings, rejected: table.rejected.size, words, letters: {} };
}
