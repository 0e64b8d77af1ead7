// Sentences about one tree. In: its result; out: plain text (not yet escaped). Terms: as in model/.

import type { Assessment, TreeResult } from '../../model/index.js';
import { REASONS } from '../../model/index.js';
import { compass, type Figures, NONE } from '../figures.js';

/** "3.15 m, 121.4° (SE)". */
export function nearestWords(tree: TreeResult, figures: Figures): string {
  if (tree.nearestM === null) return NONE;
  const bearing = tree.nearestBearing ?? tree.nearestGridBearing;
  if (tree.nearestM === 0 || bearing === null || bearing === undefined) return figures.length(tree.nearestM);
  return `${figures.length(tree.nearestM)}, ${figures.degrees(bearing)} (${compass(bearing)})`;
}

/** A reason's sentence; a rule's own code is said as it is, a code of a finding as its finding says it. */
export function reasonWords(code: string, assessment: Assessment): string {
  const known = (REASONS as Readonly<Record<string, string>>)[code];
  if (known !== undefined) return known;
  const said = assessment.findings.find((one) => one.code === code);
  return said === undefined ? `The rule says: ${code}.` : `${said.message}.`;
}
