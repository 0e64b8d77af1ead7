// Column names -> property names: in: names as a header or table gives them; out: the same, unique and never empty.
// Terms: a column without a name is called by its position: column3.
// A property called __proto__ would vanish on assignment, so it counts as a column without a name.

/**
 * Makes names usable as property names; a repeated name gets a number behind it.
 *
 * @example
 * uniqueNames(['tag', '', 'tag']); // ['tag', 'column2', 'tag_2']
 */
export function uniqueNames(names: readonly string[]): string[] {
  const taken = new Set<string>();
  const last = new Map<string, number>(); // the number that a repeated name got last
  return names.map((raw, i) => {
    const trimmed = raw.trim();
    const base = trimmed === '' || trimmed === '__proto__' ? `column${i + 1}` : trimmed;
    let name = base;
    for (let n = last.get(base) ?? 2; taken.has(name); n++) {
      name = `${base}_${n}`;
      last.set(base, n + 1);
    }
    taken.add(name);
    return name;
  });
}
