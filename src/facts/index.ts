// The front of facts/: what other rooms may import of it. In and out: see each name’s own file.

export {
  builtinTreeFacts,
  densityOf,
  fillOf,
  parseTreeFacts,
  parseTreeFactsText,
  rootsOf,
  sourceWords,
  spanOf,
  type TreeNames,
  toleranceOf,
} from './tree-facts.js';
