// In: a code or a name that no table has; out: suggestions of what was meant, in words. Terms: see crs-table.ts.

import { type CrsRow, rowName, rows } from './crs-table.js';

const label = (row: CrsRow): string => `EPSG:${row.code} (${rowName(row)})`;

/** Codes that differ by one typing error: a digit changed, added or lost, or two swapped. */
export function nearCodes(number: number): string {
  const text = String(number);
  const lost: string[] = [];
  const swapped: string[] = [];
  const changed: string[] = [];
  const added: string[] = [];
  for (let i = 0; i < text.length; i++) {
    const [before, digit, after] = [text.slice(0, i), text.slice(i, i + 1), text.slice(i + 1)];
    lost.push(before + after);
    if (after !== '') swapped.push(before + after.slice(0, 1) + digit + after.slice(1));
    for (let d = 0; d <= 9; d++) {
      changed.push(`${before}${d}${after}`);
      added.push(`${before}${digit}${d}${after}`);
    }
  }
  const near = [...lost, ...swapped, ...changed, ...added]
    .map((t) => rows().get(Number(t)))
    .filter((row) => row !== undefined);
  const names = [...new Set(near)].slice(0, 6).map(label);
  return names.length > 0 ? `did you mean ${names.join(', ')}?` : 'give an EPSG code such as EPSG:2913, or local:ft';
}

/** Systems whose names hold every word of the text. */
export function nearNames(text: string): string {
  const words = text.toLowerCase().match(/[a-z0-9]+/g) ?? [];
  const found: string[] = [];
  if (words.join('').length >= 3) {
    for (const row of rows().values()) {
      const name = rowName(row).toLowerCase();
      if (!row.deprecated && words.every((word) => name.includes(word))) found.push(label(row));
      if (found.length === 4) break;
    }
  }
  return found.length > 0
    ? `give a code; by name it could be ${found.join(', ')}`
    : 'give an EPSG code such as EPSG:2913, OGC:CRS84, or local:ft, local:ftUS, local:m';
}
