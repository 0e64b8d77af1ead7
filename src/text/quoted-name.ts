// A name inside a statement of SQL. In: a name, whatever is in it; out: the name in quotes.

/** A name as SQL writes it: in double quotes, those in it doubled. CSV quotes a cell in the same way. */
export function quotedName(name: string): string {
  return `"${name.replaceAll('"', '""')}"`;
}
