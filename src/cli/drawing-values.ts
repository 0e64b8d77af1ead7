// Options of --report and --plan. In: words of the command line; out: ReportOptions, or wrong usage. Terms: see
// report/report.ts.

import { DRAWINGS, type Drawing, PARTS, scaleNamed, sheetsNamed } from '../report/index.js';
import { didYouMean } from '../text/index.js';
import type { Takers } from './table/take.js';
import { usage } from './values.js';

/** Takers of what is drawn; what can be wrong with a word is said at once. */
export const REPORT: Takers<'assess', 'report'> = {
  sheet(sheet) {
    sheetsNamed(sheet);
    return { sheet };
  },
  scale(scale) {
    scaleNamed(scale);
    return { scale };
  },
  reportSheet(reportSheet) {
    sheetsNamed(reportSheet);
    return { reportSheet };
  },
  drawings: (words) => ({ drawings: wordsOf('--drawings', words, Object.keys(DRAWINGS) as Drawing[]) }),
  parts: (words) => ({ parts: wordsOf('--parts', words, PARTS) }),
  title: (title) => ({ title }),
  cards: (cards) => ({ cards: cardsOf(cards) }),
};

function cardsOf(text: string): number {
  const cards = text === 'all' ? Number.MAX_SAFE_INTEGER : /^\d+$/.test(text) ? Number(text) : Number.NaN;
  if (!Number.isSafeInteger(cards))
    throw usage('cards-unreadable', `"${text}" is not a number of cards`, 'write --cards 50, or --cards all');
  return cards;
}

/** A list of known words, each once. */
function wordsOf<const T extends string>(option: string, text: string, known: readonly T[]): readonly T[] {
  return [...new Set(text.split(',').map((one) => one.trim()))].map((one) => {
    const found = known.find((word) => word === one.toLowerCase());
    if (found === undefined)
      throw usage(
        'word-unknown',
        `${option}: "${one}" is not known`,
        `choose from ${known.join(', ')}${didYouMean(one, known)}`,
      );
    return found;
  });
}
