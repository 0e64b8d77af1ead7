// How much direct sun a crown lets through, month by month. In: what the survey says of a tree, the settings; out: twelve
// shares, 0 to 1. Terms: transmission = share of direct sun that passes; evergreen = in leaf all year. Leaf dates are those
// of the northern half of the earth and are moved by half a year in the south, unless the survey gives a tree its own.

import type { ShadeSettings, TreeTable, TreeText } from '../model/index.js';
import { MONTHS, meanDay } from './sun.js';

/** Genera that keep their leaves, by common practice, no source: conifers except larch, bald cypress, dawn redwood. */
const EVERGREEN: ReadonlySet<string> = new Set([
  ...[
    'abies',
    'araucaria',
    'arbutus',
    'calocedrus',
    'cedrus',
    'chamaecyparis',
    'cryptomeria',
    'cupressus',
    'eucalyptus',
  ],
  ...['ilex', 'juniperus', 'picea', 'pinus', 'pseudotsuga', 'sequoia', 'sequoiadendron', 'taxus', 'thuja', 'tsuga'],
]);

export interface Foliage {
  readonly byMonth: readonly number[];
  readonly reasons: readonly string[];
  /** Fields whose text could not be read. */
  readonly unread: readonly string[];
}

/** Reads a tree's own values, or uses those of the settings. */
export function foliageOf(trees: TreeTable, row: number, lat: number, settings: ShadeSettings): Foliage {
  const reasons: string[] = [];
  const unread: string[] = [];
  const own = <T>(field: TreeText, parse: (text: string) => T | null): T | null => {
    const text = trees.text(row, field)?.trim();
    if (text === undefined || text === '') return null;
    const value = parse(text);
    if (value === null) unread.push(field);
    return value;
  };
  const said = own('evergreen', yesOrNo);
  const evergreen = said ?? EVERGREEN.has((trees.species[row] ?? '').toLowerCase().split(/[\s_]/)[0]!);
  if (said === null) reasons.push(evergreen ? 'evergreen-by-genus' : 'deciduous-assumed');
  const on = own('transmission_leaf_on', share) ?? settings.transmissionLeafOn;
  const off = own('transmission_leaf_off', share) ?? settings.transmissionLeafOff;
  const dates = [own('leaf_on', monthDay), own('leaf_off', monthDay)] as const;
  const from = dates[0] ?? moved(monthDay(settings.leafOn)!, lat);
  const until = dates[1] ?? moved(monthDay(settings.leafOff)!, lat);
  const byMonth = Array.from({ length: MONTHS }, (_, month) => {
    const [m, d] = meanDay(month);
    const day = m * 100 + d;
    const inLeaf = from <= until ? day >= from && day < until : day >= from || day < until;
    return evergreen || inLeaf ? on : off;
  });
  return { byMonth, reasons, unread };
}

function yesOrNo(text: string): boolean | null {
  if (/^(1|y|yes|true)$/i.test(text)) return true;
  return /^(0|n|no|false)$/i.test(text) ? false : null;
}

/** `0.2` or `20%`. */
export function share(text: string): number | null {
  const match = /^(\d+(?:\.\d*)?|\.\d+)\s*(%?)$/.exec(text);
  if (match === null) return null;
  const value = Number(match[1]) / (match[2] === '%' ? 100 : 1);
  return value <= 1 ? value : null;
}

const DAYS = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31] as const;

/** `04-15` -> 415; null for no date. */
export function monthDay(text: string): number | null {
  const match = /^(?:\d{4}-)?(\d{1,2})-(\d{1,2})$/.exec(text);
  if (match === null) return null;
  const [month, day] = [Number(match[1]), Number(match[2])];
  return month >= 1 && month <= 12 && day >= 1 && day <= DAYS[month - 1]! ? month * 100 + day : null;
}

/** Half a year later in the south. */
function moved(date: number, lat: number): number {
  return lat >= 0 ? date : (((Math.floor(date / 100) + 5) % 12) + 1) * 100 + (date % 100);
}
