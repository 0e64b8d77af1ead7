// Survey dates: in: the `surveyed` field of each tree, today's date and the age that is allowed; out: one finding on
// the trees surveyed longer ago, one on the dates that can't be read.
// Terms: day = days since 1970-01-01; a date of less than a day (2024, 2024-05) counts as its last.

import type { Layer } from '../model/index.js';
import { InputError } from '../model/index.js';
import { someOf } from '../text/index.js';
import type { SourceField } from './fields.js';
import type { Reporter } from './reporter.js';
import { shown } from './values.js';

/** After this long a new survey is asked for (common practice, no source). */
export const SURVEY_AGE_MONTHS = 24;

export interface SurveyAge {
  /** `2026-10-01`; without it no date is judged: the core has no clock. */
  readonly today?: string;
  readonly surveyAgeMonths?: number;
}

/** Reports which trees were surveyed longer ago than allowed; reports nothing without dates or without `today`. */
export function tellOldSurvey(
  layer: Layer,
  sources: readonly SourceField[] | undefined,
  { today, surveyAgeMonths = SURVEY_AGE_MONTHS }: SurveyAge,
  out: Reporter,
): void {
  if (today === undefined || sources === undefined) return;
  const limit = limitDay(today, surveyAgeMonths);
  const days = new Map<unknown, number | null | undefined>(); // a survey has few dates
  const old = { count: 0, row: -1, day: Number.POSITIVE_INFINITY, value: '' as unknown };
  const unread = { count: 0, row: -1, value: '' as unknown };
  for (let row = 0; row < layer.count; row++) {
    const value = firstGiven(layer, sources, row);
    let day = days.get(value);
    if (day === undefined) {
      day = dayOf(value) ?? null;
      if (days.size < 4096) days.set(value, day);
    }
    if (day === null) {
      if (!isBlank(value) && unread.count++ === 0) Object.assign(unread, { row, value });
    } else if (day < limit) {
      old.count++;
      if (day < old.day) Object.assign(old, { row, day, value });
    }
  }
  const field = sources[0]?.name ?? 'surveyed';
  const path = `properties.${field}`;
  if (old.count > 0) {
    const when = `surveyed more than ${ageWords(surveyAgeMonths)} before ${today}; the oldest on ${String(old.value)}`;
    const message = someOf(old.count, layer.count, 'tree', `was ${when}`, `were ${when}`);
    const cure = 'have the trees surveyed again; --survey-age sets another age';
    out.say('survey-old', old.row, path, message, cure);
  }
  if (unread.count > 0) {
    const message = `survey dates that can't be read: ${unread.count} of ${layer.count}, the first ${shown(unread.value)}; their age was not checked`;
    out.say('value-unknown', unread.row, path, message, 'write dates as 2026-03-01');
  }
}

function firstGiven(layer: Layer, sources: readonly SourceField[], row: number): unknown {
  for (const source of sources) {
    const value = layer.value(row, source.name);
    if (!isBlank(value)) return value;
  }
  return undefined;
}

function isBlank(value: unknown): boolean {
  return value === undefined || value === null || (typeof value === 'string' && value.trim() === '');
}

function ageWords(months: number): string {
  const years = months / 12;
  if (!Number.isInteger(years)) return `${months} months`;
  return years === 1 ? 'a year' : `${years} years`;
}

/** The first day that is not too long ago. */
function limitDay(today: string, months: number): number {
  const match = /^(\d{4})-(\d\d)-(\d\d)$/.exec(today);
  const [year, month, day] = [Number(match?.[1]), Number(match?.[2]), Number(match?.[3])];
  if (Number.isNaN(dayNumber(year, month, day)) || !(months >= 0)) {
    const message = `"${today}" with an age of ${months} months is not a date from which a survey's age can be counted`;
    throw new InputError('date-invalid', message, { cure: 'write the date as 2026-10-01', usage: true });
  }
  const back = year * 12 + month - 1 - Math.floor(months);
  const [y, m] = [Math.floor(back / 12), (((back % 12) + 12) % 12) + 1];
  return dayNumber(y, m, Math.min(day, lastOf(y, m)));
}

const MONTHS = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec'];

/**
 * The day of a date as surveys write it; undefined when it is not a date. Where day and month could be swapped (03/04/2024),
 * the later of the two days: a guess never makes a survey old.
 *
 * @example
 * dayOf('1970-01-02'); // 1
 * dayOf('03/04/2024') === dayOf('2024-04-03'); // true: the other reading, March 4, is the earlier
 */
export function dayOf(value: unknown): number | undefined {
  const text = typeof value === 'number' ? String(value) : typeof value === 'string' ? value.trim().slice(0, 40) : '';
  const n = (part: string | undefined): number => Number(part);
  const iso = /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ].*)?$/.exec(text) ?? /^(\d{4})(\d\d)(\d\d)$/.exec(text);
  if (iso !== null) return found(dayNumber(n(iso[1]), n(iso[2]), n(iso[3])));
  const short = /^((?:19|20)\d\d)(?:[-/.](\d{1,2}))?$/.exec(text);
  if (short !== null) {
    const [year, month] = [n(short[1]), short[2] === undefined ? 12 : n(short[2])];
    return found(dayNumber(year, month, lastOf(year, month)));
  }
  const dotted = /^(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})$/.exec(text); // day first wherever dots are written
  if (dotted !== null) return found(dayNumber(n(dotted[3]), n(dotted[2]), n(dotted[1])));
  const slashed = /^(\d{1,2})[-/](\d{1,2})[-/](\d{4})(?:[T ].*)?$/.exec(text);
  if (slashed !== null) {
    const [a, b, year] = [n(slashed[1]), n(slashed[2]), n(slashed[3])];
    const either = [dayNumber(year, a, b), dayNumber(year, b, a)].filter((day) => !Number.isNaN(day));
    return either.length === 0 ? undefined : Math.max(...either);
  }
  const named = /^(\d{1,2})[ -]([a-z]{3})[a-z]*\.?[ ,-]+(\d{4})$/i.exec(text);
  if (named !== null) return found(dayNumber(n(named[3]), monthNamed(named[2]), n(named[1])));
  const monthFirst = /^([a-z]{3})[a-z]*\.? (\d{1,2}),? (\d{4})$/i.exec(text);
  if (monthFirst !== null) return found(dayNumber(n(monthFirst[3]), monthNamed(monthFirst[1]), n(monthFirst[2])));
  return undefined;
}

function monthNamed(text: string | undefined): number {
  return MONTHS.indexOf((text ?? '').toLowerCase()) + 1;
}

function found(day: number): number | undefined {
  return Number.isNaN(day) ? undefined : day;
}

/** Days in a month. */
function lastOf(year: number, month: number): number {
  return new Date(Date.UTC(year, month, 0)).getUTCDate();
}

/** NaN for a day that does not exist. */
function dayNumber(year: number, month: number, day: number): number {
  if (!(month >= 1 && month <= 12 && day >= 1 && day <= lastOf(year, month))) return Number.NaN;
  return Date.UTC(year, month - 1, day) / 86_400_000;
}
