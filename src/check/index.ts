// The check stage: in: layers as read; out: tables with every feature of them, in metres, cleaned, and findings.
// Terms: rejected = stays in the table with a reason, is not measured; finding = what the user should know.

export { checkDrawn, trunksOutside } from './drawn.js';
export { TREE_FIELDS, WORKS_FIELDS } from './field-table.js';
export { canonicalOf } from './fields.js';
export { ownId } from './keys.js';
export { labelSources } from './labels.js';
export { type LikelyField, likelyFields } from './likely.js';
export { checkLimbs, declinationOf } from './limbs.js';
export { checkLots } from './lots.js';
export type { UnknownWord } from './reporter.js';
export { mixesLayers } from './several.js';
export { type SizeColumn, sizeColumns } from './sizes.js';
export { checkTrees } from './trees.js';
export { checkValues, soilNamed } from './words/index.js';
export { checkWorks } from './works.js';
