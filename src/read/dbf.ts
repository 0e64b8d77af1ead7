// dBASE table (.dbf) -> one properties object per record. In: the table's bytes and its .cpg; out: records, findings.
// Layout: dBASE III: 32-byte header, 32-byte field descriptors, 0x0D, records of fixed length, each after a flag byte.
// Terms: N/F number, C text, D date YYYYMMDD, L logical. Blank, zero and unreadable are three things:
// blank -> null, zero -> 0, unreadable -> null with a finding.

import type { Properties } from '../model/index.js';
import { type Finding, type FindingCode, finding, InputError } from '../model/index.js';
import { encodingNamed, encodingOfLanguage, sourceEncoding, type TableEncoding } from './encoding.js';
import { uniqueNames } from './names.js';
import type { ByteSource } from './source.js';

/** A table that has been opened; records are decoded one by one. */
export interface DbfTable {
  readonly count: number; // rows that can be read
  /** Why rows are missing, in words; '' when no rows are missing. */
  readonly damage: string;
  readonly fields: readonly string[];
  /** The record's values; problems go to `findings` with the feature's number. */
  record(index: number, findings: Finding[]): Properties;
}

interface Field {
  readonly name: string;
  readonly type: string;
  readonly start: number; // within the record
  readonly length: number;
}

/** What a cell's text means: its value, or a value and a problem to report. */
type Cell = { readonly value: unknown; readonly problem?: FindingCode };

const NUMBER = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?$/;

const CELLS: Readonly<Record<string, (text: string) => Cell>> = {
  N: numberCell,
  F: numberCell,
  C: (text) => ({ value: text.trimEnd() === '' ? null : text.trimEnd() }),
  D: dateCell,
  L: logicalCell,
};

/** How many records a table's header states; undefined when it is not a header. */
export function rowsStated(file: ByteSource): number | undefined {
  const head = file.at(0, 12);
  return head.length < 12 ? undefined : new DataView(head.buffer, head.byteOffset).getUint32(4, true);
}

/**
 * Opens a table.
 *
 * @param findings takes `encoding-assumed` where neither .cpg nor language byte says the encoding
 * @param salvage a table that is cut off is read up to the cut
 * @throws InputError `dbf-broken` (no table), `dbf-truncated` (records are missing)
 */
export function openDbf(
  file: ByteSource,
  cpg: string | undefined,
  layer: string,
  findings: Finding[],
  salvage: boolean = false,
): DbfTable {
  const refuse = (code: string, message: string): never => {
    throw new InputError(code, `${layer}: ${message}`, {
      layer,
      cure: 'copy or export the .dbf again with all its parts; --salvage reads what is left',
    });
  };
  const start = file.at(0, 32).slice();
  if (file.size < 33) refuse('dbf-truncated', `the .dbf is cut off (${file.size} bytes)`);
  const view = new DataView(start.buffer);
  const stated = view.getUint32(4, true);
  const headerLength = view.getUint16(8, true);
  const recordLength = view.getUint16(10, true);
  if (headerLength < 33 || recordLength < 1) refuse('dbf-broken', 'the .dbf is not a dBASE table');
  const needed = headerLength + stated * recordLength;
  if (file.size < needed && !salvage) {
    refuse('dbf-truncated', `the .dbf is cut off: ${stated} records need ${needed} bytes, it has ${file.size}`);
  }
  // A table that was not closed properly states too few records, so salvage uses its size.
  const room = Math.max(0, Math.floor((file.size - headerLength) / recordLength));
  const count = salvage && stated < room ? room : Math.min(stated, room);
  const encoding = tableEncoding(file, start[29]!, headerLength, headerLength + count * recordLength, {
    cpg,
    layer,
    findings,
  });
  const fields = readFields(file.at(0, headerLength).slice(), headerLength, encoding);
  const last = fields.at(-1);
  if (last !== undefined && last.start + last.length > recordLength) {
    refuse('dbf-broken', 'the fields of the .dbf are longer than its records');
  }
  return {
    count,
    damage: stated <= count ? '' : `the .dbf is cut off after record ${count} of ${stated}`,
    fields: fields.map((f) => f.name),
    record: (index, into) => {
      const bytes = file.at(headerLength + index * recordLength, recordLength);
      return readRecord(bytes, fields, encoding, { layer, feature: index }, into);
    },
  };
}

function readFields(bytes: Uint8Array, headerLength: number, encoding: TableEncoding): Field[] {
  const raw: { name: string; type: string; length: number }[] = [];
  for (let at = 32; at + 32 <= Math.min(headerLength, bytes.length) && bytes[at] !== 0x0d; at += 32) {
    const end = bytes.subarray(at, at + 11).indexOf(0);
    const type = String.fromCharCode(bytes[at + 11]!).toUpperCase();
    // A text field longer than 255 keeps the high byte of its length where numbers keep their decimals.
    const high = type === 'C' ? bytes[at + 17]! << 8 : 0;
    raw.push({
      name: encoding.decode(bytes.subarray(at, at + (end === -1 ? 11 : end))),
      type,
      length: bytes[at + 16]! + high,
    });
  }
  const names = uniqueNames(raw.map((f) => f.name));
  let start = 1; // behind the flag byte
  return raw.map((f, i) => {
    const field = { name: names[i]!, type: f.type, start, length: f.length };
    start += f.length;
    return field;
  });
}

