// The commands that read a job: assess, siting, split, demo. In and out: see each name’s own file. Loaded when one of them is run.

export { ruleFrom } from '../node/index.js';
export { runAssess } from './assess.js';
export { runDemo } from './demo.js';
export { runJob } from './job-file.js';
export { runSiting } from './siting.js';
export { runSplit } from './split.js';
