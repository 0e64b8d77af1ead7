// Sitings in words and as a table. In: a siting, units; out: a sentence a place, a CSV with a row per tree, a list for a
// terminal. Terms: see docs/siting.md; every figure is the ordinary assessment's.

import type { Assessment, PlacedFootprint, Siting } from '../model/index.js';
import { counted, listOf } from '../text/index.js';
import { inert, quoted } from './csv-cell.js';
import { cell, SCALES, type Units } from './numbers.js';

const POINTS = ['north', 'north-east', 'east', 'south-east', 'south', 'south-west', 'west', 'north-west'] as const;
/** Trees named in a sentence before it says how many more there are. */
const MOST_NAMES = 8;

/**
 * What a place costs and what it gains.
 *
 * @example
 * sitingWords(found, found.sitings[0], 'metric'); // 'keeps all 9 trees within their limits: 2.31 m north-east'
 */
export function sitingWords(siting: Siting, place: PlacedFootprint, units: Units = 'metric'): string {
  const way = wayOf(place, units);
  const kept = siting.trees.length - siting.beyondHelp.length;
  const { over, lostM2 } = place;
  if (over.length === 0) {
    if (kept === 0) return `no tree to be kept is in reach: ${way}`;
    const which = kept === 1 ? 'the one tree within its limits' : `all ${kept} trees within their limits`;
    return `keeps ${which}: ${way}`;
  }
  const { area } = SCALES[units];
  const rest = kept - over.length;
  const limits = over.length === 1 ? 'its limit' : 'their limits';
  const lost = `${namesOf(siting.before, over)} over ${limits} by ${cell(lostM2 * area.factor, 2)} ${area.title}`;
  return `leaves ${lost}, keeps ${counted(rest, 'tree')}: ${way}`;
}

/** Where it goes. */
export function wayOf({ eastM, northM, turnDeg, mirrored }: PlacedFootprint, units: Units): string {
  const { length } = SCALES[units];
  const shift = Math.hypot(eastM, northM);
  const bearing = (Math.atan2(eastM, northM) * 180) / Math.PI;
  const point = POINTS[(Math.round(bearing / 45) + 8) % 8]!;
  const turned = `turned ${Math.abs(turnDeg).toFixed(1)} degrees ${turnDeg > 0 ? 'clockwise' : 'anticlockwise'}`;
  const parts = [
    ...(mirrored ? ['mirrored'] : []),
    ...(shift > 0 ? [`${cell(shift * length.factor, 2)} ${length.title} ${point}`] : []),
    ...(turnDeg === 0 ? [] : [turned]),
  ];
  return parts.length === 0 ? 'as drawn' : parts.join(', ');
}

function namesOf({ job }: Assessment, rows: readonly number[]): string {
  return listOf(rows, MOST_NAMES, (row) => job.trees.key.at(row) ?? `trees:${row}`);
}

/** What was found, for a terminal. */
export function sitingSummary(siting: Siting, units: Units = 'metric'): string {
  const { length } = SCALES[units];
  const works = siting.moved.map((row) => siting.before.job.works.key.at(row) ?? `works:${row}`).join(', ');
  const head = `${works}: ${STATUS[siting.status]}\n`;
  const lines = siting.sitings.map((place) => {
    const travel = `${cell(place.travelM * length.factor, 2)} ${length.title}`;
    return `  ${place.rank}  ${travel.padStart(9)}  ${sitingWords(siting, place, units)}\n`;
  });
  return head + lines.join('');
}

const STATUS: Readonly<Record<Siting['status'], string>> = {
  'in-place': 'as drawn, no tree to be kept is over its limits',
  sited: 'at its new place, no tree to be kept is over its limits',
  trade: 'no place was found that keeps every tree; these are the best trades',
  'no-room': 'it does not fit at any place that was tried',
};

/**
 * The table: a row per tree in reach with its percent and verdict as drawn and at each place, then where each place is.
 *
 * @example
 * [...sitingTablePieces(found, 'us')].join('').split('\r\n')[0]; // 'Tree,As drawn: overlap (%),As drawn: verdict,...'
 */
export function* sitingTablePieces(siting: Siting, units: Units = 'metric'): Generator<string, void, undefined> {
  const { length, area } = SCALES[units];
  const line = (cells: readonly string[]): string => `${cells.map(quoted).join(',')}\r\n`;
  const places = siting.sitings;
  const names = ['As drawn', ...places.map(({ rank }) => `Siting ${rank}`)];
  yield line(['Tree', ...names.flatMap((name) => [`${name}: overlap (%)`, `${name}: verdict`]), 'Changes']);
  for (const row of siting.trees) {
    const trees = [siting.before.tree(row), ...places.map(({ after }) => after.tree(row))];
    const [drawn] = trees;
    const changes = trees.some(({ verdict }) => verdict !== drawn?.verdict);
    const key = inert(siting.before.job.trees.key.at(row) ?? `trees:${row}`);
    yield line([
      key,
      ...trees.flatMap((tree) => [cell(tree.overlapPct, 1), tree.verdict ?? '']),
      changes ? 'yes' : 'no',
    ]);
  }
  const total = (title: string, drawn: string, value: (place: PlacedFootprint) => string): string =>
    line([title, drawn, '', ...places.flatMap((place) => [value(place), '']), '']);
  const metres = (value: number): string => cell(value * length.factor, 2);
  yield total(`East (${length.title})`, metres(0), ({ eastM }) => metres(eastM));
  yield total(`North (${length.title})`, metres(0), ({ northM }) => metres(northM));
  yield total('Turn (deg clockwise)', cell(0, 2), ({ turnDeg }) => cell(turnDeg, 2));
  yield total('Mirrored', 'no', ({ mirrored }) => (mirrored ? 'yes' : 'no'));
  yield total(`Travel of corners (${length.title})`, metres(0), ({ travelM }) => metres(travelM));
  yield total('Kept trees over a limit', '', ({ over }) => String(over.length));
  yield total(`Taken beyond limits (${area.title})`, '', ({ lostM2 }) => cell(lostM2 * area.factor, 2));
}
