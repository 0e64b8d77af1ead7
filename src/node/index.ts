// The front of node/: what other rooms may import of it. In and out: see each name’s own file.

export { type AssessFilesOptions, assessFiles, ruleFrom } from './assess-files.js';
export { readAssessed } from './compare-files.js';
export type { GradeFiles } from './read/grade-files.js';
export type { WorksFile } from './several-layers.js';
export { type SitingFilesOptions, sitingFiles } from './siting-files.js';