function readRecord(
  bytes: Uint8Array,
  fields: readonly Field[],
  encoding: TableEncoding,
  place: { readonly layer: string; readonly feature: number },
  findings: Finding[],
): Properties {
  // Plain ASCII (nearly every record) is decoded in one go: a letter is then a byte, and cells are slices of the text.
  const ascii = isAscii(bytes) ? String.fromCharCode.apply(null, bytes as unknown as number[]) : undefined;
  const properties: Record<string, unknown> = {};
  for (const field of fields) {
    const end = field.start + field.length;
    const raw = ascii?.slice(field.start, end) ?? encoding.decode(bytes.subarray(field.start, end));
    const text = raw.includes('\0') ? raw.slice(0, raw.indexOf('\0')) : raw;
    const cell = (CELLS[field.type] ?? CELLS.C!)(text);
    properties[field.name] = cell.value;
    if (cell.problem !== undefined) {
      findings.push(
        finding(
          cell.problem,
          { ...place, path: `record ${place.feature + 1}, field "${field.name}"` },
          `field "${field.name}" of record ${place.feature + 1} holds ${JSON.stringify(text.trim())}`,
          'correct it in the source, or clear the field',
        ),
      );
    }
  }
  if (bytes[0] === 0x2a) {
    findings.push(
      finding(
        'record-deleted',
        { ...place, path: `record ${place.feature + 1}` },
        `record ${place.feature + 1} is marked as deleted in the .dbf; it was kept`,
        'pack the table to remove it, or clear the mark',
      ),
    );
  }
  return properties;
}

function numberCell(raw: string): Cell {
  const text = raw.trim();
  if (text === '') return { value: null };
  if (!NUMBER.test(text)) return { value: null, problem: 'number-unreadable' }; // words, and ***** for an overflow
  const value = Number(text);
  if (!Number.isFinite(value)) return { value: null, problem: 'number-unreadable' };
  // A whole number beyond 2^53 (a long parcel number) keeps its digits as text.
  return { value: Number.isInteger(value) && !Number.isSafeInteger(value) && /^[+-]?\d+$/.test(text) ? text : value };
}

function dateCell(raw: string): Cell {
  const text = raw.trim();
  if (text === '' || /^0+$/.test(text)) return { value: null };
  const match = /^(\d{4})(\d{2})(\d{2})$/.exec(text);
  if (match === null || !isDay(match)) return { value: text, problem: 'value-unknown' };
  return { value: `${match[1]}-${match[2]}-${match[3]}` };
}

function isDay([, , month, day]: RegExpExecArray): boolean {
  return Number(month) >= 1 && Number(month) <= 12 && Number(day) >= 1 && Number(day) <= 31;
}

function logicalCell(raw: string): Cell {
  const text = raw.trim();
  if (text === '' || text === '?') return { value: null };
  if (/^[TtYy]$/.test(text)) return { value: true };
  if (/^[FfNn]$/.test(text)) return { value: false };
  return { value: null, problem: 'value-unknown' };
}

function isAscii(bytes: Uint8Array): boolean {
  for (let i = 0; i < bytes.length; i++) if (bytes[i]! > 127) return false;
  return true;
}

/** .cpg, then the language byte, then UTF-8 where every byte fits it, else windows-1252 with a finding. */
function tableEncoding(
  file: ByteSource,
  language: number,
  from: number,
  to: number,
  about: { readonly cpg: string | undefined; readonly layer: string; readonly findings: Finding[] },
): TableEncoding {
  const { cpg = '', layer, findings } = about;
  const named = cpg.trim() === '' ? undefined : encodingNamed(cpg);
  const stated = named ?? encodingOfLanguage(language);
  if (stated !== undefined && stated.name !== 'utf-8') return stated;
  const guess = sourceEncoding(file, from, to);
  // There is nothing to guess, or it is UTF-8 as stated. Text wrongly stated as UTF-8 would become question marks.
  if (guess === 'ascii' || (stated !== undefined && guess === 'utf-8')) return encodingNamed('utf-8')!;
  const why =
    stated !== undefined
      ? `the .cpg says ${JSON.stringify(cpg)}, but the text of the .dbf is not UTF-8`
      : cpg.trim() !== ''
        ? `the .cpg says ${JSON.stringify(cpg)}, which is not a known encoding`
        : 'nothing says how the text of the .dbf is encoded';
  findings.push(
    finding(
      'encoding-assumed',
      { layer },
      `${why}; it was read as ${guess === 'utf-8' ? 'UTF-8' : guess}`,
      'check accented letters; put a .cpg file with the encoding beside the .dbf if they are wrong',
    ),
  );
  return encodingNamed(guess)!;
}
