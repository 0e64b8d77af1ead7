// The front of worth/: what other rooms may import of it. In and out: see each name’s own file.

export { statedCategory, worthOf } from './worth.js';
export { yearsOf } from './years.js';
