// The table of options: what every command takes, what it means, and where it ends. In: nothing; out: rows, and the types
// of what commands are handed. Terms: see row.ts. Commander's options, job files and their schema, completion, the checks of
// what an option needs, and the table of docs/command-line.md come from here. Constant.

import { GRADE_ROWS } from './grade-rows.js';
import { LAYER_ROWS, MERGE_ROWS, MOVE_ROWS, QUEUE_ROWS, TILE_ROWS } from './layer-rows.js';
import { NOTE_ROWS, STAKE_OUT_ROWS } from './note-rows.js';
import { COORDINATE_ROWS, CROWN_ROWS, READING_ROWS, RULE_ROWS, WORTH_ROWS } from './reading-rows.js';
import { COMPARED_ROWS, DRAWING_ROWS, RESULT_ROWS, RUN_ROWS, SITED_ROWS, TABLE_ROWS } from './result-rows.js';
import type { CommandName, Group, OptionRow } from './row.js';
import type { SinkName } from './sinks.js';

export type { CommandName, OptionRow } from './row.js';
export type { Sinks } from './sinks.js';

type KeyOf<R> = R extends unknown ? keyof R : never;
/** A row with a member that rows do not have, such as a misspelt `needs`, does not compile. */
type Table = [KeyOf<Row>] extends [keyof OptionRow] ? readonly OptionRow[] : never;

/** Every row; of one command's rows this is the order of its help. */
export const OPTION_TABLE: Table = [
  ...TILE_ROWS,
  ...MERGE_ROWS,
  ...QUEUE_ROWS,
  ...LAYER_ROWS,
  ...GRADE_ROWS,
  ...MOVE_ROWS,
  ...RULE_ROWS,
  ...COORDINATE_ROWS,
  ...READING_ROWS,
  ...NOTE_ROWS,
  ...CROWN_ROWS,
  ...WORTH_ROWS,
  ...RESULT_ROWS,
  ...TABLE_ROWS,
  ...STAKE_OUT_ROWS,
  ...DRAWING_ROWS,
  ...SITED_ROWS,
  ...COMPARED_ROWS,
  ...RUN_ROWS,
];

/** One of the rows, with its words as types. */
export type Row =
  | (typeof TILE_ROWS)[number]
  | (typeof MERGE_ROWS)[number]
  | (typeof QUEUE_ROWS)[number]
  | (typeof LAYER_ROWS)[number]
  | (typeof GRADE_ROWS)[number]
  | (typeof MOVE_ROWS)[number]
  | (typeof RULE_ROWS)[number]
  | (typeof COORDINATE_ROWS)[number]
  | (typeof READING_ROWS)[number]
  | (typeof NOTE_ROWS)[number]
  | (typeof CROWN_ROWS)[number]
  | (typeof WORTH_ROWS)[number]
  | (typeof RESULT_ROWS)[number]
  | (typeof TABLE_ROWS)[number]
  | (typeof STAKE_OUT_ROWS)[number]
  | (typeof DRAWING_ROWS)[number]
  | (typeof SITED_ROWS)[number]
  | (typeof COMPARED_ROWS)[number]
  | (typeof RUN_ROWS)[number];

// Conditional types go over a union one by one only where it is a parameter: hence R and T.
type Within<R extends Row, C extends CommandName, S extends SinkName> = R extends Row
  ? [R['in'][number] & C] extends [never]
    ? never
    : R['target'] extends `${S}.${string}`
      ? R
      : never
  : never;
type SinkIn<T extends string> = T extends `${infer S extends SinkName}.${string}` ? S : never;

/** Rows of commands, all of them or those that end in a sink. */
export type RowOf<C extends CommandName, S extends SinkName = SinkName> = Within<Row, C, S>;

/** The sinks in which options of a command end. */
export type SinkOf<C extends CommandName> = SinkIn<RowOf<C>['target']>;

type Long<F extends string> = F extends `--${infer Name} <${string}`
  ? Name
  : F extends `--${infer Name}`
    ? Name
    : never;
type Camel<N extends string> = N extends `${infer First}-${infer Rest}` ? `${First}${Capitalize<Camel<Rest>>}` : N;
type Positive<N extends string> = N extends `no-${infer Rest}` ? Rest : N;

/** `--existing-use <use>` -> `existingUse`; `--no-header` -> `header`. */
export type AttributeOf<R extends { readonly flag: string }> = Camel<Positive<Long<R['flag']>>>;

export type ValueOf<R extends { readonly parser: OptionRow['parser'] }> = R['parser'] extends 'text'
  ? string
  : R['parser'] extends 'texts'
    ? readonly string[]
    : R['parser'] extends readonly (infer Word)[]
      ? Word
      : boolean;

/** The options of commands as commander hands them over. */
export type Flags<C extends CommandName> = { readonly [R in RowOf<C> as AttributeOf<R>]?: ValueOf<R> };

/** `existing-use`: the name of a row's option without its dashes. */
export function nameOf({ flag }: OptionRow): string {
  return flag.slice(2).split(' ')[0]!;
}

/** `existingUse`, as commander names it. */
export function attributeOf(row: OptionRow): string {
  const name = row.parser === 'off' ? nameOf(row).replace(/^no-/, '') : nameOf(row);
  return name.replace(/-([a-z])/g, (_, letter: string) => letter.toUpperCase());
}

/** The words in angle brackets, without them; empty where nothing follows. */
export function placeholderOf({ flag }: OptionRow): string {
  return /<(.+)>$/.exec(flag)?.[1] ?? '';
}

/** The rows of a command, in the order of its help. */
export function rowsOf(command: string): readonly OptionRow[] {
  return OPTION_TABLE.filter((row) => row.in.some((name) => name === command));
}

/** Commands whose options are few: their help shows them under one heading. */
const PLAIN: readonly string[] = ['notes', 'run', 'merge', 'enqueue', 'work'] satisfies CommandName[];

const SPLIT_HEADINGS: Partial<Record<Group, string>> = {
  'The result': 'What the merge will write',
  'Tables beside it (- is standard output, for one of them)': 'What the merge will write',
};

/** What a row stands under in a command's help; null: under commander's own heading. */
export function headingOf(row: OptionRow, command: string): string | null {
  if (PLAIN.includes(command)) return null;
  return (command === 'split' ? SPLIT_HEADINGS[row.group] : undefined) ?? row.group;
}
