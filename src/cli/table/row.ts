// A row of the table of options. In: nothing; out: types. Terms: attribute = the option's long name in camel case
// (--existing-use: existingUse), as commander hands it over; sink = a group of settings of the library; target = the setting
// of a sink in which the option ends. Costs nothing at run time.

import type { Target } from './sinks.js';

/** Commands that take options of their own. */
export type CommandName =
  | 'assess'
  | 'siting'
  | 'compare'
  | 'split'
  | 'check'
  | 'notes'
  | 'run'
  | 'merge'
  | 'enqueue'
  | 'work';

export type Group =
  | 'Tiles'
  | 'Layers'
  | 'Grades'
  | 'What moves, and where it may go'
  | 'Rule'
  | 'Coordinates'
  | 'Reading the files'
  | 'Field notes'
  | 'Crowns and limbs'
  | 'What an arborist looks at'
  | 'The result'
  | 'Tables beside it (- is standard output, for one of them)'
  | 'Fences'
  | 'Sun and shade of proposed buildings'
  | 'Report and plan'
  | 'The run'
  | 'The queues';

/** How words become a value: one text, a list of texts (repeat), true, false, or one of the words listed. */
export type Parser = 'text' | 'texts' | 'on' | 'off' | readonly string[];

export interface OptionRow {
  /** As help shows it. Completion and job files read from the words in angle brackets whether a file is meant. */
  readonly flag: `--${string}`;
  readonly group: Group;
  readonly in: readonly CommandName[];
  readonly help: string;
  /** Commands whose first help shows it: what a first job needs, a dozen at most. --help all shows the rest. */
  readonly first?: readonly CommandName[];
  readonly parser: Parser;
  /** What it is when it is not given; null or left out: nothing. */
  readonly fallback?: string;
  readonly target: Target;
  /** In a job file its content may stand in place of the file's name, as an object. */
  readonly inline?: boolean;
  /** It does nothing unless one of these (attributes) is given, too. */
  readonly needs?: { readonly anyOf: readonly string[]; readonly cure: string };
  /** It can't stand beside this one (attribute). */
  readonly excludes?: { readonly other: string; readonly message: string; readonly cure: string };
}
