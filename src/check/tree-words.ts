// The word fields of a tree layer: in: a layer, the sources of its fields, the job's own words; out: columns of codes, filled
// row by row, and a finding for each word that is not known.
// Terms: unknown = a word that no table knows, which is never assumed to be harmless.
// Cost: a look-up for each row and field.

import type { Layer, TreeTable } from '../model/index.js';
import { AGES, DISPOSITIONS, TOLERANCES } from '../model/index.js';
import { counted } from '../text/index.js';
import { textOf, WordColumn } from './columns.js';
import type { TreeField } from './field-table.js';
import type { Sources } from './fields.js';
import { type SettledLetter, settledLetters } from './letters.js';
import type { Reporter } from './reporter.js';
import { WordReader } from './values.js';
import { type FieldWords, FORMS, fieldWords, type ValueOptions, VETERAN_WORDS, wordKey } from './words/index.js';

const NOT_GIVEN = 255;
/** In `protected` and `offSite`: the survey holds a word that no table knows. */
const NOT_KNOWN = 2;
const UNKNOWN = DISPOSITIONS.indexOf('unknown');
/** The code after the ages: overmature, and a veteran where the survey does not say otherwise. */
const VETERAN = AGES.length;

type WordColumns = Pick<
  TreeTable,
  'disposition' | 'age' | 'tolerance' | 'protected' | 'offSite' | 'veteran' | 'form'
> & { readonly estimated: Uint8Array };

interface TreeWords {
  readonly columns: WordColumns;
  /** Single letters that the file's own words settle, as --value would map them. */
  readonly letters: ValueOptions;
  read(row: number): void;
  conditionOf(row: number): string | undefined;
  report(): void;
}

export function wordReaders(
  layer: Layer,
  sources: Sources<TreeField>,
  values: ValueOptions | undefined,
  out: Reporter,
): TreeWords {
  const n = layer.count;
  const of = (field: TreeField): WordColumn => new WordColumn(sources[field], fieldWords('trees', field, values), out);
  const column = (fill: number): Uint8Array => new Uint8Array(n).fill(fill);
  const columns = {
    disposition: column(0),
    age: column(NOT_GIVEN),
    tolerance: column(NOT_GIVEN),
    protected: column(NOT_GIVEN),
    offSite: column(NOT_GIVEN),
    veteran: column(0),
    estimated: column(NOT_GIVEN),
    form: new Array<string | undefined>(n),
  };
  const dispositions = fieldWords('trees', 'disposition', values);
  const letters = settledLetters(layer, sources.disposition, dispositions);
  const settled = Object.fromEntries(letters.map(({ letter, code }) => [wordKey(letter), code]));
  const readers = {
    disposition: new WordColumn(
      sources.disposition,
      { ...dispositions, words: { ...dispositions.words, ...settled } },
      out,
    ),
    age: new WordColumn(sources.age, agesWithVeterans(fieldWords('trees', 'age', values), values), out),
    tolerance: of('tolerance'),
    protected: of('protected'),
    offSite: of('off_site'),
    veteran: of('veteran'),
    estimated: of('estimated'),
  };
  const formWords = new WordReader(fieldWords('trees', 'form', values).words);
  const conditions = fieldWords('trees', 'condition', values);
  const mapped = Object.keys(values ?? {}).some((key) => /^(trees\.)?condition\./i.test(key));
  const conditionWords = mapped ? new WordReader(ownWords('condition', conditions)) : null;
  return {
    columns,
    letters: Object.fromEntries(letters.map(({ letter, code }) => [`disposition.${letter}`, DISPOSITIONS[code]!])),
    read(row) {
      columns.disposition[row] = readers.disposition.read(layer, row, 0, UNKNOWN);
      const age = readers.age.read(layer, row, NOT_GIVEN, AGES.indexOf('overmature'));
      columns.age[row] = age === VETERAN ? AGES.indexOf('overmature') : age;
      columns.tolerance[row] = readers.tolerance.read(layer, row, NOT_GIVEN, TOLERANCES.indexOf('poor'));
      if (readers.protected.given) columns.protected[row] = readers.protected.read(layer, row, NOT_GIVEN, NOT_KNOWN);
      if (readers.offSite.given) columns.offSite[row] = readers.offSite.read(layer, row, NOT_GIVEN, NOT_KNOWN);
      // a mark of an estimate on the diameter counts, whatever the field says
      if (readers.estimated.given && columns.estimated[row] !== 1)
        columns.estimated[row] = readers.estimated.read(layer, row, NOT_GIVEN, 1);
      columns.veteran[row] = readers.veteran.read(layer, row, age === VETERAN ? 1 : 0, 1);
      const form = textOf(sources.form, layer, row)?.toLowerCase();
      const known = form === undefined ? -1 : formWords.read(form);
      columns.form[row] = known >= 0 ? FORMS[known] : form;
    },
    conditionOf(row) {
      const text = textOf(sources.condition, layer, row);
      const code = text === undefined || conditionWords === null ? -1 : conditionWords.read(text);
      return code >= 0 ? conditions.table.values[code] : text;
    },
    report() {
      for (const one of letters) tellLetter(one, out);
      readers.disposition.report('disposition-unknown', 'unknown, and protected as if kept', 'tree');
      readers.protected.report('value-unknown', 'unknown', 'tree');
      readers.veteran.report('value-unknown', 'yes: the larger zone', 'tree');
      readers.age.report('value-unknown', 'overmature: the larger zone', 'tree');
      readers.tolerance.report('value-unknown', 'poor: the larger zone', 'tree');
      readers.offSite.report('value-unknown', 'not given', 'tree');
      readers.estimated.report('value-unknown', 'yes', 'tree');
    },
  };
}

/** Words for a veteran give the oldest age and mark a veteran. A word that the job maps means what it is mapped to. */
function agesWithVeterans(ages: FieldWords, values: ValueOptions = {}): FieldWords {
  const own = Object.keys(values).map((key) => wordKey(key.replace(/^(trees\.)?age\./i, '')));
  const veterans = VETERAN_WORDS.map(wordKey).filter((word) => !own.includes(word));
  return { ...ages, words: { ...ages.words, ...Object.fromEntries(veterans.map((word) => [word, VETERAN])) } };
}

/** A condition is kept as written, so that a mitigation table may list any word. Only words that a job maps are changed. */
function ownWords(field: 'condition', { words }: FieldWords): FieldWords['words'] {
  const table = fieldWords('trees', field).words;
  return Object.fromEntries(Object.entries(words).filter(([word, code]) => table[word] !== code));
}

function tellLetter({ letter, code, source, first, count, words }: SettledLetter, out: Reporter): void {
  const means = DISPOSITIONS[code]!;
  const trees = counted(count, 'tree');
  const message = `${source} "${letter}" was read as ${means} (${trees}): the words of the file that begin with it mean that and nothing else (${words.join(', ')})`;
  const cure = `write the word out, or say what it means: --value disposition.${letter}=${means}`;
  out.say('letter-read', first, `properties.${source}`, message, cure);
}
