// The commands that work on a job that was split: run, merge, enqueue, work. In and out: see each name’s own file.
// Loaded when one of them is run.

export { runMerge } from './merge.js';
export { runRun } from './run.js';
export { runEnqueue, runWork } from './work.js';
