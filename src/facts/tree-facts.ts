// Tree facts: files, and which of them hold for a tree. In: JSON read from a file; a tree's names, its soil; out: checked facts;
// those that fit. Terms: see model/tree-facts.ts. Linear in the facts for each question.

import {
  type DataFile,
  type DensityFact,
  type FillFact,
  jsonOf,
  parseData,
  type RootFact,
  type Soil,
  type SpanFact,
  type ToleranceFact,
  type TreeFacts,
} from '../model/index.js';
import { BUILTIN_FACTS } from './builtin-facts.js';
import { FACTS_SCHEMA } from './schema.js';

const FILE: DataFile = {
  code: 'tree-facts-invalid',
  what: 'file of tree facts',
  cure: 'fix the places named; docs/worth-keeping.md has an example to start from',
};

/** The built-in facts: published figures with their sources, weak ones stamped so. */
export function builtinTreeFacts(): TreeFacts {
  return BUILTIN_FACTS;
}

/**
 * Checks a file of tree facts; kinds of facts that it leaves out are empty: it stands in place of the built-in facts.
 *
 * @throws InputError `tree-facts-invalid`: every problem with its place and what is expected there
 * @example
 * parseTreeFacts({ id: 'county', title: 'County list', spans: [{ trees: ['Quercus alba'], years: [200, 300], source: 'County list 2' }] }, 'county.json');
 */
export function parseTreeFacts(json: unknown, fileName: string): TreeFacts {
  return parseData(FACTS_SCHEMA, json, FILE, fileName);
}

/** The same for the text of a file. */
export function parseTreeFactsText(content: string, fileName: string): TreeFacts {
  return parseTreeFacts(jsonOf(content, FILE, fileName), fileName);
}

/** What a tree is called: species and common name. */
export type TreeNames = readonly (string | undefined)[];

/** The span of years of a species, else of its genus. */
export function spanOf({ spans }: TreeFacts, names: TreeNames): SpanFact | undefined {
  return closest(spans, names)[0];
}

export function toleranceOf({ tolerances }: TreeFacts, names: TreeNames): ToleranceFact | undefined {
  return closest(tolerances, names)[0];
}

/** Facts on roots of the species or genus, else of any tree. */
export function rootsOf({ roots }: TreeFacts, names: TreeNames): readonly RootFact[] {
  const own = closest(
    roots.filter((fact): fact is RootFact & { trees: readonly string[] } => fact.trees !== undefined),
    names,
  );
  return own.length > 0 ? own : roots.filter(({ trees }) => trees === undefined);
}

/** Facts on fill of a soil, and those that hold whatever the soil. */
export function fillOf({ fill }: TreeFacts, soil: Soil | null): readonly FillFact[] {
  return fill.filter((fact) => fact.soil === undefined || (soil !== null && fact.soil.includes(soil)));
}

export function densityOf({ density }: TreeFacts, soil: Soil | null): readonly DensityFact[] {
  return soil === null ? [] : density.filter((fact) => fact.soil.includes(soil));
}

/** Where a value comes from, its stamp first. */
export function sourceWords({ source, stamp }: { readonly source?: string; readonly stamp?: string }): string {
  return [stamp, source].filter((one) => one !== undefined).join(': ');
}

/** Facts of the species; where there are none, of its genus. */
function closest<F extends { readonly trees: readonly string[] }>(facts: readonly F[], names: TreeNames): readonly F[] {
  const said = names.flatMap((name) => (name === undefined ? [] : [plain(name)]));
  const where = (holds: (of: string, name: string) => boolean): readonly F[] =>
    facts.filter(({ trees }) => trees.some((of) => said.some((name) => holds(plain(of), name))));
  const species = where((of, name) => of === name || (of.includes(' ') && name.startsWith(`${of} `)));
  return species.length > 0 ? species : where((of, name) => !of.includes(' ') && name.startsWith(`${of} `));
}

function plain(name: string): string {
  return name
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim();
}
