// The known word nearest to a mistyped one. In: a word and the words known; out: the nearest, or undefined.
// Terms: distance = the fewest single letters added, dropped or changed (Levenshtein).

function distance(a: string, b: string): number {
  let before = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = before[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1);
      row.push(Math.min(change, before[j]! + 1, row[j - 1]! + 1));
    }
    before = row;
  }
  return before[b.length]!;
}

/**
 * The known word nearest to `word`, or `undefined` when none is near (more than a third of its letters differ).
 *
 * @example
 * nearest('radus', ['radius', 'from']); // 'radius'
 * nearest('colour', ['radius', 'from']); // undefined
 */
export function nearest(word: string, known: readonly string[]): string | undefined {
  const plain = (text: string): string => text.toLowerCase().replace(/[^a-z0-9]/g, '');
  const given = plain(word.slice(0, 64));
  let best: string | undefined;
  let least = Infinity;
  for (const candidate of known) {
    const d = distance(given, plain(candidate));
    if (d < least && d <= Math.max(1, Math.ceil(Math.max(given.length, candidate.length) / 3))) {
      best = candidate;
      least = d;
    }
  }
  return best;
}

/** ", did you mean X?" or nothing. */
export function didYouMean(word: string, known: readonly string[]): string {
  const near = nearest(word, known);
  return near === undefined ? '' : `, did you mean ${near}?`;
}
