// The commands that read files: assess, siting, compare, split, check, notes, demo; and completion, which knows all their options. In and out: see each name’s own file. Loaded when one of them is run.

export { ruleFrom } from '../node/index.js';
export { runAssess } from './assess.js';
export { runCheck } from './check.js';
export { runCompare } from './compare.js';
export { completionScript } from './completion/completion.js';
export { runDemo } from './demo.js';
export { runJob } from './job-file.js';
export { runNotes } from './notes.js';
export { runSiting } from './siting.js';
export { runSplit } from './split.js';
