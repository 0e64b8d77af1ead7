// Options of --report and --plan. In: words of the command line; out: ReportOptions, or wrong usage. Terms: see
// report/report.ts.

import { scaleNamed, sheetsNamed } from '../report/index.js';
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
  title: (title) => ({ title }),
  cards: (cards) => ({ cards: cardsOf(cards) }),
};

function cardsOf(text: string): number {
  const cards = text === 'all' ? Number.MAX_SAFE_INTEGER : /^\d+$/.test(text) ? Number(text) : Number.NaN;
  if (!Number.isSafeInteger(cards))
    throw usage('cards-unreadable', `"${text}" is no number of cards`, 'write --cards 50, or --cards all');
  return cards;
}
