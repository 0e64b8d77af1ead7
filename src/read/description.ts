// A survey point's description -> code, species, diameter. In: 'OAK 24"', 'MAPLE 12,9,7 IN MULTI', 'FIR 60CM';
// out: properties under the names the check reads (species, dbh_in, stems_in, ...).
// Terms: code = the word a description starts with; measure = numbers with a unit behind them: 24", 12,9,7 IN, 60CM.

/** What a description says; `unread` tells why its figures were left alone. */
export interface Described {
  readonly code: string;
  readonly species: string | null;
  readonly properties: Readonly<Record<string, number | string>>;
  readonly unread: string | null;
}

const UNITS: Readonly<Record<string, 'in' | 'cm' | 'mm'>> = {
  '"': 'in',
  "''": 'in',
  '″': 'in',
  '”': 'in',
  in: 'in',
  inch: 'in',
  inches: 'in',
  cm: 'cm',
  mm: 'mm',
};
// Feet and metres are left out on purpose: OAK 30' and FIR 12M are heights or spreads as often as not.
const UNIT = `(?:''|["″”]|(?:inches|inch|in|cm|mm)(?![a-z]))`;

/** Reads descriptions by one code map; made once a file. */
export class DescriptionReader {
  readonly #species: ReadonlyMap<string, string> | null; // code in capitals -> species; null: every point counts
  readonly #measure: RegExp;
  readonly #bare: RegExp;
  readonly #number: RegExp;

  constructor(codes: Readonly<Record<string, string>> | undefined, decimalComma: boolean) {
    this.#species =
      codes === undefined
        ? null
        : new Map(Object.entries(codes).map(([code, species]) => [code.toUpperCase(), species]));
    const number = decimalComma ? String.raw`\d+(?:[.,]\d+)?` : String.raw`\d+(?:\.\d+)?`;
    const part = decimalComma ? String.raw`\s*[;/+&]\s*` : String.raw`\s*[,;/+&]\s*`;
    const one = String.raw`${number}\s*${UNIT}?`;
    // A list may give the unit once, at its end, or with each number: 12,9,7 IN and 12" 9" 7".
    this.#measure = new RegExp(
      String.raw`(?<![\d.,\-/x])(${one}(?:(?:${part}|(?<=${UNIT})\s+)${one})*)(?<=${UNIT})`,
      'gi',
    );
    this.#number = new RegExp(number, 'g');
    this.#bare = new RegExp(String.raw`^(${number}(?:${part}${number})*)(?=\s|$)`);
  }

  get hasMap(): boolean {
    return this.#species !== null;
  }

  read(description: string): Described {
    const { code, rest, species } = this.#codeOf(description.trim());
    const known = this.#species === null || species !== null;
    const figures = known ? this.#figures(rest) : { properties: {}, unread: null };
    return { code, species, ...figures };
  }

  /** The first word, or the letters it starts with where those are in the map and a number follows (OAK24"). */
  #codeOf(text: string): { readonly code: string; readonly rest: string; readonly species: string | null } {
    const word = /^[^\s,;]*/.exec(text)?.[0] ?? '';
    const whole = this.#species?.get(word.toUpperCase());
    if (whole !== undefined) return { code: word, rest: text.slice(word.length), species: whole };
    const letters = /^\p{L}+(?=[-_./:]?\d)/u.exec(word)?.[0];
    if (letters !== undefined) {
      const species = this.#species?.get(letters.toUpperCase());
      if (species !== undefined || this.#species === null) {
        return { code: letters, rest: text.slice(letters.length).replace(/^[-_./:]/, ' '), species: species ?? null };
      }
    }
    return { code: word, rest: text.slice(word.length), species: null };
  }

  #figures(rest: string): Pick<Described, 'properties' | 'unread'> {
    const text = rest.replace(/\s+/g, ' ').replace(/^[ ,;:]+/, '');
    const found = [...text.matchAll(this.#measure)];
    const measures = countUnits(text);
    const first = found[0]?.[1];
    if (first === undefined) {
      if (measures > 0) return refused('its figures are written in a way that is not read');
      const bare = this.#bare.exec(text)?.[1];
      return bare === undefined ? { properties: {}, unread: null } : named(this.#numbersOf(bare), null);
    }
    if (found.length > 1) return refused('it gives more than one measure');
    if (countUnits(first) < measures) return refused('part of its figures can not be read');
    const units = new Set(unitsIn(first));
    if (units.size > 1) return refused('it mixes units');
    // "24 1/2" IN": what stands right before belongs to the number.
    if (/\d\s*$/.test(text.slice(0, found[0]?.index))) return refused('a number stands right before its measure');
    if (NUMBER_AFTER.test(text.slice((found[0]?.index ?? 0) + first.length))) {
      return refused('a number stands right behind its measure');
    }
    return named(this.#numbersOf(first), [...units][0] ?? null);
  }

  #numbersOf(list: string): readonly string[] {
    return list.match(this.#number) ?? [];
  }
}

/** A further number that is no height or spread (40', 12 m): a stem that would be lost. */
const NUMBER_AFTER = /^ ?[,;/+&]? ?\d+(?:[.,]\d+)?(?![\d.,]| ?(?:'|’|ft\b|feet\b|m\b))/i;

function refused(unread: string): Pick<Described, 'properties' | 'unread'> {
  return { properties: {}, unread };
}

function named(numbers: readonly string[], unit: string | null): Pick<Described, 'properties' | 'unread'> {
  const end = unit === null ? '' : `_${unit}`;
  const properties =
    numbers.length === 1
      ? { [`dbh${end}`]: Number((numbers[0] as string).replace(',', '.')) }
      : { [`stems${end}`]: numbers.map((n) => n.replace(',', '.')).join(';') };
  return { properties, unread: null };
}

function unitsIn(text: string): ('in' | 'cm' | 'mm')[] {
  return [...text.matchAll(new RegExp(UNIT, 'gi'))].flatMap((m) => UNITS[m[0].toLowerCase()] ?? []);
}

/** Numbers with a unit right behind them. */
function countUnits(text: string): number {
  return [...text.matchAll(new RegExp(String.raw`\d\s*${UNIT}`, 'gi'))].length;
}
