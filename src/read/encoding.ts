// Text encodings of dBASE tables: in: a .cpg file, the table's language byte, sample bytes; out: a decoder.
// Terms: code page = which letter each byte above 127 stands for; .cpg = a text file that names it.
// Code pages that TextDecoder does not know (DOS 437, 850, 852) stand here as their upper 128 letters.

import type { ByteSource } from './source.js';

const DOS_PAGES: Readonly<Record<string, string>> = {
  '437':
    'ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜ¢£¥₧ƒáíóúñÑªº¿⌐¬½¼¡«»░▒▓│┤╡╢╖╕╣║╗╝╜╛┐└┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u00a0',
  '850':
    'ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜø£Ø×ƒáíóúñÑªº¿®¬½¼¡«»░▒▓│┤ÁÂÀ©╣║╗╝¢¥┐└┴┬├─┼ãÃ╚╔╩╦╠═╬¤ðÐÊËÈıÍÎÏ┘┌█▄¦Ì▀ÓßÔÒõÕµþÞÚÛÙýÝ¯´\u00ad±‗¾¶§÷¸°¨·¹³²■\u00a0',
  '852':
    'ÇüéâäůćçłëŐőîŹÄĆÉĹĺôöĽľŚśÖÜŤťŁ×čáíóúĄąŽžĘę¬źČş«»░▒▓│┤ÁÂĚŞ╣║╗╝Żż┐└┴┬├─┼Ăă╚╔╩╦╠═╬¤đĐĎËďŇÍÎě┘┌█▄ŢŮ▀ÓßÔŃńňŠšŔÚŕŰýÝţ´\u00ad˝˛ˇ˘§÷¸°¨˙űŘř■\u00a0',
};

/** Code page number -> name that TextDecoder knows (WHATWG Encoding Standard). */
const PAGES: Readonly<Record<string, string>> = {
  '65001': 'utf-8',
  '866': 'ibm866',
  '874': 'windows-874',
  '932': 'shift_jis',
  '936': 'gbk',
  '949': 'euc-kr',
  '950': 'big5',
  '1250': 'windows-1250',
  '1251': 'windows-1251',
  '1252': 'windows-1252',
  '1253': 'windows-1253',
  '1254': 'windows-1254',
  '1255': 'windows-1255',
  '1256': 'windows-1256',
  '1257': 'windows-1257',
  '1258': 'windows-1258',
};

/** dBASE language byte (offset 29) -> code page; the values in use by GIS software (common practice, from memory). */
const LANGUAGE_BYTES: Readonly<Record<number, string>> = {
  1: '437',
  2: '850',
  3: '1252',
  19: '932',
  38: '866',
  77: '936',
  78: '949',
  79: '950',
  80: '874',
  87: '1252',
  88: '1252',
  89: '1252',
  100: '852',
  101: '866',
  120: '950',
  121: '949',
  122: '936',
  123: '932',
  124: '874',
  125: '1255',
  126: '1256',
  200: '1250',
  201: '1251',
  202: '1254',
  203: '1253',
  204: '1257',
};

/** Text in one encoding. */
export interface TableEncoding {
  readonly name: string;
  decode(bytes: Uint8Array): string;
}

/**
 * The encoding that a .cpg file names ("UTF-8", "1252", "ANSI 1252", "ISO 88591", "OEM 850"), or undefined.
 *
 * @example
 * encodingNamed('UTF-8')?.name; // 'utf-8'
 */
export function encodingNamed(text: string): TableEncoding | undefined {
  const label = text.replaceAll('\0', '').trim().toLowerCase();
  const iso = /^(?:iso[\s_-]*)?8859[\s_-]*(\d{1,2})$/.exec(label);
  if (iso) return byLabel(`iso-8859-${iso[1]}`);
  const page = /^(?:ansi|oem|cp|ibm|windows|ms|dos)?[\s_-]*(\d{3,5})$/.exec(label);
  if (page) return byPage(page[1]!);
  return byLabel(label);
}

/** The encoding that a table's language byte stands for, or undefined for 0 and unknown bytes. */
export function encodingOfLanguage(byte: number): TableEncoding | undefined {
  const page = LANGUAGE_BYTES[byte];
  return page === undefined ? undefined : byPage(page);
}

function byPage(page: string): TableEncoding | undefined {
  const upper = DOS_PAGES[page];
  if (upper !== undefined) return { name: `cp${page}`, decode: (bytes) => decodeDos(bytes, upper) };
  const label = PAGES[page];
  return label === undefined ? undefined : byLabel(label);
}

function byLabel(label: string): TableEncoding | undefined {
  try {
    const decoder = new TextDecoder(label);
    return { name: label, decode: (bytes) => decoder.decode(bytes) };
  } catch {
    return undefined; // no encoding has that name
  }
}

function decodeDos(bytes: Uint8Array, upper: string): string {
  let text = '';
  for (const b of bytes) text += b < 128 ? String.fromCharCode(b) : (upper[b - 128] ?? '\ufffd');
  return text;
}

const SCAN_BYTES = 1 << 16;

/** What the bytes of a table look like, read block by block: plain ASCII, UTF-8, or else Western European. */
export function sourceEncoding(file: ByteSource, from: number, to: number): 'ascii' | 'utf-8' | 'windows-1252' {
  const decoder = new TextDecoder('utf-8', { fatal: true });
  let ascii = true;
  try {
    for (let at = from; at < to; at += SCAN_BYTES) {
      const bytes = file.at(at, Math.min(SCAN_BYTES, to - at));
      if (ascii) ascii = !bytes.some((b) => b > 127);
      if (!ascii) decoder.decode(bytes, { stream: true });
    }
    decoder.decode();
    return ascii ? 'ascii' : 'utf-8';
  } catch {
    return 'windows-1252';
  }
}
