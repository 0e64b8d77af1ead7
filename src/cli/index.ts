// The front of cli/: what other rooms may import of it. In and out: see each name’s own file.

export { EXIT, processIo } from './io.js';
export { main } from './main.js';
export { isLong, runStoppable } from './stoppable.js';
