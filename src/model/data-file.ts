// Files of data (rules apart): JSON of unknown shape -> checked records. In: text or JSON, a schema, what the file is called;
// out: the record, or one InputError that lists every problem. Terms: term = a piece of which schemas are built; an expected
// shape is said in words, such as 'text'. Linear in the file.

import * as v from 'valibot';
import { InputError } from './findings.js';

export type Schema<T> = v.GenericSchema<unknown, T>;

/** A value that holds a test; `wanted` says what should stand there. */
export function custom<T>(holds: (x: unknown) => boolean, wanted: string): v.GenericSchema<T> {
  return v.custom<T>(holds, wanted);
}

/** An object without other keys than its own. */
export function record<const T extends v.ObjectEntries>(
  entries: T,
): Schema<v.InferOutput<v.StrictObjectSchema<T, undefined>>> {
  const keys = Object.keys(entries).join(', ');
  const schema = v.strictObject(entries, (issue) =>
    issue.expected === 'never' ? `no such key: write ${keys}` : `${issue.expected}: keys are ${keys}`,
  );
  const noList = v.custom<never>(() => false, `Object: keys are ${keys}`); // to valibot a list is an object, too
  return v.lazy((input) => (Array.isArray(input) ? noList : schema)) as unknown as Schema<
    v.InferOutput<v.StrictObjectSchema<T, undefined>>
  >;
}

/** A text that is not blank. */
export const text: v.GenericSchema<string> = custom<string>((x) => typeof x === 'string' && x.trim() !== '', 'text');

/** A list that is not empty. */
export function nonEmpty<T>(item: v.GenericSchema<T>, wanted: string): Schema<readonly T[]> {
  return v.pipe(v.array(item, wanted), v.minLength(1, wanted)) as unknown as Schema<readonly T[]>;
}

/** How a kind of file is spoken of when it is refused. */
export interface DataFile {
  readonly code: string;
  readonly what: string; // 'mitigation file'
  readonly cure: string;
}

/** The error for a file of data: every problem on a line of its own. */
export function dataInvalid({ code, what, cure }: DataFile, name: string, problems: readonly string[]): InputError {
  const count = problems.length === 1 ? '1 problem' : `${problems.length} problems`;
  return new InputError(code, `${what} ${name} has ${count}${problems.map((p) => `\n  ${p}`).join('')}`, {
    layer: name,
    cure,
  });
}

/** JSON as the schema has it; throws `dataInvalid` with every problem, its place and what is expected there. */
export function parseData<T>(schema: Schema<T>, json: unknown, file: DataFile, name: string): T {
  const result = v.safeParse(schema, json);
  if (result.success) return result.output;
  const lines = result.issues.map((issue) => {
    const place = (issue.path ?? [])
      .map(({ key }) => (typeof key === 'number' ? `[${key}]` : `.${String(key)}`))
      .join('');
    return `${place === '' ? 'the file' : place.replace(/^\./, '')}: expected ${issue.message}`;
  });
  throw dataInvalid(file, name, lines);
}

/** The JSON of a file's text; throws `dataInvalid` where it is not JSON. A byte order mark is skipped. */
export function jsonOf(content: string, file: DataFile, name: string): unknown {
  try {
    return JSON.parse(content.replace(/^\uFEFF/, ''));
  } catch (error) {
    throw dataInvalid(file, name, [`not JSON (${error instanceof Error ? error.message : String(error)})`]);
  }
}
