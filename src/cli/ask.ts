// Questions on a terminal, one after the other. In: questions, lines that a person types, where to print; out: an answer to
// each, or undefined where the lines end first. Terms: see job-questions.ts. At most three tries for a question.

import { createInterface } from 'node:readline';
import type { Readable } from 'node:stream';
import type { Question } from '../describe/index.js';
import { didYouMean, printable } from '../text/index.js';
import { answerOf } from './job-questions.js';

const TRIES = 3;
/** No answer is longer. */
const LONGEST = 1000;

/**
 * Asks until every question is answered.
 *
 * @example
 * await askAll([question], Readable.from(['keep\n']), (text) => process.stderr.write(text)); // ['keep']
 */
export async function askAll(
  questions: readonly Question[],
  input: Readable,
  say: (text: string) => void,
): Promise<readonly string[] | undefined> {
  const reader = createInterface({ input, terminal: false });
  const lines = reader[Symbol.asyncIterator]();
  try {
    const answers: string[] = [];
    for (const [i, question] of questions.entries()) {
      say(`${questions.length === 1 ? '' : `${i + 1} of ${questions.length}: `}${printable(question.question)}\n`);
      const answer = await askOne(question, lines, say);
      if (answer === undefined) return undefined;
      answers.push(answer);
    }
    return answers;
  } finally {
    reader.close();
  }
}

async function askOne(
  question: Question,
  lines: AsyncIterator<string>,
  say: (text: string) => void,
): Promise<string | undefined> {
  const { choices } = question;
  if (choices.length > 0) say(`${choices.map((one, i) => `  ${i + 1} ${printable(one)}\n`).join('')}`);
  for (let tries = 0; tries < TRIES; tries++) {
    say('> ');
    const { value, done } = await lines.next();
    if (done === true) return undefined;
    const answer = value.length > LONGEST ? undefined : answerOf(question, value);
    if (answer !== undefined) return answer;
    const near = choices.length === 0 || value.length > LONGEST ? '' : didYouMean(value, [...choices]);
    say(`${choices.length === 0 ? 'write an answer' : 'write one of the choices, or its number'}${near}\n`);
  }
  return undefined;
}
