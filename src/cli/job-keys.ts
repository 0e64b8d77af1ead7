// What a job file may hold. In: a command's name; out: one key for each of its options that says what the job is.
// Terms: key = the option's long name without dashes; place = where in a value the name of a file begins. Linear in the rows.

import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { WORKS_KINDS } from '../model/index.js';
import { isTable } from '../postgis/index.js';
import { attributeOf, type CommandName, nameOf, type OptionRow, placeholderOf, rowsOf } from './table/index.js';

/** Options of the run itself, which are no part of a job; a database's URL may hold a password. */
const NOT_A_JOB: readonly string[] = ['config', 'no-config', 'save-config', 'explain', 'database'];

/** Looked for in the current folder. */
export const USUAL_JOB = 'rootberth.json';

/** How a value names a file; null: it names none. */
export type FileWords = 'file' | 'file,file' | 'folder' | 'kind=file' | 'A=kind=file' | 'datum=file' | 'id or file';

export interface JobKey {
  readonly key: string;
  readonly attribute: string; // as commander names it
  readonly takes: 'text' | 'texts' | 'flag';
  readonly choices: readonly string[] | null;
  readonly file: FileWords | null;
  readonly negates: boolean; // --no-header
  readonly inline: boolean; // an object may stand in place of the file's name
  readonly about: string;
}

const FILE_WORDS: Readonly<Record<string, FileWords>> = {
  '[kind=]file': 'kind=file',
  'A=[kind=]file': 'A=kind=file',
  '[datum=]file': 'datum=file',
  'id|file.json': 'id or file',
  'file[,file]': 'file,file',
};

/** What an option's placeholder says of files. */
export function fileWordsOf(row: OptionRow): FileWords | null {
  const placeholder = placeholderOf(row);
  if (placeholder === 'dir') return 'folder';
  return FILE_WORDS[placeholder] ?? (/^file(\.\w+)?$/.test(placeholder) ? 'file' : null);
}

/** Commands that job files are for. */
export type JobCommand = Extract<CommandName, 'assess' | 'siting' | 'split'>;
const JOBS: readonly JobCommand[] = ['assess', 'siting', 'split'];

/** The keys of a command's job file, in the order of the help. */
export function jobKeys(command: JobCommand): readonly JobKey[] {
  return rowsOf(command)
    .map(keyOf)
    .filter(({ key }) => !NOT_A_JOB.includes(key));
}

/** The keys of all commands that job files are for, each once. */
export function allJobKeys(): readonly JobKey[] {
  const keys = new Map<string, JobKey>();
  for (const key of JOBS.flatMap(jobKeys)) if (!keys.has(key.key)) keys.set(key.key, key);
  return [...keys.values()];
}

function keyOf(row: OptionRow): JobKey {
  const { parser, help } = row;
  const isList = typeof parser !== 'string';
  return {
    key: nameOf(row),
    attribute: attributeOf(row),
    takes: parser === 'on' || parser === 'off' ? 'flag' : parser === 'texts' ? 'texts' : 'text',
    choices: isList ? parser : null,
    file: fileWordsOf(row),
    negates: parser === 'off',
    inline: row.inline === true,
    about: help,
  };
}

/** Where in a value the file's name begins; null where it names none. `dir`: the folder that names are relative to. */
function placeOf(words: FileWords, value: string, dir: string): number | null {
  if (words === 'file' || words === 'file,file' || words === 'folder') return 0;
  if (words === 'id or file') return /\.json$/i.test(value) ? 0 : null;
  if (words === 'A=kind=file') {
    const at = value.indexOf('=') + 1;
    return at + (placeOf('kind=file', value.slice(at), dir) ?? 0);
  }
  // A file whose own name holds an equals sign is used as it is, if it exists.
  const at = value.indexOf('=');
  if (at < 0 || existsSync(join(dir, value))) return 0;
  const isPrefix = words === 'datum=file' || WORKS_KINDS.some((kind) => kind === value.slice(0, at).toLowerCase());
  return isPrefix ? at + 1 : 0;
}

/** The value with its file's name changed; one that names no file, or standard input and output, as it is. */
export function withFile(
  key: Pick<JobKey, 'file' | 'inline'>,
  value: string,
  dir: string,
  change: (file: string) => string,
): string {
  if (key.inline && isInline(value)) return value;
  if (key.file === 'file,file' && !existsSync(join(dir, value))) {
    return value
      .split(',')
      .map((one) => withFile({ file: 'file', inline: false }, one.trim(), dir, change))
      .join(',');
  }
  const place = key.file === null ? null : placeOf(key.file, value, dir);
  if (place === null) return value;
  const file = value.slice(place);
  return file === '' || file === '-' || isTable(file) ? value : value.slice(0, place) + change(file);
}

/** Whether a value is the content of a file of JSON, and not its name. */
export function isInline(value: string): boolean {
  return value.trimStart().startsWith('{');
}

/** The files that an option's value names: none, or one. */
export function filesIn(row: OptionRow, value: string): readonly string[] {
  const files: string[] = [];
  withFile(keyOf(row), value, '.', (file) => {
    files.push(file);
    return file;
  });
  if (value !== '-' && fileWordsOf(row) === 'file' && isTable(value)) files.push(value);
  return files;
}
