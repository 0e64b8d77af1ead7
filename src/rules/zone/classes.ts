// Which trees a rule means. In: tests of species, form, diameter and age as a rule writes them, and the tree table;
// out: the class of each tree, and whether the rule protects it.
// Terms: class number = place of a class in the rule, counted from 1; a tree that no class fits has 0.

import type { Rule, TreeTable, TreeTest } from '../../model/index.js';
import { combineStems } from '../evaluate.js';
import { metres } from '../quantities.js';

/** Diameters come through unit factors: 20 in can be 0.5079999999999999 m. A micrometre is far below any tape. */
const DIAMETER_SLACK_M = 1e-6;

type Fits = (row: number) => boolean;

/** A form as rules write it: 'Tree fern' is 'tree-fern'. */
export function formOf(trees: TreeTable, row: number): string {
  return (trees.form[row] ?? '')
    .trim()
    .toLowerCase()
    .replace(/[\s_]+/g, '-');
}

/** A species' words in small letters; hybrid signs and quotes do not distinguish species. */
function wordsOf(species: string): readonly string[] {
  return species
    .toLowerCase()
    .replace(/[×'‘’"“”]/g, ' ')
    .split(/[\s,]+/)
    .filter((word) => word !== '' && word !== 'x');
}

/** Whether a species begins with the words of any of the names; each spelling is looked at once. */
function speciesTest(names: readonly string[], trees: TreeTable): Fits {
  const wanted = names.map(wordsOf);
  const known = new Map<string, boolean>();
  return (row) => {
    const species = trees.species[row];
    if (species === undefined) return false;
    let fits = known.get(species);
    if (fits === undefined) {
      const words = wordsOf(species);
      fits = wanted.some((name) => name.length > 0 && name.every((word, i) => words[i] === word));
      known.set(species, fits);
    }
    return fits;
  };
}

/** A test compiled against the trees and their diameters (metres, NaN where unknown). */
export function treeTest(test: TreeTest, trees: TreeTable, dbhM: Float64Array): Fits {
  const tests: Fits[] = [];
  if (test.species !== undefined) tests.push(speciesTest(test.species, trees));
  if (test.forms !== undefined) {
    const forms = new Set(test.forms);
    tests.push((row) => forms.has(formOf(trees, row)));
  }
  if (test.from !== undefined) {
    const least = metres(test.from) - DIAMETER_SLACK_M;
    tests.push((row) => dbhM[row]! >= least);
  }
  if (test.below !== undefined) {
    const end = metres(test.below) - DIAMETER_SLACK_M;
    tests.push((row) => dbhM[row]! < end);
  }
  if (test.veteran !== undefined) {
    const veteran = test.veteran ? 1 : 0;
    tests.push((row) => trees.veteran[row] === veteran);
  }
  return (row) => tests.every((fits) => fits(row));
}

/** The class of each tree; null where the rule has none. */
export function classNumbers(rule: Rule, trees: TreeTable, dbhM: Float64Array): Uint8Array | null {
  if (rule.classes === undefined || rule.classes.length === 0) return null;
  const tests = rule.classes.map((one) => treeTest(one, trees, dbhM));
  return Uint8Array.from({ length: trees.count }, (_, row) => tests.findIndex((fits) => fits(row)) + 1);
}

/**
 * 1 where the rule protects a tree by species and size, 2 where that depends on a missing size; stems combined as the
 * rule says for that. Null: it does not say.
 */
export function protectedTrees(rule: Rule, trees: TreeTable): Uint8Array | null {
  if (rule.protected === undefined || rule.protected.length === 0) return null;
  const dbhM = trees.dbhM.slice();
  const how = rule.stems.protected ?? rule.stems.zone;
  for (const [row, stems] of trees.stemsM) if (stems.length > 0) dbhM[row] = combineStems(stems, how);
  const tests = rule.protected.map((one) => treeTest(one, trees, dbhM));
  const sized = rule.protected.filter(({ from, below }) => from !== undefined || below !== undefined);
  const butForSize = sized.map(({ from: _, below: __, ...rest }) => treeTest(rest, trees, dbhM));
  return Uint8Array.from({ length: trees.count }, (_, row) => {
    if (tests.some((fits) => fits(row))) return 1;
    return !(dbhM[row]! > 0) && butForSize.some((fits) => fits(row)) ? 2 : 0;
  });
}
