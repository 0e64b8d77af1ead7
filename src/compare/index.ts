// The front of compare/: what other rooms may import of it. In and out: see each name’s own file.

export { assessedLayers, type CompareOptions, compareAssessed } from './compare.js';
export type { AssessedLayers } from './submission.js';
