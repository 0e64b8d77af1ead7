// Property values: in: whatever a file holds; out: metres, text, flags.
// Terms: blank = not given (null, '', NaN); unreadable = something that should have been a number and is not;
// unitless = a bare number where neither the field's name nor an option says the unit.

import { lengthInMetres } from '../model/index.js';
import { type Words, wordKey } from './words/index.js';

/** Larger figures overflow when squared or written out; no length is so large. */
export const OVERFLOWS_M: number = 1e9;
/** Not a length: the caller adds a finding. Lengths are finite, so an infinity can mark this. */
export const UNREADABLE: number = Number.POSITIVE_INFINITY;
/** A number without a unit: the whole file can't be used. */
export const UNITLESS: number = Number.NEGATIVE_INFINITY;

/**
 * A length in metres: NaN when blank, UNREADABLE or UNITLESS as above. Text with its own unit (`24"`, "24 in")
 * keeps it whatever the field's name says. `metresPerUnit` is NaN where the unit is unknown; 0 needs none.
 *
 * @example
 * readLength('24,5', 0.01); // 0.245
 * readLength('24"', 0.01); // 0.6096
 * readLength('1,234', 1); // UNREADABLE: a thousand or one?
 */
export function readLength(value: unknown, metresPerUnit: number): number {
  if (typeof value === 'number') {
    if (Number.isNaN(value)) return Number.NaN;
    return Number.isFinite(value) ? scaled(value, metresPerUnit) : UNREADABLE;
  }
  if (value === null || value === undefined) return Number.NaN;
  if (typeof value !== 'string') return UNREADABLE;
  const text = value.trim();
  if (text === '') return Number.NaN;
  const plain = plainNumber(text);
  if (!Number.isNaN(plain)) return scaled(plain, metresPerUnit);
  if (text.length > 40) return UNREADABLE;
  const metres = lengthInMetres(text.includes('.') ? text : text.replace(',', '.'));
  return metres === undefined || !Number.isFinite(metres) ? UNREADABLE : metres;
}

function scaled(value: number, metresPerUnit: number): number {
  if (value === 0) return 0;
  return Number.isNaN(metresPerUnit) ? UNITLESS : value * metresPerUnit;
}

/** A decimal number, comma or point; NaN for anything else. "1,234" could be either of two numbers, so it is not read. */
function plainNumber(text: string): number {
  const value = Number(text);
  if (!Number.isNaN(value)) {
    // Number() also takes 0x10, 0b1, 0o7 and Infinity, which no surveyor writes
    const second = text.charCodeAt(1) | 32;
    const decimal = Number.isFinite(value) && second !== 120 && second !== 98 && second !== 111;
    return decimal ? value : Number.NaN;
  }
  const comma = text.indexOf(',');
  if (comma < 0 || text.includes('.') || text.indexOf(',', comma + 1) >= 0) return Number.NaN;
  const whole = text.slice(0, comma);
  if (text.length - comma - 1 === 3 && Number(whole) !== 0) return Number.NaN;
  const decimal = Number(`${whole}.${text.slice(comma + 1)}`);
  return Number.isFinite(decimal) ? decimal : Number.NaN;
}

/**
 * Stem diameters: "12;9;7", also separated by / + , or spaces, or a JSON array, or one number. Commas separate stems
 * unless another sign does; zeros are empty slots and are left out. Empty when blank; null when any stem is unreadable,
 * since the others alone would make the zone too small. A stem may be UNITLESS.
 */
export function readStems(value: unknown, metresPerUnit: number): number[] | null {
  if (value === null || value === undefined) return [];
  const parts = Array.isArray(value) ? (value as readonly unknown[]) : splitStems(value);
  const stems: number[] = [];
  for (const part of parts) {
    const metres = readLength(part, metresPerUnit);
    if (metres === UNITLESS) return [UNITLESS];
    if (metres >= OVERFLOWS_M || metres < 0) return null;
    if (metres > 0) stems.push(metres);
  }
  return stems;
}

function splitStems(value: unknown): readonly unknown[] {
  if (typeof value !== 'string') return [value];
  let text = value.trim();
  if (text.startsWith('[') && text.endsWith(']')) text = text.slice(1, -1);
  for (const sign of [';', '/', '+', ',']) if (text.includes(sign)) return text.split(sign);
  const words = text.split(/\s+/);
  return words.every((word) => !Number.isNaN(plainNumber(word))) ? words : [text];
}

/** Text, trimmed; undefined when blank or not text-like. */
export function readText(value: unknown): string | undefined {
  if (typeof value === 'string') {
    const text = value.trim();
    return text === '' ? undefined : text;
  }
  return typeof value === 'number' && !Number.isNaN(value) ? String(value) : undefined;
}

/** A value as a message shows it: short, quoted, never throwing. */
export function shown(value: unknown): string {
  let text: string;
  try {
    text = JSON.stringify(value) ?? typeof value;
  } catch {
    text = typeof value;
  }
  return text.length > 40 ? `${text.slice(0, 37)}...` : text;
}

const NOT_GIVEN = -1;
const NOT_KNOWN = -2;

/** Reads one of a few words, any case; remembers what it has seen, so that a million rows cost a look-up each. */
export class WordReader {
  readonly #words: Words;
  readonly #seen = new Map<unknown, number>();

  constructor(words: Words) {
    this.#words = words;
  }

  /** The word's code; -1 when blank, -2 when it is none of the words. */
  read(value: unknown): number {
    if (value === null || value === undefined) return NOT_GIVEN;
    const known = this.#seen.get(value);
    if (known !== undefined) return known;
    const code = this.#look(value);
    if (typeof value !== 'object' && this.#seen.size < 4096) this.#seen.set(value, code);
    return code;
  }

  #look(value: unknown): number {
    const text = typeof value === 'boolean' ? String(value) : readText(value);
    if (text === undefined) {
      return typeof value === 'object' ? NOT_KNOWN : NOT_GIVEN;
    }
    const word = wordKey(text);
    return Object.hasOwn(this.#words, word) ? this.#words[word]! : NOT_KNOWN;
  }
}
