// Cures that speak of the command line, in words of this page. In: a text; out: the same with the page's controls in place of
// options. An option for which the page has no control is called the command line's.

import { titleOf } from './columns.js';

const CRS = 'the field “Coordinate system”';

/** Options as the page calls them. */
const CONTROLS: Readonly<Record<string, string>> = {
  '--trees': 'the row “Tree survey”',
  '--works': 'the row “Proposed works”',
  '--existing': 'the row “Hard surfaces that stand today”',
  '--lots': 'the row “Lots”',
  '--crs': CRS,
  '--trees-crs': CRS,
  '--works-crs': CRS,
  '--existing-crs': CRS,
  '--lots-crs': CRS,
  '--field': '“Columns”',
  '--value': 'the words under “Columns”',
  '--dbh-unit': 'the field “Diameters are in”',
  '--layer': 'the field “Layer of it”',
  '--limit': 'the field “Limit”',
  '--rule': 'the field “Rule”',
  '--buildable': 'the command line',
};

const field = (key: string, end: string): string => {
  const title = titleOf(key);
  return title === undefined ? `the command line’s --field ${key}=${end}` : `“${title}” under “Columns”`;
};

type Said = readonly [from: RegExp, to: string | ((whole: string, ...groups: string[]) => string)];

/** The first that fits counts; what they leave is looked up by option. */
const WORDS: readonly Said[] = [
  // layers
  [
    /choose one with --layer NAME(?:, or several[^:]*)?:/g,
    'choose one in the field “Layer of it”, or tick several works with their kinds:',
  ],
  [
    /say which one is meant: --layer (?:'[^']*'|\S+?)(?:, or several with their kinds:[^;]*)?; for the whole file: --layer '[^']*'/g,
    'say which one is meant in the field “Layer of it”',
  ],
  [/(?:with|in) --layer (?:'[^']*'|[\w*]+=[^\s;,]+|NAME|SHEET)/g, 'in the field “Layer of it”'],
  [/--layer NAME=kind\b/g, 'tick them under “Layer of it”'],
  // systems
  [/ or --[a-z]+-crs EPSG:\.\.\./g, ''],
  [/ \(or --[a-z]+-crs, --[a-z]+-crs for one layer\)/g, ''],
  [/(?: with|:) --(?:[a-z]+-)?crs ([\w:.]+)/g, ` in ${CRS}: $1 (“Find the system” looks it up)`],
  [/--crs ([\w:.]+(?:, local:\w+)*)/g, '$1 there'],
  [/ or the option of the layer\b/g, ''],
  // columns and words
  [
    /(?:leave (\w+) out with|with) --field ([\w.]+)=-(?![\w])/g,
    (_, what, key) => {
      const none =
        titleOf(key) === undefined ? `the command line’s --field ${key}=-` : `“${titleOf(key)}”: none, under “Columns”`;
      return what === undefined ? `with ${none}` : `leave ${what} out with ${none}`;
    },
  ],
  [
    /(?:add )?--field ([\w.]+)=('[^']*'|[^\s,;?]*) (?:and )?--dbh-unit (\w+(?: \(or [^)]*\))?)/g,
    (_, key, end, unit) => `choose ${field(key, end)} and its unit beside it: ${unit}`,
  ],
  [/(?:add|give|change) --field ([\w.]+)=('[^']*'|[^\s,;?]*)/g, (_, key, end) => `choose ${field(key, end)}`],
  [/--field ([\w.]+)=('[^']*'|[^\s,;?]*)/g, (_, key, end) => field(key, end)],
  [/--value (?:'[^']*'|[^\s,;]+=[^\s,;]+)/g, 'the words under “Columns”'],
  [/(?:add )?--dbh-unit (\w+)((?: \(or [^)]*\))?)/g, 'choose $1$2 in the field “Diameters are in”'],
  // columns of coordinates have no control
  [
    /say which columns hold them, easting first(?:: |; probably )--xy/g,
    'call the two columns easting and northing in the file, or use the command line’s --xy',
  ],
];

/** A cure in words of this page. */
export function inPageWords(text: string): string {
  const said = WORDS.reduce(
    (now, [from, to]) => (typeof to === 'string' ? now.replace(from, to) : now.replace(from, to)),
    text,
  );
  return said.replaceAll(/(command line’s )?(--[a-z][a-z-]*)/g, (whole, known: string | undefined, option: string) => {
    if (known !== undefined) return whole;
    return CONTROLS[option] ?? `the command line’s ${option}`;
  });
}
