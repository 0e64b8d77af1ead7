// Values -> .dbf (dBASE III table, UTF-8). In: a table's fields and values; out: a file, and what did not fit.
// Terms: width = bytes of a field, found by looking through all values beforehand; text longer than 254 bytes is cut.

import { type Finding, finding } from '../../model/index.js';
import type { RoleTable, Value } from '../../write/index.js';
import { ByteFile } from './byte-file.js';
import { shortNames } from './short-names.js';
import { LARGEST, tooLarge } from './shp.js';

const MOST_TEXT = 254;
/** The digits of a number that common programs read. */
const MOST_NUMBER = 24;
const MOST_DECIMALS = 15;

const encoder = new TextEncoder();

/** One field of the table and how its values become bytes. */
export class DbfField {
  readonly name: string;
  readonly short: string;
  readonly kind: 'C' | 'N' | 'L';
  width = 1;
  decimals = 0;
  #integers = 1; // digits and sign before the point
  #cut = 0;
  #firstCut = '';

  constructor(name: string, short: string, kind: 'C' | 'N' | 'L') {
    this.name = name;
    this.short = short;
    this.kind = kind;
  }

  /** Widens the field so that a value fits. */
  take(value: Value): void {
    if (value === null || this.kind === 'L') return;
    if (this.kind === 'C') {
      const text = String(value);
      const bytes = text.length * 3 <= this.width ? 0 : encoder.encode(text).length;
      this.width = Math.max(this.width, Math.min(bytes, MOST_TEXT));
      return;
    }
    const [integer = '', decimals = ''] = plainDigits(value).split('.');
    this.#integers = Math.max(this.#integers, integer.length);
    this.decimals = Math.max(this.decimals, decimals.length);
    const point = this.decimals === 0 ? 0 : this.decimals + 1;
    this.width = Math.min(this.#integers + point, MOST_NUMBER);
    this.decimals = Math.max(0, Math.min(this.decimals, this.width - this.#integers - 1));
  }

  bytes(value: Value): Uint8Array {
    const out = new Uint8Array(this.width).fill(0x20);
    if (value === null) return this.kind === 'L' ? out.fill(0x3f) : out; // "?": not known
    if (this.kind === 'L') return out.fill(value === true ? 0x54 : 0x46); // T, F
    if (this.kind === 'N') {
      const text = typeof value === 'number' ? value.toFixed(this.decimals) : String(value);
      const fits = text.length <= this.width ? text : Number(value).toExponential(this.width - 8);
      out.set(encoder.encode(fits.padStart(this.width).slice(0, this.width)));
      return out;
    }
    const text = encoder.encode(String(value));
    if (text.length > this.width) {
      if (this.#cut++ === 0) this.#firstCut = String(value).slice(0, 40);
    }
    out.set(text.subarray(0, wholeLetters(text, this.width)));
    return out;
  }

  /** What was cut, in one finding. */
  findings(layer: string): Finding[] {
    if (this.#cut === 0) return [];
    const message = `${this.name}: ${this.#cut} values are longer than the ${MOST_TEXT} bytes a shapefile holds and were cut (first: ${JSON.stringify(this.#firstCut)}...)`;
    return [
      finding('text-truncated', { layer, path: `properties.${this.name}` }, message, 'write a GeoPackage instead'),
    ];
  }
}

/** Digits of a number without exponent, at most 15 after the point. */
function plainDigits(value: Value): string {
  const text = String(value);
  if (!/e/.test(text)) return text.replace(/(\.\d{15})\d+/, '$1');
  return Number(value)
    .toFixed(MOST_DECIMALS)
    .replace(/\.?0+$/, '');
}

/** The longest run of whole letters within `most` bytes of UTF-8. */
function wholeLetters(text: Uint8Array, most: number): number {
  if (text.length <= most) return text.length;
  let end = most;
  while (end > 0 && (text[end]! & 0xc0) === 0x80) end--;
  return end;
}

const KINDS = { text: 'C', integer: 'N', real: 'N', boolean: 'L' } as const;

/** The fields of a table with widths for all its values. */
export function dbfFields(table: RoleTable, prefix: string): DbfField[] {
  const short = shortNames(table.fields, prefix);
  const fields = table.fields.map(({ name, type }, i) => new DbfField(name, short[i]!, KINDS[type]));
  for (const values of table.rows()) {
    for (let i = 0; i < fields.length; i++) fields[i]?.take(values[i] ?? null);
  }
  return fields;
}

export class DbfWriter {
  readonly #file: ByteFile;
  readonly #fields: readonly DbfField[];
  #count = 0;

  constructor(path: string, fields: readonly DbfField[]) {
    this.#fields = fields;
    this.#file = new ByteFile(path);
    this.#file.write(this.#header());
  }

  add(values: readonly Value[]): void {
    this.#count++;
    this.#file.write(Uint8Array.of(0x20)); // not deleted
    this.#fields.forEach((field, i) => {
      this.#file.write(field.bytes(values[i] ?? null));
    });
    if (this.#file.length > LARGEST) throw tooLarge('the table');
  }

  finish(): void {
    this.#file.write(Uint8Array.of(0x1a));
    this.#file.patch(0, this.#header());
    this.#file.close();
  }

  #header(): Uint8Array {
    const length = 32 + 32 * this.#fields.length + 1;
    const bytes = new Uint8Array(length);
    const view = new DataView(bytes.buffer);
    bytes.set([3, 80, 1, 1]); // dBASE III; a fixed date: the same job gives the same bytes
    view.setUint32(4, this.#count, true);
    view.setUint16(8, length, true);
    view.setUint16(10, 1 + this.#fields.reduce((sum, field) => sum + field.width, 0), true);
    this.#fields.forEach((field, i) => {
      const at = 32 + 32 * i;
      bytes.set(encoder.encode(field.short), at);
      bytes[at + 11] = field.kind.charCodeAt(0);
      bytes[at + 16] = field.width;
      bytes[at + 17] = field.decimals;
    });
    bytes[length - 1] = 0x0d;
    return bytes;
  }
}
