// Text of a table with quotes -> its records, cell by cell (RFC 4180). In: text and delimiter; out: rows of cells, or the
// line on which a quote is opened and never closed.
// Terms: stray quote = one inside a cell that was not opened by one (12" oak), or after which a cell goes on: it is text.

export type Quoted =
  | { readonly records: string[][] }
  | { readonly openedAt: number }
  /** The record, from 1, that has more cells than are wanted. */
  | { readonly wideAt: number };

const [QUOTE, LF, CR] = [0x22, 0x0a, 0x0d];

/**
 * Splits text into records. Lines end with CR LF, LF or CR; within quotes all of them are text, and two quotes are one.
 *
 * @param delimiter one character
 * @param most cells of a record
 * @example
 * quotedRecords('a,"b ""c"""\n', ','); // { records: [['a', 'b "c"']] }
 */
export function quotedRecords(text: string, delimiter: string, most: number = Number.POSITIVE_INFINITY): Quoted {
  const mark = delimiter.charCodeAt(0);
  const endsCell = (code: number): boolean => code === mark || code === LF || code === CR || Number.isNaN(code);
  const records: string[][] = [];
  let record: string[] = [];
  let at = 0;
  while (at < text.length) {
    let from = at;
    let cell = '';
    if (text.charCodeAt(at) === QUOTE) {
      const close = closingQuote(text, at + 1);
      if (close === -1) return { openedAt: lineAt(text, at) };
      const inner = text.slice(at + 1, close).replaceAll('""', '"');
      const whole = endsCell(text.charCodeAt(close + 1));
      cell = whole ? inner : `"${inner}`; // the cell goes on behind its quote: both quotes are text
      from = whole ? close + 1 : close;
      at = from;
    }
    while (!endsCell(text.charCodeAt(at))) at++;
    record.push(cell + text.slice(from, at));
    if (record.length > most) return { wideAt: records.length + 1 };
    const end = text.charCodeAt(at);
    if (end === mark) {
      at++;
      if (at < text.length) continue;
      record.push(''); // the text ends behind a delimiter
    } else if (end === CR && text.charCodeAt(at + 1) === LF) at += 2;
    else at++;
    records.push(record);
    record = [];
  }
  return { records };
}

/** The next quote that is not one of two; -1 for none. */
function closingQuote(text: string, from: number): number {
  let at = text.indexOf('"', from);
  while (at !== -1 && text.charCodeAt(at + 1) === QUOTE) at = text.indexOf('"', at + 2);
  return at;
}

/** The line of a place, from 1. */
function lineAt(text: string, place: number): number {
  return text.slice(0, place).split(/\r\n|\n|\r/).length;
}
