// Length units: in: a unit's name as a person or a file writes it; out: metres.
// Terms: `ft` is the international foot (0.3048 m), `ftUS` the US survey foot (1200/3937 m).
// The two differ by 2 parts in a million: 4 ft at a coordinate of 2,000,000 ft.

/** A length unit the library reads and writes. */
export type LengthUnit = 'm' | 'cm' | 'mm' | 'in' | 'ft' | 'ftUS';

/** Metres in one unit; exact by definition (US survey foot: 1200/3937, Federal Register 85 FR 62698). */
export const METRES_PER: Readonly<Record<LengthUnit, number>> = {
  m: 1,
  cm: 0.01,
  mm: 0.001,
  in: 0.0254,
  ft: 0.3048,
  ftUS: 1200 / 3937,
};

/** The names of units as used in sentences. */
export const UNIT_WORDS: Readonly<Record<LengthUnit, string>> = {
  m: 'metres',
  cm: 'centimetres',
  mm: 'millimetres',
  in: 'inches',
  ft: 'feet',
  ftUS: 'US survey feet',
};

const SPELLINGS: Readonly<Record<string, LengthUnit>> = {
  m: 'm',
  metre: 'm',
  metres: 'm',
  meter: 'm',
  meters: 'm',
  cm: 'cm',
  centimetre: 'cm',
  centimetres: 'cm',
  centimeter: 'cm',
  centimeters: 'cm',
  mm: 'mm',
  millimetre: 'mm',
  millimetres: 'mm',
  millimeter: 'mm',
  millimeters: 'mm',
  in: 'in',
  inch: 'in',
  inches: 'in',
  '"': 'in',
  '″': 'in',
  '”': 'in',
  "''": 'in',
  ft: 'ft',
  foot: 'ft',
  feet: 'ft',
  "'": 'ft',
  '′': 'ft',
  '’': 'ft',
  ftus: 'ftUS',
  'us-ft': 'ftUS',
  usft: 'ftUS',
  'us survey foot': 'ftUS',
  'us survey feet': 'ftUS',
};

/**
 * The unit that a spelling means, or `undefined` when it means none.
 *
 * @example
 * unitNamed('inches'); // 'in'
 * unitNamed('furlong'); // undefined
 */
export function unitNamed(spelling: string): LengthUnit | undefined {
  const key = spelling.trim().toLowerCase();
  return Object.hasOwn(SPELLINGS, key) ? SPELLINGS[key] : undefined;
}

/** Feet and inches: 12'6", 12 ft 6 in, 5' 0, 6'-3 1/2". The foot is the international one, as for `ft`. */
const FEET_AND_INCHES =
  /^\s*(?<feet>\d+)\s*(?:['′’]|ft\.?|feet|foot)\s*-?\s*(?:(?<inches>\d+\.?\d*)(?:[\s-]+(?=\d+\/))?)?(?:(?<part>\d+)\/(?<of>\d+))?\s*(?:["″”]|''|in\.?|inch|inches)?\s*$/i;

function feetAndInches(text: string): number | undefined {
  const groups = FEET_AND_INCHES.exec(text)?.groups;
  if (groups === undefined) return undefined;
  const { feet, inches = '0', part = '0', of = '1' } = groups;
  const all = Number(inches) + Number(part) / Number(of);
  return all < 12 ? Number(feet) * METRES_PER.ft + all * METRES_PER.in : undefined; // 12'14" is a typing error
}

/** No length is longer. Without this bound, thousands of blanks would take quadratic time. */
const LONGEST = 64;

/**
 * A length written with its unit ("15 ft", "0.6m", `24"`, `12'6"`) in metres; `undefined` when it is not one.
 * A bare number is not a length: units are never guessed.
 *
 * @example
 * lengthInMetres('15 ft'); // 4.572
 * lengthInMetres('15'); // undefined
 */
export function lengthInMetres(text: string): number | undefined {
  if (text.length > LONGEST) return undefined;
  const match = /^\s*([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d+)?)\s*([a-z'"′″’”][a-z\s'"-]*?)\s*$/i.exec(text);
  if (!match) return feetAndInches(text);
  const unit = unitNamed(match[2] ?? '');
  return unit === undefined ? undefined : Number(match[1]) * METRES_PER[unit];
}

/** Square feet (international) in a square metre. */
export const FT2_PER_M2: number = 1 / (0.3048 * 0.3048);
