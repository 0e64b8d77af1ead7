// An output is never an input, nor are two outputs one file. In: inputs and outputs by the option that names them; out:
// nothing, or wrong usage before anything is read. Terms: same = one path once links are followed, or one file by its number
// on its disk (a hard link).

import { realpath, stat } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { isTable } from '../postgis/index.js';
import { usage } from './values.js';

/** A file and the words for it: `--out`, `BEFORE`. */
export interface NamedFile {
  readonly by: string;
  readonly path: string;
}

/**
 * @throws InputError `output-is-input`, `outputs-same`, usage
 */
export async function checkApart(inputs: readonly NamedFile[], outputs: readonly NamedFile[]): Promise<void> {
  const read = new Map<string, NamedFile>();
  for (const file of inputs.filter(isFile)) for (const name of await namesOf(file.path)) read.set(name, file);
  const written = new Map<string, NamedFile>();
  for (const file of outputs.filter(isFile)) {
    const names = await namesOf(file.path);
    for (const name of names) {
      const input = read.get(name);
      const other = written.get(name);
      if (input !== undefined) {
        const message = `${file.by} ${file.path} is the file that ${input.by} reads`;
        throw usage('output-is-input', message, 'give the output another name');
      }
      if (other !== undefined) {
        const message = `${other.by} and ${file.by} both write ${file.path}`;
        throw usage('outputs-same', message, 'give each output a name of its own');
      }
    }
    for (const name of names) written.set(name, file);
  }
}

function isFile({ path }: NamedFile): boolean {
  return path !== '-' && !isTable(path);
}

/** Where a path leads, and the file's number where there is one. */
async function namesOf(path: string): Promise<string[]> {
  const whole = resolve(path);
  try {
    const { dev, ino } = await stat(whole, { bigint: true });
    return [await realpath(whole), `#${dev}:${ino}`];
  } catch {
    const folder = await realpath(dirname(whole)).catch(() => dirname(whole));
    return [join(folder, basename(whole))];
  }
}
