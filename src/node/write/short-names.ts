// Field names -> names of at most 10 characters, the most that a dBASE table allows. In: fields and our prefix;
// out: names in the same order, unlike in any case. The full names are kept in `fieldnames.csv` beside the table.

import type { Field } from '../../write/index.js';

const LONGEST = 10;

/** Our words, shortened so that a person still reads them. */
const SHORT: Readonly<Record<string, string>> = {
  overlap: 'ovl',
  severed: 'sev',
  affected: 'aff',
  nearest: 'near',
  radius: 'rad',
  bearing: 'brg',
  convergence: 'convg',
  disposition: 'disp',
  consequence: 'conseq',
  approximate: 'approx',
  building: 'bldg',
  paving: 'pav',
  excavation: 'exc',
  trench: 'trch',
  compaction: 'cmp',
  counted: 'cntd',
  reason: 'why',
  structural: 'struct',
};

/** Names for further rules and design options: the end tells which, so the end is kept and the start is cut. */
const OF_ANOTHER = /^(.+)_(zone_radius|overlap_pct|verdict|consequence|reasons)(?:_m|_ft)?$/;
const ENDS: Readonly<Record<string, string>> = {
  zone_radius: '_zr',
  overlap_pct: '_ov',
  verdict: '_vd',
  consequence: '_cq',
  reasons: '_rs',
};

/** Short names; one that fits stays as it is. */
export function shortNames(fields: readonly Pick<Field, 'name' | 'own'>[], prefix: string): string[] {
  const taken = new Set<string>();
  return fields.map(({ name, own }) => {
    const base = own ? plain(name).slice(0, LONGEST) : shortened(plain(name), prefix);
    let free = base;
    for (let n = 1; taken.has(free.toLowerCase()); n++) free = `${base.slice(0, LONGEST - 1 - String(n).length)}_${n}`;
    taken.add(free.toLowerCase());
    return free;
  });
}

/** Our own names: whole, else without prefix and with short words, else without underscores, else cut. */
function shortened(name: string, prefix: string): string {
  if (name.length <= LONGEST) return name;
  const bare = name.startsWith(prefix) ? name.slice(prefix.length) : name;
  const [, of, what] = OF_ANOTHER.exec(bare) ?? [];
  if (of !== undefined && what !== undefined) {
    const end = ENDS[what]!;
    return of.replaceAll('_', '').slice(0, LONGEST - end.length) + end;
  }
  const words = bare.split('_').map((w) => SHORT[w] ?? w);
  const joined = words.join('_');
  return joined.length <= LONGEST ? joined : words.join('').slice(0, LONGEST);
}

/** Letters, digits and underscores, as dBASE has it; a name of other letters only becomes `field`. */
function plain(name: string): string {
  const letters = name
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .replace(/[^A-Za-z0-9_]+/g, '_');
  return /[A-Za-z0-9]/.test(letters) ? letters : 'field';
}
