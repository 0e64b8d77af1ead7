// Options of the commands. In: a command that has its name; out: the same with its options, in the groups its help shows.
// Terms: see table/row.ts; every option is a row there. Linear in the rows.

import { type Command, Option } from 'commander';
import { headingOf, type OptionRow, rowsOf } from './table/index.js';

/** Gives a command the options that the table has for its name. */
export function withOptions(command: Command): Command {
  for (const row of rowsOf(command.name())) {
    const heading = headingOf(row, command.name());
    if (heading !== null) command.optionsGroup(`${heading}:`);
    command.addOption(optionOf(row));
  }
  return command;
}

function optionOf({ flag, help, parser, fallback }: OptionRow): Option {
  const option = new Option(flag, help);
  if (parser === 'texts') option.argParser(collect);
  else if (typeof parser !== 'string') option.choices(parser);
  return fallback === undefined ? option : option.default(fallback);
}

/** Gathers the values of an option that may be repeated. */
function collect(value: string, earlier: string[] | undefined): string[] {
  return [...(earlier ?? []), value];
}
