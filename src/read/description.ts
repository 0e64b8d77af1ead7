// A survey point's description -> code, species, diameter. In: 'OAK 24"', 'MAPLE 12,9,7 IN MULTI', 'FIR 60CM';
// out: properties under the names the check reads (species, dbh_in, stems_in, ...).
// Terms: code = the word a description starts with; measure = numbers with a unit behind them: 24", 12,9,7 IN, 60CM.

import { speaksOfTree } from './tree-words.js';

/** What a description says; `unread` says why its figures were not used. */
export interface Described {
  readonly code: string;
  readonly species: string | null;
  /** Whether it speaks of a tree: by the code map, else by a word for one. A blank description is no evidence against it. */
  readonly tree: boolean;
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
// Feet and metres are not diameters: OAK 30' and FIR 12M are often heights or spreads.
const HEIGHT = `(?:'(?!')|’|(?:feet|foot|ft|m)(?![a-z]))`;
const UNIT = `(?:''|["″”]|(?:inches|inch|in|cm|mm)(?![a-z]))`;

/** Descriptions remembered. */
const MOST_SEEN = 10_000;

/** Reads descriptions by one code map; made once a file. */
export class DescriptionReader {
  readonly #species: ReadonlyMap<string, string> | null; // code in capitals -> species; null: the words for trees decide
  readonly #token: RegExp;
  readonly #seen = new Map<string, Described>(); // surveys say the same thing many times

  constructor(codes: Readonly<Record<string, string>> | undefined, decimalComma: boolean) {
    this.#species =
      codes === undefined
        ? null
        : new Map(Object.entries(codes).map(([code, species]) => [code.toUpperCase(), species]));
    const decimal = decimalComma ? '[.,]' : String.raw`\.`;
    const parting = decimalComma ? ';/+&' : ',;/+&';
    // One token at a time, so that no text takes longer than its length.
    this.#token = new RegExp(
      String.raw`(?<number>\d+(?:${decimal}\d+)?)(?: ?(?:(?<unit>${UNIT})|(?<height>${HEIGHT})))?|(?<part>[${parting}])|(?<gap> )|(?<other>[\p{L}_]+|.)`,
      'giu',
    );
  }

  get hasMap(): boolean {
    return this.#species !== null;
  }

  read(description: string): Described {
    const known = this.#seen.get(description);
    if (known !== undefined) return known;
    const said = this.#parse(description);
    if (this.#seen.size < MOST_SEEN) this.#seen.set(description, said);
    return said;
  }

  #parse(description: string): Described {
    const { code, rest, species } = this.#codeOf(description.trim());
    const tree = this.#species === null ? description.trim() === '' || speaksOfTree(description) : species !== null;
    const figures = tree ? this.#figures(rest) : { properties: {}, unread: null };
    return { code, species, tree, ...figures };
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

  /** The one list of numbers with a unit; else a bare list right behind the code. */
  #figures(rest: string): Pick<Described, 'properties' | 'unread'> {
    const runs = this.#runsOf(rest.replace(/\s+/g, ' ').replace(/^[ ,;:]+/, ''));
    const measures = runs.filter((run) => run.units.size > 0);
    const [run, second] = measures;
    if (run === undefined) {
      const bare = runs.find((one) => one.atStart && one.ends);
      return bare === undefined ? { properties: {}, unread: null } : named(bare.numbers, null);
    }
    if (second !== undefined) return refused('it gives more than one measure');
    if (run.units.size > 1) return refused('it mixes units');
    if (!run.lastHasUnit) return refused('a number without a unit stands behind its measure');
    if (run.glued) return refused('another sign or number stands right before its measure');
    return named(run.numbers, [...run.units][0] ?? null);
  }

  /** Runs of numbers that belong together: separated by a sign, or by a gap after a unit. */
  #runsOf(text: string): readonly Run[] {
    const runs: Run[] = [];
    let open: Run | undefined; // the run that a number here may join
    let before: Before = 'start';
    for (const { groups } of text.matchAll(this.#token)) {
      const { number, unit, height, part, gap } = groups ?? {};
      if (number !== undefined && height === undefined) {
        if (open === undefined || (before !== 'part' && !(before === 'gap' && open.lastHasUnit))) {
          const afterNumber: boolean = open !== undefined && before === 'gap';
          open = {
            numbers: [],
            units: new Set(),
            glued: before === 'glue' || afterNumber,
            atStart: before === 'start',
            lastHasUnit: false,
            ends: true,
          };
          runs.push(open);
        }
        open.numbers.push(number.replace(',', '.'));
        open.lastHasUnit = unit !== undefined;
        const known = unit === undefined ? undefined : UNITS[unit.toLowerCase()];
        if (known !== undefined) open.units.add(known);
        before = 'number';
      } else if (part !== undefined) before = 'part';
      else if (gap !== undefined) before = before === 'part' ? 'part' : before === 'start' ? 'start' : 'gap';
      else {
        if (open !== undefined && before === 'number') open.ends = false; // 24X: no number that stands alone
        open = undefined;
        before = groups?.other === '(' ? 'gap' : 'glue';
      }
      if (before === 'gap' && open === undefined) before = 'clear';
    }
    return runs;
  }
}

/** What stands right before a token. */
type Before = 'start' | 'number' | 'part' | 'gap' | 'glue' | 'clear';

interface Run {
  readonly numbers: string[];
  readonly units: Set<string>;
  readonly glued: boolean;
  readonly atStart: boolean;
  lastHasUnit: boolean;
  ends: boolean;
}

function refused(unread: string): Pick<Described, 'properties' | 'unread'> {
  return { properties: {}, unread };
}

function named(numbers: readonly string[], unit: string | null): Pick<Described, 'properties' | 'unread'> {
  const end = unit === null ? '' : `_${unit}`;
  const [only = ''] = numbers;
  const properties = numbers.length === 1 ? { [`dbh${end}`]: Number(only) } : { [`stems${end}`]: numbers.join(';') };
  return { properties, unread: null };
}
