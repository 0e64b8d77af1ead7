// The front of explain/: what other rooms may import of it. In and out: see each name’s own file.

export { type ExplainOptions, explain } from './explain.js';
