// Words for a person who named a field that is not there: in: names; out: the nearest one, and readable lists.
// Terms: edit distance = letters to insert, drop, change or swap with their neighbour to turn one word into another
// (Levenshtein 1966 with the swaps of Damerau 1964).

/** Edit distance of two words, capital letters counting as small ones. */
export function editDistance(a: string, b: string): number {
  const s = a.toLowerCase();
  const t = b.toLowerCase();
  let before: number[] = [];
  let row = Array.from({ length: t.length + 1 }, (_, j) => j);
  for (let i = 1; i <= s.length; i++) {
    const next = [i];
    for (let j = 1; j <= t.length; j++) {
      const change = row[j - 1]! + (s[i - 1] === t[j - 1] ? 0 : 1);
      let best = Math.min(change, row[j]! + 1, next[j - 1]! + 1);
      const swapped = i > 1 && j > 1 && s[i - 1] === t[j - 2] && s[i - 2] === t[j - 1];
      if (swapped) best = Math.min(best, before[j - 2]! + 1);
      next.push(best);
    }
    before = row;
    row = next;
  }
  return row[t.length]!;
}

/**
 * The name most like the one given; `undefined` when none shares at least half of its letters.
 *
 * @example
 * nearestName('DIAM', ['TAG', 'DIAM_IN']); // 'DIAM_IN'
 * nearestName('DIAM', ['TAG']); // undefined
 */
export function nearestName(name: string, among: readonly string[]): string | undefined {
  let best: string | undefined;
  let bestDistance = Number.POSITIVE_INFINITY;
  for (const candidate of among) {
    const distance = editDistance(name, candidate);
    if (distance < bestDistance && distance * 2 <= Math.max(name.length, candidate.length)) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}

/** "a, b, c", cut after forty names; "none" for an empty list. */
export function listNames(names: readonly string[]): string {
  if (names.length === 0) return 'none';
  return names.length <= 40 ? names.join(', ') : `${names.slice(0, 40).join(', ')} and ${names.length - 40} more`;
}

/** A figure for a message: at most six digits, no exponent where a person would not write one. */
export function figure(value: number): string {
  return String(Number(value.toPrecision(6)));
}
