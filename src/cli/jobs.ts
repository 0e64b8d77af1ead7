// The commands that read a job: assess, siting, split. In and out: see each name’s own file. Loaded when one of them is run.

export { runAssess } from './assess.js';
export { runJob } from './job-file.js';
export { runSiting } from './siting.js';
export { runSplit } from './split.js';
