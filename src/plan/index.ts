// The front of plan/: what other rooms may import of it. In and out: see each name’s own file.

export { fencePlan } from './fence/fence.js';
export { type CountedLots, lotFigures } from './lot-figures.js';
export { type LotOfTree, lotFinder } from './lots.js';
export { builtinMitigation, mitigationIds, parseMitigation, parseMitigationText } from './mitigation.js';
export { isProtected } from './protected.js';
export { removalsOf } from './removals.js';
