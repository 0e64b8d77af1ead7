// Bytes -> text: in: a file's bytes; out: its text and what had to be assumed to read it.
// Terms: BOM = byte order mark, three bytes EF BB BF before UTF-8 text.
// UTF-8 is tried strictly; bytes that are not UTF-8 are read as windows-1252, with a finding.

import { type Finding, finding, InputError } from '../model/index.js';

/** Number of bytes of a UTF-8 byte order mark at the start: 3 or 0. */
export function bomLength(bytes: Uint8Array): number {
  return bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0;
}

/** The encoding that a UTF-16 byte order mark states; undefined without one. */
export function utf16Of(bytes: Uint8Array): 'utf-16le' | 'utf-16be' | undefined {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return 'utf-16le';
  return bytes[0] === 0xfe && bytes[1] === 0xff ? 'utf-16be' : undefined;
}

/** Up to `length` bytes from the start as text, for telling formats apart; never throws. */
export function headText(bytes: Uint8Array, length: number = 4096): string {
  const start = bytes.subarray(0, bomLength(bytes) + length);
  const wide = utf16Of(bytes);
  // XML says its own encoding; any other text in UTF-16 is refused by name (foreign.ts).
  const xml = wide === undefined ? '' : new TextDecoder(wide).decode(start);
  return /^\s*</.test(xml) ? xml : new TextDecoder('utf-8').decode(start);
}

/**
 * A whole file as text.
 *
 * @returns the text without BOM, and a finding when it was not UTF-8
 * @throws InputError `file-too-large` when it does not fit one string
 * @example
 * decodeText(new TextEncoder().encode('tag,x,y'), 'trees.csv').text; // 'tag,x,y'
 */
export function decodeText(bytes: Uint8Array, layer: string): { text: string; findings: Finding[] } {
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes), findings: [] };
  } catch {
    // Not UTF-8, or longer than a string may be (the second try decides which).
  }
  try {
    return {
      text: new TextDecoder('windows-1252').decode(bytes),
      findings: [
        finding(
          'encoding-assumed',
          { layer },
          'the text is not UTF-8; it was read as windows-1252 (Western European)',
          'check accented letters in names; save the file as UTF-8 if they are wrong',
        ),
      ],
    };
  } catch {
    throw new InputError('file-too-large', `${layer} is too large to be read as one text (${bytes.length} bytes)`, {
      layer,
      cure: 'save it as newline-delimited GeoJSON (one feature a line), or as a shapefile, or split it',
    });
  }
}

/** Line and column, both from 1, of a position in a text. */
export function lineAndColumn(text: string, position: number): { line: number; column: number } {
  let line = 1;
  let start = 0;
  for (let i = text.indexOf('\n'); i !== -1 && i < position; i = text.indexOf('\n', i + 1)) {
    line++;
    start = i + 1;
  }
  return { line, column: position - start + 1 };
}
