// Rules: ids and rule files -> Rule. In: a built-in id, or JSON read from a rule file; out: a checked Rule.
// Terms: see rule.ts; rules/ holds the schema, the built-in rules as data, and the evaluation of a radius.

export { kindSets } from './rules/kind-sets.js';
