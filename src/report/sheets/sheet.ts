// Sheets and scales of a drawing. In: their names as people write them; out: millimetres, and the ratio of ground to paper.
// Terms: ratio = metres on the ground per metre of paper (200 in 1:200; 240 in 1 in = 20 ft).
// Sheet sizes: ISO 216 (A series), ANSI/ASME Y14.1 (letter to E); arch: the sizes architects' paper is sold in.

import { InputError, lengthInMetres } from '../../model/index.js';

/** A sheet of paper, millimetres, as it lies before the reader. */
export interface Sheet {
  readonly name: string; // 'A3', 'tabloid'
  readonly widthMm: number;
  readonly heightMm: number;
}

export interface Scale {
  readonly ratio: number;
  readonly label: string; // '1:200', '1 in = 20 ft'
}

const INCH = 25.4;
/** Name -> shorter and longer side, millimetres. */
const SHEETS: Readonly<Record<string, readonly [number, number]>> = {
  A4: [210, 297],
  A3: [297, 420],
  A2: [420, 594],
  A1: [594, 841],
  A0: [841, 1189],
  letter: [8.5 * INCH, 11 * INCH],
  legal: [8.5 * INCH, 14 * INCH],
  tabloid: [11 * INCH, 17 * INCH],
  'ansi-c': [17 * INCH, 22 * INCH],
  'ansi-d': [22 * INCH, 34 * INCH],
  'ansi-e': [34 * INCH, 44 * INCH],
  'arch-c': [18 * INCH, 24 * INCH],
  'arch-d': [24 * INCH, 36 * INCH],
  'arch-e': [36 * INCH, 48 * INCH],
};

/** The names `sheetsNamed` takes. */
export const SHEET_NAMES: readonly string[] = Object.keys(SHEETS);

/**
 * The sheet of a name: landscape and portrait, or the one of them that is asked for ("A3-portrait").
 *
 * @throws InputError `sheet-unknown` (usage)
 * @example
 * sheetsNamed('A3')[0]; // { name: 'A3', widthMm: 420, heightMm: 297 }
 */
export function sheetsNamed(text: string): readonly Sheet[] {
  const match = /^\s*(.+?)(?:[\s-]+(portrait|landscape))?\s*$/i.exec(text);
  const name = SHEET_NAMES.find((known) => known.toLowerCase() === match?.[1]?.toLowerCase());
  const sides = name === undefined ? undefined : SHEETS[name];
  if (name === undefined || sides === undefined) {
    throw usage(
      'sheet-unknown',
      `the sheet "${text}" is not known`,
      `choose from ${SHEET_NAMES.join(', ')}, with -portrait or -landscape added if need be`,
    );
  }
  const [short, long] = sides;
  const landscape = { name, widthMm: long, heightMm: short };
  const portrait = { name, widthMm: short, heightMm: long };
  const way = match?.[2]?.toLowerCase();
  if (way === undefined) return [landscape, portrait];
  return [way === 'portrait' ? portrait : landscape];
}

/**
 * A scale as it is written on drawings.
 *
 * @throws InputError `scale-unknown` (usage)
 * @example
 * scaleNamed('1:200'); // { ratio: 200, label: '1:200' }
 * scaleNamed('1in=20ft').ratio; // 240
 */
export function scaleNamed(text: string): Scale {
  const plain = /^\s*1\s*:\s*(\d+(?:\.\d+)?)\s*$/.exec(text);
  const [paper, ground, ...rest] = text.split('=').map((side) => lengthInMetres(side));
  const ratio = plain ? Number(plain[1]) : rest.length === 0 && paper && ground ? ground / paper : Number.NaN;
  if (!(ratio > 0) || !Number.isFinite(ratio)) {
    throw usage('scale-unknown', `"${text}" is not a scale`, 'write 1:200, or 1in=20ft');
  }
  const [left = '', right = ''] = text.split('=').map(spaced);
  return { ratio, label: plain ? `1:${plain[1]}` : `${left} = ${right}` };
}

/** "20ft" -> "20 ft". */
function spaced(side: string): string {
  return side.trim().replace(/^([\d.]+)\s*(.+)$/, '$1 $2');
}

const ROUND_METRIC = [1, 1.25, 2, 2.5, 3, 4, 5, 7.5];
const ROUND_FEET = [1, 2, 3, 4, 5, 6, 8]; // an engineer's rule has 10 to 60; 80 reads on its 40

/** Round scales from the largest drawing to the smallest. */
export function roundScales(units: 'metric' | 'us'): Scale[] {
  const scales: Scale[] = [];
  for (let power = 1; power <= 1e7; power *= 10) {
    if (units === 'metric') {
      for (const step of ROUND_METRIC) scales.push({ ratio: step * power * 10, label: `1:${step * power * 10}` });
    } else {
      for (const step of ROUND_FEET) {
        scales.push({ ratio: step * power * 12, label: `1 in = ${step * power} ft` });
      }
    }
  }
  return scales;
}

/** The largest round scale at which so many metres fit on so many millimetres. */
export function fittingScale(
  ground: { readonly widthM: number; readonly heightM: number },
  paper: { readonly widthMm: number; readonly heightMm: number },
  units: 'metric' | 'us',
): Scale {
  const scales = roundScales(units);
  return scales.find((scale) => fits(scale, ground, paper)) ?? scales[scales.length - 1]!;
}

export function fits(
  { ratio }: Scale,
  ground: { readonly widthM: number; readonly heightM: number },
  paper: { readonly widthMm: number; readonly heightMm: number },
): boolean {
  return (ground.widthM * 1000) / ratio <= paper.widthMm && (ground.heightM * 1000) / ratio <= paper.heightMm;
}

function usage(code: string, message: string, cure: string): InputError {
  return new InputError(code, message, { cure, usage: true });
}
