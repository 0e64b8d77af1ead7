// The known word nearest to a mistyped one. In: a word and the words known; out: the nearest, or undefined.
// Terms: distance = the fewest letters to insert, drop, change or swap with their neighbour that turn one word into another
// (Levenshtein 1966 with the swaps of Damerau 1964). Cost: the product of two lengths for each word known.

/** Edit distance of two words as they stand. */
export function editDistance(a: string, b: string): number {
  let before: number[] = [];
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = row[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1);
      let best = Math.min(change, row[j]! + 1, next[j - 1]! + 1);
      const swapped = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      if (swapped) best = Math.min(best, before[j - 2]! + 1);
      next.push(best);
    }
    before = row;
    row = next;
  }
  return row[b.length]!;
}

/**
 * The first of the known words that takes the fewest changes, capital letters counting as small ones; `most` tells how many
 * changes a word may take.
 *
 * @example
 * nearestOf('speceis', ['SPECIES', 'SPEED'], () => 3); // 'SPECIES'
 */
export function nearestOf(
  word: string,
  known: Iterable<string>,
  most: (candidate: string) => number,
  plain: (text: string) => string = (text) => text.toLowerCase(),
): string | undefined {
  const given = plain(word);
  let best: string | undefined;
  let least = Infinity;
  for (const candidate of known) {
    const distance = editDistance(given, plain(candidate));
    if (distance >= least || distance > most(candidate)) continue;
    best = candidate;
    least = distance;
  }
  return best;
}

/**
 * The known word nearest to `word` by its letters and digits, or `undefined` when none is near (more than a third of them
 * differ).
 *
 * @example
 * nearest('radus', ['radius', 'from']); // 'radius'
 * nearest('colour', ['radius', 'from']); // undefined
 */
export function nearest(word: string, known: readonly string[]): string | undefined {
  const plain = (text: string): string => text.toLowerCase().replace(/[^a-z0-9]/g, '');
  const start = word.slice(0, 64);
  const length = plain(start).length;
  const most = (candidate: string): number => Math.max(1, Math.ceil(Math.max(length, candidate.length) / 3));
  return nearestOf(start, known, most, plain);
}

/** ", did you mean X?" or nothing. */
export function didYouMean(word: string, known: readonly string[]): string {
  const near = nearest(word, known);
  return near === undefined ? '' : `, did you mean ${near}?`;
}
