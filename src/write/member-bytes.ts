// The columns of a role straight into bytes: in: typed columns, then one record after another; out: `"rb_role":"tree",...`
// in a ByteText, byte for byte the text of membersOf.
// Terms: stretch = columns of figures next to each other that are all 0 for a record: copied in one go. Half the trees of
// a city have no works near them, and most of what is written for them is such a stretch.

import type { ByteText } from './byte-text.js';
import { type Column, keyOf } from './column.js';
import { jsonText } from './json.js';

const encoder = new TextEncoder();
const NULL = encoder.encode('null');
const QUOTE = 0x22;

type Write<T> = (of: T, out: ByteText) => void;

/** The function that writes all columns of a record. */
export function memberBytes<T>(prefix: string, columns: readonly Column<T>[]): Write<T> {
  const writers: Write<T>[] = [];
  for (let i = 0; i < columns.length; ) {
    let end = i + 1;
    while (columns[i]?.type === 'real' && columns[end]?.type === 'real') end++;
    const keys = columns.slice(i, end).map((c, k) => `${i + k === 0 ? '' : ','}${jsonText(keyOf(c, prefix))}:`);
    writers.push(columns[i]?.type === 'real' ? figures(keys, columns.slice(i, end)) : single(keys, columns[i]));
    i = end;
  }
  return (of, out) => {
    for (const write of writers) write(of, out);
  };
}

/** Columns of figures next to each other. */
function figures<T>(keys: readonly string[], columns: readonly Column<T>[]): Write<T> {
  const values = columns.map(({ value }) => value as (of: T) => number | null);
  const encoded = keys.map((key) => encoder.encode(key));
  const zeros = encoder.encode(keys.map((key) => `${key}0`).join(''));
  const zerosStart = new Uint32Array(keys.length + 1);
  encoded.forEach((key, i) => {
    zerosStart[i + 1] = zerosStart[i]! + key.length + 1;
  });
  return (of, out) => {
    let stretch = 0; // columns before this one that are 0 and not written yet
    for (let i = 0; i < values.length; i++) {
      const value = values[i]!(of);
      if (value === 0) {
        stretch++;
        continue;
      }
      if (stretch > 0) out.bytes(zeros, zerosStart[i - stretch], zerosStart[i]);
      stretch = 0;
      out.bytes(encoded[i]!);
      if (value === null) out.bytes(NULL);
      else out.rounded(value, 6);
    }
    if (stretch > 0) out.bytes(zeros, zerosStart[values.length - stretch], zerosStart[values.length]);
  };
}

function single<T>(keys: readonly string[], column: Column<T> | undefined): Write<T> {
  const key = encoder.encode(keys[0]);
  if (column?.type === 'boolean') {
    return (of, out) => {
      out.bytes(key);
      out.text(String(column.value(of)));
    };
  }
  if (column?.type !== 'text') throw new Error('a figure is not text'); // figures go the other way
  const { value, numbered, unlike } = column;
  if (numbered !== undefined) {
    const before = encoder.encode(`${keys[0]}"${numbered.before}`);
    return (of, out) => {
      out.bytes(before);
      out.count(numbered.row(of));
      out.byte(QUOTE);
    };
  }
  return (of, out) => {
    out.bytes(key);
    const text = value(of);
    if (text === null) out.bytes(NULL);
    else if (unlike === true) out.jsonOnce(text);
    else out.json(text);
  };
}
