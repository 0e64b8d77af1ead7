// Files that a command's options name. In: a command, its options; out: what it reads and what it writes, by option.
// Terms: see apart.ts, which holds them against each other, and job-keys.ts for where in a value a file's name begins.

import { existsSync } from 'node:fs';
import { styleFiles } from '../node/write/index.js';
import type { NamedFile } from './apart.js';
import { fileOf, type JobCommand, USUAL_JOB } from './job-keys.js';
import { attributeOf, type Flags, nameOf, type OptionRow, rowsOf } from './table/index.js';

export interface NamedFiles {
  readonly inputs: readonly NamedFile[];
  readonly outputs: readonly NamedFile[];
}

/**
 * What a command reads and writes, in the order of its help.
 *
 * @example
 * namedFiles('assess', { works: ['paving=drive.geojson'] }).inputs; // [{ by: '--works', path: 'drive.geojson' }]
 */
export function namedFiles<C extends JobCommand>(command: C, flags: Flags<C>): NamedFiles {
  const values: Readonly<Record<string, unknown>> = flags;
  const inputs: NamedFile[] = [];
  const outputs: NamedFile[] = [];
  for (const row of rowsOf(command)) {
    const given = values[attributeOf(row)];
    for (const value of Array.isArray(given) ? given : [given]) {
      if (typeof value !== 'string') continue;
      const to = isOutput(row) ? outputs : inputs;
      for (const path of pathsOf(row, value, values.out)) to.push({ by: `--${nameOf(row)}`, path });
    }
  }
  // Commander makes it true where neither --config nor --no-config is given.
  if (values.config !== false && typeof values.config !== 'string' && existsSync(USUAL_JOB))
    inputs.push({ by: '--config', path: USUAL_JOB });
  return { inputs, outputs };
}

function isOutput({ target }: OptionRow): boolean {
  return target.startsWith('file.') || target === 'jobFile.saveConfig' || target === 'tiles.manifest';
}

function pathsOf(row: OptionRow, value: string, out: unknown): readonly string[] {
  if (row.target === 'file.style') return Object.values(styleFiles(value, typeof out === 'string' ? out : '-'));
  const file = fileOf(row, value);
  return file === null ? [] : [file];
}
