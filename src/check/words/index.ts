// The front of words/: tables of words, and what the checks ask of them. In and out: see each name's own file.

export { DISPOSITION_TABLE } from './disposition.js';
export { checkValues, type FieldWords, fieldWords, type ValueOptions } from './field-words.js';
export { KIND_TABLE } from './kind.js';
export {
  AGE_TABLE,
  CONDITION_TABLE,
  CONDITIONS,
  FLAG_TABLE,
  FORM_TABLE,
  FORMS,
  TOLERANCE_TABLE,
  VETERAN_WORDS,
} from './tree-words.js';
export { type Words, type WordTable, wordKey, wordsOf } from './word-table.js';
export {
  BUDS_TABLE,
  FLARE_TABLE,
  GRADE_TABLE,
  IRREMEDIABLE_TABLE,
  SOIL_TABLE,
  SOUNDING_TABLE,
  STRIKES_TABLE,
  soilNamed,
  VIGOUR_TABLE,
  WORTH_TABLES,
} from './worth-words.js';
