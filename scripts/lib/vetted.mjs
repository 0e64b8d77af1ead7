// The verdicts that a table of systems already holds. In: src/crs/tables/all.ts as text; out: the codes that were held
// against PROJ and found right, and those refused with the reason. Costs one pass over the table.

/** `{ kept, refused }`: a set of codes, and code -> reason. */
export function vettedIn(text) {
  const lines = (name) => (new RegExp(`${name}: string = \`([^\`]*)\``).exec(text)?.[1] ?? '').split('\n');
  const kept = new Set();
  let code = 0;
  for (const line of lines('ROWS')) {
    code += Number.parseInt(line, 36);
    kept.add(String(code));
  }
  const reasons = lines('REASONS');
  const refused = new Map(
    lines('REFUSED').map((line) => {
      const [own, , reason] = line.split('|');
      return [own, reasons[Number.parseInt(reason, 36)]];
    }),
  );
  return { kept, refused };
}
