// The table of options as Markdown. In: rows of src/cli/table, and what names and groups them; out: text for
// docs/command-line.md. Terms: markers = the comments between which the text stands there. Linear in the rows.

export const BEGIN = '<!-- options: written by scripts/make-option-docs.mjs -->';
export const END = '<!-- end of options -->';

/** One table a group: each option with the commands that take it, what it does, what it needs and excludes. */
export function optionDocs(rows) {
  const groups = new Map();
  for (const row of rows) groups.set(row.group, [...(groups.get(row.group) ?? []), row]);
  return [...groups].map(([group, members]) => `### ${group}\n\n${tableOf(members)}`).join('\n\n');
}

/** The page with its table made anew. */
export function withOptionDocs(page, rows) {
  const [from, to] = [page.indexOf(BEGIN), page.indexOf(END)];
  if (from < 0 || to < from) throw new Error('docs/command-line.md has no markers for the options');
  return `${page.slice(0, from + BEGIN.length)}\n\n${optionDocs(rows)}\n\n${page.slice(to)}`;
}

function tableOf(rows) {
  const lines = rows.map((row) => `| ${codeOf(row.flag)} | ${row.in.join(', ')} | ${cellOf(aboutOf(row))} |`);
  return ['| option | commands | what it does |', '|---|---|---|', ...lines].join('\n');
}

function aboutOf({ help, parser, fallback, needs, excludes }) {
  const more = [
    ...(Array.isArray(parser) ? [`one of ${parser.join(', ')}`] : []),
    ...(fallback === undefined ? [] : [`default ${fallback}`]),
    ...(needs === undefined ? [] : [`needs ${needs.anyOf.map(longName).join(' or ')}`]),
    ...(excludes === undefined ? [] : [`not beside ${longName(excludes.other)}`]),
  ];
  return [help, ...more].join('; ');
}

/** `existingUse` -> `--existing-use`. */
function longName(attribute) {
  return `--${attribute.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;
}

/** In code, a bar is a bar only behind a backslash: a table's cell ends at it otherwise. */
function codeOf(flag) {
  return `\`${flag.replaceAll('|', '\\|')}\``;
}

function cellOf(text) {
  return text.replaceAll('|', '\\|').replaceAll('<', '&lt;');
}
