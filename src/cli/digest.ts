// Findings and errors -> stderr. In: findings, an InputError, a defect; out: text for a person.
// Terms: digest = counts per code with the first example of each, errors first; of words that are not known, every one.
// Linear in the findings.

import pc from 'picocolors';
import type { Finding, InputError, Severity } from '../model/index.js';
import { printable } from '../text/index.js';

const ORDER: Readonly<Record<Severity, number>> = { error: 0, warning: 1, info: 2 };

/** Codes whose findings are one a word: each is shown, so that none hides behind the first. */
const WORD_BY_WORD: readonly string[] = ['disposition-unknown', 'value-unknown'];
/** Words of a code that are shown; the rest are counted. */
const MOST_WORDS = 12;

/** Counts per code, errors first, each code with its first example and the cure; '' when there are none. */
export function digest(findings: readonly Finding[], colour: boolean): string {
  const codes = new Map<string, { first: Finding; more: Finding[]; count: number }>();
  for (const one of findings) {
    const seen = codes.get(one.code);
    if (seen === undefined) codes.set(one.code, { first: one, more: [], count: 1 });
    else if (WORD_BY_WORD.includes(one.code) && seen.more.length + 1 < MOST_WORDS) seen.more.push(one);
    else seen.count++;
  }
  const c = pc.createColors(colour);
  const paint: Readonly<Record<Severity, (text: string) => string>> = { error: c.red, warning: c.yellow, info: c.cyan };
  const sorted = [...codes.values()].sort((a, b) => ORDER[a.first.severity] - ORDER[b.first.severity]);
  return sorted
    .map(({ first, more, count }) => {
      const line = (one: Finding, also: string): string => {
        const place = placeOf(one);
        const head = `${paint[one.severity](one.severity)} ${one.code}${also}`;
        return `${head} ${place === '' ? '' : `${place}: `}${printable(one.message)}\n    ${c.dim(printable(one.cure))}\n`;
      };
      const times = more.length === 0 && count > 1 ? ` (${count} times; the first:)` : '';
      const rest = more.length > 0 && count > 1 ? `    and ${count - 1} more of ${first.code}\n` : '';
      return `${line(first, times)}${more.map((one) => line(one, '')).join('')}${rest}`;
    })
    .join('');
}

function placeOf(at: Pick<Finding, 'layer' | 'feature' | 'path'> & { readonly id?: string | null }): string {
  const id = at.id == null ? '' : ` (${at.id})`;
  const parts = [at.layer, at.feature === null ? null : `feature ${at.feature}${id}`, at.path];
  return printable(parts.filter((part) => part !== null).join(', '));
}

/** What can't be used and how to fix it; no stack, because the user can fix it. */
export function inputErrorText(error: InputError, colour: boolean): string {
  const c = pc.createColors(colour);
  const place = placeOf(error);
  const where = place === '' || error.message.includes(place) ? '' : `\n    at ${place}`;
  return `${c.red('error')} ${error.code}: ${printable(error.message)}${where}\n    ${printable(error.cure)}\n`;
}

/** A defect of ours: short, with what a report needs. */
export function defectText(error: unknown): string {
  const stack = error instanceof Error ? (error.stack ?? error.message) : String(error);
  return `This is a defect of rootberth, not a fault in your files. Please report it with these lines and the command you gave:\n${stack}\n`;
}
