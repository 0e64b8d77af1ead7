// Counted nouns and short lists. In: counts, nouns, names; out: words of a sentence. Cost: one pass over what is shown.

/** "1 tree", "3 trees". */
export function counted(n: number, one: string, many: string = `${one}s`): string {
  return `${n} ${n === 1 ? one : many}`;
}

/**
 * Some of many as the start of a sentence, with a verb for one and for several: `one` and `several` are the words that
 * follow.
 *
 * @example
 * someOf(1, 7, 'tree', 'has no height', 'have no height'); // '1 of 7 trees has no height'
 */
export function someOf(n: number, all: number, noun: string, one: string, several: string): string {
  return all === 1 ? `the one ${noun} ${one}` : `${n} of ${all} ${noun}s ${n === 1 ? one : several}`;
}

/**
 * The first few of a list, and how many more there are; `written` makes a name of each that is shown.
 *
 * @example
 * listOf(['T1', 'T2', 'T3'], 2); // 'T1, T2 and 1 more'
 */
export function listOf<T>(all: ArrayLike<T>, most: number, written: (one: T) => string = String): string {
  const shown: string[] = [];
  for (let i = 0; i < Math.min(all.length, most); i++) shown.push(written(all[i]!));
  const more = all.length - shown.length;
  return more > 0 ? `${shown.join(', ')} and ${more} more` : shown.join(', ');
}
