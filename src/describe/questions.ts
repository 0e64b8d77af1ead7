// What is left to be answered before a set of files can be assessed. In: files that were looked at, needs of their layers;
// out: questions with their choices, as a job file holds them. Terms: entry = the option's value once the question is
// answered, with ANSWER in place of the answer. Linear in the needs and the words that are not known.

import { type LayerRole, WORKS_KINDS } from '../model/index.js';
import type { LayerDescription } from './describe.js';
import type { Need } from './drawing.js';

/** One open question of a job. */
export interface Question {
  /** What it is about: `crs`, `trees.dbh`, `trees.disposition.X`, `works.c.geojson`. */
  readonly about: string;
  readonly question: string;
  /** What can be answered; empty: any text. `-` leaves the thing as it is, or out, as the question says. */
  readonly choices: readonly string[];
  /** The option, without dashes, that the answer belongs to. */
  readonly option: string;
  /** Its value, with ANSWER in place of the answer: `disposition.X=ANSWER`. */
  readonly entry: string;
}

/** What areas without a kind may be beside works: the role that their file is given for. */
export const OTHER_ROLES: readonly OtherRole[] = ['existing', 'lots', 'zones', 'crowns'];
export type OtherRole = Extract<LayerRole, 'existing' | 'lots' | 'zones' | 'crowns'>;

/** The questions of a need; none where its value can be used. */
export function needQuestions({ option, why, ask = [] }: Need): Question[] {
  return ask.map(({ about, choices, entry, question }) => ({
    about,
    question: question ?? why,
    choices,
    option: option.replace(/^--/, ''),
    entry,
  }));
}

/** A question for each word of a layer that its field does not take. */
export function wordQuestions({ layer, role, words }: LayerDescription): Question[] {
  return words.flatMap(({ option, word, source, count, values }) => {
    // A word without a letter or figure can't be mapped.
    if (!/[\p{L}\p{N}+*?!]/u.test(word)) return [];
    const noun = role === 'trees' ? 'tree' : 'feature';
    const left = values.includes('unknown') ? '' : '; - leaves it as not known';
    return {
      about: role === 'trees' ? `trees.${option}.${word}` : `${option}.${word}`,
      question: `what does "${word}" mean in the column ${source} of ${layer.name} (${count} ${noun}${count === 1 ? '' : 's'})${left}?`,
      choices: values.includes('unknown') ? values : [...values, '-'],
      option: 'value',
      entry: `${option}.${word}=ANSWER`,
    };
  });
}

/** Areas or lines whose file does not say what they are: a kind of works or, where none of them does, another role. */
export function kindQuestion(path: string, { layer, kindless }: LayerDescription): Question {
  const [some = 0, all = some] = (kindless ?? '').match(/\d+/g)?.map(Number) ?? [];
  const roles = some === all ? OTHER_ROLES : [];
  const else_ = roles.length === 0 ? '' : ', or what else are they';
  return {
    about: `works.${path}`,
    question: `${layer.name}: ${(kindless ?? '').replace(/ and w(as|ere) taken as .*/, '')}: which kind of works are they${else_}? - counts them as building`,
    choices: [...WORKS_KINDS, ...roles, '-'],
    option: 'works',
    entry: `ANSWER=${path}`,
  };
}

export function treesQuestion(): Question {
  return {
    about: 'trees',
    question: 'which file is the tree survey?',
    choices: [],
    option: 'trees',
    entry: 'ANSWER',
  };
}
