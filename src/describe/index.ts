// The front of describe/: what other rooms may import of it. In and out: see each name’s own file.

export { assessCommand, type CommandAdvice, type LookedAt, shellWord } from './command.js';
export { describeLayer, type LayerDescription } from './describe.js';
export type { Need } from './drawing.js';
export { OTHER_ROLES, type Question } from './questions.js';
export { descriptionRows, type Row } from './text.js';
