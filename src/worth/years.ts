// Years as surveys write them. In: text; out: from and to, or null where it can't be read. Terms: see model/worth.ts.
// Constant: a text of more than 40 letters is not read.

import type { Years } from '../model/index.js';

const NUMBER = String.raw`(\d{1,4}(?:\.\d+)?)`;
const UNIT = String.raw`\s*(?:years?|yrs?|yr\.|y|a)?\.?`;
const AT_LEAST = new RegExp(
  `^(?:(?:>=|>|≥|over|more than|at least|min\\.?|from)\\s*${NUMBER}\\+?|${NUMBER}\\s*(?:\\+|plus|or more|and more|and over))${UNIT}$`,
);
const AT_MOST = new RegExp(
  `^(?:<=|<|≤|under|less than|at most|up to|max\\.?|below|not more than|not longer than)\\s*${NUMBER}${UNIT}$`,
);
const OR_LESS = new RegExp(`^${NUMBER}${UNIT}\\s*or (?:less|fewer|under)$`);
const BETWEEN = new RegExp(`^(?:between\\s+)?${NUMBER}\\s*(?:-|–|—|to|and|/|\\.\\.)\\s*${NUMBER}${UNIT}$`);
const ABOUT = new RegExp(`^(?:about|approx\\.?|approximately|around|circa|ca\\.?|c\\.|~)?\\s*${NUMBER}${UNIT}$`);
const LEAST_AFTER = new RegExp(`^${NUMBER}${UNIT}\\s*(?:\\+|plus|or more)$`);

/**
 * Years from a text: `15`, `10-20`, `20+`, `>40`, `at least 40 years`, `<10`, `up to 10`.
 *
 * @returns null where the text is none of these, or its ends are turned round
 * @example
 * yearsOf('20+ yrs'); // { from: 20, to: null }
 */
export function yearsOf(text: string): Years | null {
  const said = text.trim().toLowerCase().replace(/\s+/g, ' ');
  if (said.length > 40) return null;
  const most = AT_MOST.exec(said) ?? OR_LESS.exec(said);
  if (most !== null) return { from: null, to: Number(most[1]) };
  const least = AT_LEAST.exec(said) ?? LEAST_AFTER.exec(said);
  if (least !== null) return { from: Number(least[1] ?? least[2]), to: null };
  const between = BETWEEN.exec(said);
  if (between !== null) {
    const [from, to] = [Number(between[1]), Number(between[2])];
    return from <= to ? { from, to } : null;
  }
  const about = ABOUT.exec(said);
  return about === null ? null : { from: Number(about[1]), to: Number(about[1]) };
}
