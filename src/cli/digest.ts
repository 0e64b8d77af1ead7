// Findings and errors -> stderr. In: findings, an InputError, a defect; out: text for a person.
// Terms: digest = counts per code with the first example of each, errors first; of words that are not known, every one;
// ending = the three that matter most, and where the rest stand. Linear in the findings.

import pc from 'picocolors';
import type { Finding, InputError, Severity } from '../model/index.js';
import { counted, printable } from '../text/index.js';

const ORDER: Readonly<Record<Severity, number>> = { error: 0, warning: 1, info: 2 };

/** Codes whose findings are one a word: each is shown, so that none hides behind the first. */
const WORD_BY_WORD: readonly string[] = ['disposition-unknown', 'value-unknown'];
/** Words of a code that are shown; the rest are counted. */
const MOST_WORDS = 12;

interface Group {
  readonly code: Finding['code'];
  readonly severity: Severity;
  readonly all: Finding[];
}

/** Findings by code, errors first. */
function groupsOf(findings: readonly Finding[]): Group[] {
  const codes = new Map<string, Group>();
  for (const one of findings) {
    const seen = codes.get(one.code);
    if (seen === undefined) codes.set(one.code, { code: one.code, severity: one.severity, all: [one] });
    else seen.all.push(one);
  }
  return [...codes.values()].sort((a, b) => ORDER[a.severity] - ORDER[b.severity]);
}

/** Counts per code, errors first, each code with its first example and the cure; '' when there are none. */
export function digest(findings: readonly Finding[], colour: boolean): string {
  const line = lineIn(colour);
  return groupsOf(findings)
    .map(({ code, all }) => {
      const shown = WORD_BY_WORD.includes(code) ? all.slice(0, MOST_WORDS) : all.slice(0, 1);
      const times = shown.length === 1 && all.length > 1 ? ` (${all.length} times; the first:)` : '';
      const rest = all.length - shown.length;
      const more = shown.length > 1 && rest > 0 ? `    and ${rest} more of ${code}\n` : '';
      return `${shown.map((one) => line(one, times)).join('')}${more}`;
    })
    .join('');
}

/** Shown whatever else there is: which rule was taken where none was chosen, and that no place keeps every tree. */
const ALWAYS: readonly Finding['code'][] = ['default-rule', 'siting-trade'];
/** Findings at the end of a run that are shown; the others stand in the file of findings. */
const MOST_IMPORTANT = 3;

/** What the ending of a run has to know beside the findings. */
export interface EndOptions {
  readonly colour: boolean;
  /** The file that all findings were written to; undefined where none was asked for. */
  readonly file?: string | undefined;
  /** What `--field` says: it is not told back. */
  readonly field?: readonly string[] | undefined;
}

/**
 * The findings that matter most, with their cures, and where the rest stand: by severity, then by how much of the job they
 * are about. What the options say themselves is not told back; which rule was taken where none was chosen always is.
 */
export function ending(findings: readonly Finding[], { colour, file, field = [] }: EndOptions): string {
  const news = findings.filter((one) => !isToldBack(one, field));
  const weighed = groupsOf(news).map((group) => ({ group, weight: weightOf(group) }));
  weighed.sort((a, b) => ORDER[a.group.severity] - ORDER[b.group.severity] || b.weight - a.weight);
  const top = weighed.slice(0, MOST_IMPORTANT);
  const line = lineIn(colour);
  const always = weighed.slice(MOST_IMPORTANT).filter(({ group }) => ALWAYS.includes(group.code));
  const shown = [...always, ...top].flatMap(({ group: { code, all } }) => {
    if (!WORD_BY_WORD.includes(code))
      return [line(all[0]!, all.length > 1 ? ` (${all.length} times; one of them:)` : '')];
    const words = [...all].sort((a, b) => about(b) - about(a)).slice(0, MOST_WORDS);
    return words.map((one) => line(one, ''));
  });
  const rest = news.length - shown.length;
  const where =
    file === undefined ? '--findings F.json writes them all' : `all are in ${file === '-' ? 'the output' : file}`;
  if (rest === 0 && (file === undefined || news.length === 0)) return shown.join('');
  const more = rest === 0 ? '' : `${counted(rest, 'more finding')}: `;
  return `${shown.join('')}${printable(`${more}${where}`)}\n`;
}

/** Whether a finding only repeats what an option says: a field that was named, a coordinate system that was given. */
function isToldBack({ code, message, cure }: Finding, fields: readonly string[]): boolean {
  if (code === 'crs-assigned') return /, by --(\w+-)?crs$/.test(message);
  if (code !== 'field-mapped') return false;
  const name = /^change --field ([\w.]+)=/.exec(cure)?.[1];
  return name !== undefined && fields.some((one) => one.toLowerCase().startsWith(`${name.toLowerCase()}=`));
}

function weightOf({ all }: Group): number {
  return all.reduce((sum, one) => sum + about(one), 0);
}

/** How many features a finding is about: as its message counts them, else one, or a whole layer. */
function about({ message, layer, feature }: Finding): number {
  const count = /(?:^|[ (])(\d+)(?: of \d+)? (?:trees?|features?|shapes?)\b/.exec(message)?.[1];
  if (count !== undefined) return Number(count);
  return layer !== null && feature === null ? Infinity : 1;
}

function lineIn(colour: boolean): (one: Finding, also: string) => string {
  const c = pc.createColors(colour);
  const paint: Readonly<Record<Severity, (text: string) => string>> = { error: c.red, warning: c.yellow, info: c.cyan };
  return (one, also) => {
    const place = placeOf(one);
    const head = `${paint[one.severity](one.severity)} ${one.code}${also}`;
    return `${head} ${place === '' ? '' : `${place}: `}${printable(one.message)}\n    ${c.dim(printable(one.cure))}\n`;
  };
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
