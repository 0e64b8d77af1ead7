// The check stage: in: layers as read; out: tables with every feature of them, in metres, cleaned, and findings.
// Terms: rejected = stays in the table with a reason, is not measured; finding = what the user should know.

export { checkDrawn, trunksOutside } from './check/drawn.js';
export { type LikelyField, likelyFields } from './check/likely.js';
export { checkLimbs, declinationOf } from './check/limbs.js';
export { checkLots } from './check/lots.js';
export { type SizeColumn, sizeColumns } from './check/sizes.js';
export { checkTrees } from './check/trees.js';
export { checkWorks } from './check/works.js';
