// Whether a text is a file of field notes. In: its first bytes as text; out: yes or no. Apart from notes.ts so that telling a format
// loads nothing. Linear in the lines looked at.

const LINES = 8; // blank ones, "sep=;" and the heading

const LEVEL = /^(?:backsight|foresight)(?:[^a-z]|$)/;

/** Whether the heading names the column `point`, and one of `from`, `base`, `backsight_*`, `foresight_*`. */
export function isNotes(head: string): boolean {
  const lines = head.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/, LINES);
  const heading = lines.find((line) => line.trim() !== '' && !/^sep=.\s*$/i.test(line)) ?? '';
  return namesNotes(heading.split(/[\t;,]/).map((name) => name.replaceAll('"', '')));
}

/** Whether columns of these names hold field notes. */
export function namesNotes(columns: readonly string[]): boolean {
  const names = new Set(columns.map((name) => name.trim().toLowerCase()));
  return names.has('point') && (names.has('from') || names.has('base') || [...names].some((name) => LEVEL.test(name)));
}
