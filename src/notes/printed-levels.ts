// Levels as text. In: the levels of a notebook; out: a table of heights, one of readings, and how runs close. Terms: see levels.ts. Linear.

import { METRES_PER } from '../model/index.js';
import { counted } from '../text/index.js';
import type { FieldNotes } from './result.js';
import { shownUnit } from './words.js';

/** Rows for `columns`, each table behind its title; empty where the notes hold no heights. */
export function levelTables(
  notes: FieldNotes,
): { readonly title: string; readonly rows: readonly (readonly string[])[] }[] {
  const { levels, points } = notes;
  if (levels === null) return [];
  const unit = shownUnit(notes);
  const figure = (metres: number): string => (Number.isNaN(metres) ? '' : (metres / METRES_PER[unit]).toFixed(3));
  const heights = points.flatMap(({ name }, p) => {
    const height = levels.heightM[p]!;
    if (Number.isNaN(height)) return [];
    const isGiven = levels.benchmarks.has(p);
    return [[isGiven ? `${name} (given)` : name, figure(height), isGiven ? '' : figure(levels.sigmaM[p]!)]];
  });
  const readings = levels.readings.map(({ row, p, setup, isBack, text }, i) => [
    `${row}`,
    points[p]!.name,
    levels.setups[setup]!,
    isBack ? text : '',
    isBack ? '' : text,
    Number.isNaN(levels.residualM[i]!) ? 'not used' : figure(levels.residualM[i]!),
  ]);
  const tables = [
    { title: `Heights in ${unit}; ± is one standard error`, rows: [['point', 'height', '±'], ...heights] },
  ];
  if (readings.length === 0) return tables;
  const head = ['row', 'point', 'set-up', 'backsight', 'foresight', `residual ${unit}`];
  return [...tables, { title: 'Level readings; residual: adjusted less read', rows: [head, ...readings] }];
}

/** How runs close, in sentences. */
export function levelSums(notes: FieldNotes): string[] {
  const { levels } = notes;
  if (levels === null || levels.readings.length === 0) return [];
  const unit = shownUnit(notes);
  const figure = (metres: number): string => `${(metres / METRES_PER[unit]).toFixed(3)} ${unit}`;
  const out = levels.closures.map(({ p, errorM, setups }) => {
    const each = figure(Math.abs(errorM) / setups);
    return `Levels close on ${notes.points[p]!.name} by ${figure(errorM)} over ${counted(setups, 'set-up')}: spread evenly, ${each} each`;
  });
  if (out.length === 0) out.push('The levels close on nothing: no slip in them would show');
  return out;
}
