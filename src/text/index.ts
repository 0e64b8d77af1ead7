// The front of text/: what other rooms may import of it. In and out: see each name’s own file.

export { didYouMean } from './nearest-word.js';
export { printable } from './printable.js';
