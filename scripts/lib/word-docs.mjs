// The page of words: docs/words.md. In: tables of words by field (src/check/words); out: the page as text.
// Terms: see src/check/words/word-table.ts. Linear in the words.

/** @typedef {{ values: readonly string[], words: Readonly<Record<string, readonly string[]>>, asked: readonly string[], unknown: string }} Table */

const HEAD = `# Words of the trade

Surveys say the same thing in many words. These tables hold the words that are understood, in American, British, Australian and
German usage. Capitals, spaces, hyphens, dots, commas, brackets and quotes do not matter: \`To be removed\`, \`TO-BE-REMOVED\` and
\`to be removed.\` are one word. This page is made of the tables themselves (\`node scripts/make-word-docs.mjs\` after a build).

- **A word that stands in no table is never taken for a harmless one.** A tree with such a disposition is protected as if it were
  to be kept, its \`rb_disposition\` is \`unknown\` beside the survey's own column, and a finding names the word and how many trees
  have it. What holds for the other fields stands below each table.
- **Single letters are asked for.** R is "remove" in one office and "retain" in the next; so are the other signs listed below a
  table as asked for. No table maps them; the finding shows the option that does. One case is settled by the file itself: where
  the disposition also writes out words that begin with the letter, all of one meaning, and another meaning too (\`Remove\`,
  \`R\`, \`Keep\`, \`K\`), the letter is read as they are, and the finding \`letter-read\` says so with its count. \`Remove\` and \`R\`
  alone settle nothing: R could be retain.
- **\`--value FIELD.WORD=value\`** says what a word means: \`--value disposition.R=remove\`,
  \`--value 'works.kind.Sanitary lateral=trench'\` (\`existing.kind.\` for what stands today). It is all between the field's dot
  and the last \`=\`; quotes round the word are optional. It wins over the tables. In a job file: \`"value": ["disposition.R=remove"]\`;
  in the library: \`options.values\`, \`{ 'disposition.R': 'remove' }\`.
- A blank cell is not a word: the tree is to be kept, the age is not given.
`;

/**
 * @param {readonly (readonly [title: string, fields: string, table: Table, note?: string])[]} tables
 * @returns {string}
 */
export function wordDocs(tables) {
  return `${HEAD}\n${tables.map(section).join('\n')}`;
}

/** @param {readonly [title: string, fields: string, table: Table, note?: string]} of */
function section([title, fields, { values, words, asked, unknown }, note]) {
  const rows = values.map((value) => `| \`${value}\` | ${list(words[value] ?? [])} |`);
  const lines = [`## ${title}`, '', `Field: ${fields}.`, '', '| value | words |', '|---|---|', ...rows, ''];
  if (asked.length > 0) lines.push(`Asked for, never mapped: ${asked.join(', ')}.`, '');
  lines.push(`Any other word: ${unknown}.`, '');
  if (note !== undefined) lines.push(note, '');
  return lines.join('\n');
}

/** @param {readonly string[]} words */
function list(words) {
  return words.length === 0 ? '-' : words.map((word) => word.replaceAll('|', '\\|').replaceAll('*', '\\*')).join(', ');
}

/**
 * The sections of the page.
 *
 * @param {Readonly<Record<string, Table>>} of the tables by their names in src/check/words
 * @returns {readonly (readonly [title: string, fields: string, table: Table, note?: string])[]}
 */
export function wordSections(of) {
  const table = (/** @type {string} */ name) => /** @type {Table} */ (of[name]);
  const veteran = 'V, VET, veteran and ancient also make the tree a veteran where the field `veteran` says nothing.';
  return [
    ['Disposition', '`disposition` of trees', table('DISPOSITION_TABLE')],
    ['Kind', '`works.kind`, `existing.kind`', table('KIND_TABLE')],
    ['Age', '`age` of trees', table('AGE_TABLE'), veteran],
    ['Tolerance', '`tolerance` of trees', table('TOLERANCE_TABLE')],
    [
      'Condition',
      '`condition` of trees',
      table('CONDITION_TABLE'),
      'A condition goes through as the survey has it, since a mitigation table may list any word; what `--value condition.WORD=value` maps is changed.',
    ],
    ['Form', '`form` of trees', table('FORM_TABLE')],
    ['Vigour', '`vigour` of trees', table('VIGOUR_TABLE')],
    [
      'Defects',
      '`cavities`, `decay`, `fungi`, `root_disease`, `codominant`, `included_bark`, `dead_wood`, `pests`, `past_damage` of trees',
      table('GRADE_TABLE'),
    ],
    ['Sounding', '`sounding` of trees', table('SOUNDING_TABLE')],
    ['Root flare', '`root_flare` of trees', table('FLARE_TABLE')],
    ['Live buds', '`live_buds` of trees', table('BUDS_TABLE')],
    ['Irremediable defect', '`irremediable` of trees', table('IRREMEDIABLE_TABLE')],
    ['What it would strike', '`strikes` of trees', table('STRIKES_TABLE')],
    ['Soil', '`soil` of trees, `--soil`', table('SOIL_TABLE')],
    [
      'Yes or no',
      '`protected`, `off_site`, `veteran`, `estimated` of trees; `no_dig`, `temporary` of works',
      table('FLAG_TABLE'),
    ],
  ];
}
