// The front of text/: what other rooms may import of it. In and out: see each name’s own file.

export { counted, listOf, someOf } from './lists.js';
export { didYouMean, nearestOf } from './nearest-word.js';
export { printable } from './printable.js';
export { quotedName } from './quoted-name.js';
