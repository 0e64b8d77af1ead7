// Levels of a notebook. In: its points and level readings; out: heights of the ground by point, closures, findings. Terms: see levels.ts;
// benchmark = a point, no tree, whose row gives its height. Linear beside the solution.

import { type Finding, type FindingCode, finding, lengthInMetres, METRES_PER, unitNamed } from '../model/index.js';
import { counted, listOf } from '../text/index.js';
import type { LevelReading } from './level-book.js';
import { type SolvedLevels, solveLevels } from './levels.js';
import type { Notebook, NotePoint } from './types.js';
import { lengthWords, shownUnit } from './words.js';

export interface NoteLevels extends SolvedLevels {
  readonly readings: readonly LevelReading[];
  readonly setups: readonly string[];
  /** Numbers of the points whose height was given. */
  readonly benchmarks: ReadonlySet<number>;
  readonly findings: readonly Finding[];
}

const HEIGHT = /^height(?:_(m|cm|mm|ft|in|ftus))?$/i;
const NAMED = 5;

/** Null where the notebook neither reads a level nor gives the height of a point. */
export function levelsOf(notes: Notebook): NoteLevels | null {
  const { points, levels } = notes;
  const findings: Finding[] = [];
  const say = (code: FindingCode, row: number, message: string, cure: string, id?: string): void =>
    void findings.push(finding(code, { layer: notes.name, path: `row ${row}`, id }, message, cure));
  const known = new Map<number, number>();
  points.forEach((point, p) => {
    const height = point.isTree ? null : statedHeight(point);
    if (height === 'unit') {
      const cure = 'name the column height_ft or height_m, or write the unit with the figure';
      say('level-unreadable', point.row, `nothing says the unit of the height of ${point.name}`, cure, point.name);
    } else if (height !== null) known.set(p, height);
  });
  if (levels.readings.length === 0) {
    if (known.size === 0) return null;
  } else if (known.size === 0) {
    const first = levels.readings[0]!;
    const message = `no point has a known height: ${counted(levels.readings.length, 'level reading')} give no heights`;
    const cure = `give a benchmark its height: height_ft in a row of ${points[first.p]!.name}; 100 ft will do where only differences matter`;
    say('level-no-benchmark', first.row, message, cure);
  }
  const solved = solveLevels(levels.readings, known, points.length);
  sayLoose(notes, solved, known.size > 0, say);
  for (const { row, p, errorM, setups, mostM } of solved.closures) {
    const unit = shownUnit(notes);
    const { name } = points[p]!;
    const each = lengthWords(Math.abs(errorM) / setups, unit, 3);
    const message = `levels close on ${name} by ${lengthWords(errorM, unit, 3)} over ${counted(setups, 'set-up')}; spread evenly over them, ${each} each`;
    if (Math.abs(errorM) <= mostM) {
      say('level-closure', row, message, 'nothing to do if that is small for the work', name);
      continue;
    }
    const cure = `readings explain ${lengthWords(mostM, unit, 3)} at most: look for a foot, a tenth or a digit, or a wrong benchmark, and level that run again`;
    say('level-misclosed', row, message, cure, name);
  }
  return { ...solved, ...levels, benchmarks: new Set(known.keys()), findings };
}

function sayLoose(
  { points, levels }: Notebook,
  { residualM }: SolvedLevels,
  hasBenchmark: boolean,
  say: (code: FindingCode, row: number, message: string, cure: string) => void,
): void {
  const loose = levels.readings.filter((_, i) => Number.isNaN(residualM[i]!));
  if (loose.length === 0 || !hasBenchmark) return;
  const names = listOf([...new Set(loose.map(({ p }) => points[p]!.name))], NAMED);
  const message = `${counted(loose.length, 'level reading')} ${loose.length === 1 ? 'hangs' : 'hang'} on no benchmark: ${names}`;
  say('level-loose', loose[0]!.row, message, 'begin each run with a backsight on a point whose height is known');
}

/** The height that the rows of a point give, metres; 'unit': a figure without a unit. */
function statedHeight({ properties }: NotePoint): number | 'unit' | null {
  for (const [name, value] of Object.entries(properties)) {
    const match = HEIGHT.exec(name);
    if (match === null || value === null || value === undefined || value === '') continue;
    const unit = match[1] === undefined ? undefined : unitNamed(match[1]);
    const number = typeof value === 'number' ? value : Number(value);
    if (Number.isFinite(number)) return unit === undefined ? 'unit' : number * METRES_PER[unit];
    const length = lengthInMetres(String(value));
    if (length !== undefined) return length;
  }
  return null;
}
