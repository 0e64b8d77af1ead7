// The front of siting/: what other rooms may import of it. In and out: see each name’s own file.

export { type MovedTree, moveWorks, type WorksMover } from './move.js';
export { siting, USUAL_SHIFT_M } from './siting.js';
