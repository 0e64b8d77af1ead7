// Options of grades. In: options of the command line; out: which files, and how they are taken, or wrong usage. Terms: see values.ts.

import { existsSync } from 'node:fs';
import type { GradeFiles } from '../node/index.js';
import { given, lengthOf, usage } from './values.js';

export interface GradeFlags {
  readonly grades?: string;
  readonly gradeSurfaces?: string;
  readonly gradeUnit?: 'ft' | 'ftUS' | 'm';
  readonly gradeDepths?: string;
  readonly gradeLeast?: string;
}

/** Undefined where no surfaces are given. */
export function gradesOf(flags: GradeFlags): GradeFiles | undefined {
  const { grades, gradeUnit: heightUnit, gradeSurfaces, gradeDepths, gradeLeast } = flags;
  if (grades === undefined) return undefined;
  const [existing = '', proposed] = gradePaths(grades);
  const depthsM = gradeDepths?.split(',').map((text) => lengthOf('--grade-depths', text, '4in,1ft'));
  const leastM = gradeLeast === undefined ? undefined : lengthOf('--grade-least', gradeLeast, '1cm');
  const surfaces = gradeSurfaces === undefined ? undefined : twoNames(gradeSurfaces);
  return { existing, ...given({ proposed, surfaces, heightUnit, depthsM, leastM }) };
}

/** One file or two; a comma is part of a name where a file of that name exists. */
export function gradePaths(text: string): readonly string[] {
  if (existsSync(text)) return [text];
  const paths = text.split(',').map((path) => path.trim());
  if (paths.length <= 2 && paths.every((path) => path !== '')) return paths;
  throw usage('grades-invalid', `--grades ${text} names no two files`, 'write --grades existing.xml,proposed.xml');
}

function twoNames(text: string): readonly [string, string] {
  const [first = '', second = '', ...more] = text.split(',').map((name) => name.trim());
  if (first !== '' && second !== '' && more.length === 0) return [first, second];
  const cure = 'write both, the existing one first: --grade-surfaces "EG,FG"';
  throw usage('grades-invalid', `--grade-surfaces ${text} names no two surfaces`, cure);
}
