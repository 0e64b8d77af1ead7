// Files that a run would read and write at once. In: a command's options as given; out: nothing, or wrong usage, before
// anything is read. Terms: place = one file, by whatever name or link it is reached. A look at the disk for each file named.

import { realpathSync, statSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { styleFiles } from '../node/write/index.js';
import { isTable } from '../postgis/index.js';
import { ROLES } from '../write/index.js';
import { filesIn } from './job-keys.js';
import { attributeOf, nameOf, type OptionRow, rowsOf } from './table/index.js';
import { usage } from './values.js';

/** A file with the option, or the words, that name it. */
type Named = readonly [option: string, file: string];

/**
 * Throws where an output is an input, too, or two outputs are one file.
 *
 * @param inputs files that are read beside those of the options: arguments, a job file, a manifest's
 * @throws InputError `output-is-input`, `output-twice`, usage
 */
export function checkClashes(
  command: string,
  options: Readonly<Record<string, unknown>>,
  inputs: readonly Named[] = [],
): void {
  const read: Named[] = [...inputs];
  const written: Named[] = [];
  for (const row of rowsOf(command)) {
    const value = options[attributeOf(row)];
    const values = Array.isArray(value) ? value : [value];
    for (const one of values) {
      if (typeof one !== 'string') continue;
      for (const file of pathsOf(row, one, options.out))
        (isOutput(row, command) ? written : read).push([`--${nameOf(row)}`, file]);
    }
  }
  clash(read, written);
}

/** The files of a value: two styles in a folder, named after the result. */
function pathsOf(row: OptionRow, value: string, out: unknown): readonly string[] {
  if (row.target !== 'file.style') return filesIn(row, value);
  return Object.values(styleFiles(value, typeof out === 'string' ? out : '-'));
}

function isOutput({ target }: OptionRow, command: string): boolean {
  return (
    target.startsWith('file.') ||
    target === 'jobFile.saveConfig' ||
    (target === 'tiles.manifest' && command === 'split')
  );
}

/** The check itself, for files from anywhere. */
export function clash(read: readonly Named[], written: readonly Named[]): void {
  const inputs = new Map<string, Named>();
  for (const one of read)
    for (const place of placesOf(one[1], false).own) if (!inputs.has(place)) inputs.set(place, one);
  const outputs = new Map<string, Named>();
  for (const one of written) {
    const [option, file] = one;
    const { own, meets } = placesOf(file, true);
    for (const place of meets) {
      const input = inputs.get(place);
      if (input !== undefined) {
        const message = `${option} ${file} would be written over what ${input[0]} ${input[1]} reads`;
        throw usage('output-is-input', message, `give ${option} another name: an input is never written over`);
      }
      const other = outputs.get(place);
      if (other !== undefined) {
        const message = `${other[0]} ${other[1]} and ${option} ${file} are the same file`;
        throw usage('output-twice', message, `give ${option} another name`);
      }
    }
    for (const place of own) outputs.set(place, one);
  }
}

/** What a file is known by, and what of others it must not meet. */
interface Places {
  readonly own: readonly string[];
  readonly meets: readonly string[];
}

/** A file, a folder with a file for each role, or tables, one a role; nothing for pipes and devices. */
function placesOf(file: string, isWritten: boolean): Places {
  if (file === '' || file === '-') return { own: [], meets: [] };
  if (isTable(file)) {
    const name = file.toLowerCase();
    const tables = isWritten ? ROLES.map((role) => `${name}_${role}`) : [name];
    return { own: tables, meets: tables };
  }
  if (isWritten && /[\\/]$/.test(file)) {
    const within = ROLES.map((role) => placeOf(join(file, role)));
    const folder = within.map((place) => `folder ${place}`);
    return { own: folder, meets: [...folder, ...within.map((place) => `in ${place}`)] };
  }
  const place = placeOf(file);
  if (place === undefined) return { own: [], meets: [] };
  const role = ROLES.find((one) => basename(file).startsWith(`${one}.`));
  if (role === undefined) return { own: [place], meets: [place] };
  const named = placeOf(join(dirname(file), role)); // the folder's file of that role, whatever its format
  return { own: [place, `in ${named}`], meets: [place, `folder ${named}`] };
}

function placeOf(file: string): string | undefined {
  const about = statSync(file, { throwIfNoEntry: false, bigint: true });
  if (about !== undefined && !about.isFile() && !about.isDirectory()) return undefined;
  if (about?.isFile() === true) return `${about.dev}:${about.ino}`;
  try {
    return join(realpathSync(dirname(resolve(file))), basename(file));
  } catch {
    return resolve(file);
  }
}
