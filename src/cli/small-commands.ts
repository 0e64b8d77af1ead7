// The commands check and completion. In and out: see each name’s own file. Loaded when one of them is run.

export { runCheck } from './check.js';
export { completionScript } from './completion/completion.js';
