// A file of data as text. In: a path; out: its text, or an error that names the file.

import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { InputError } from '../../model/index.js';

/** Reads a file as UTF-8. Throws InputError `WHAT-unreadable`. */
export async function textFile(
  path: string,
  what: 'rule' | 'mitigation' | 'packet' | 'protection' | 'tree-facts',
): Promise<string> {
  try {
    return await readFile(path, 'utf8');
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : String(error);
    const name = basename(path);
    throw new InputError(`${what}-unreadable`, `the ${what} file ${name} can't be read (${code})`, {
      layer: name,
      cure: 'check its name and folder',
    });
  }
}
