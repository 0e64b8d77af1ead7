// The front of crown/: what other rooms may import of it. In and out: see each name’s own file.

export { crownResult, crowns } from './crowns.js';
export { limbResults } from './limbs.js';
export type { StructureSource } from './structures.js';
