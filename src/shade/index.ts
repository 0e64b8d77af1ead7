// The front of shade/: what other rooms may import of it. In and out: see each name’s own file.

export { SHADE_DEFAULTS, shade } from './shade.js';
