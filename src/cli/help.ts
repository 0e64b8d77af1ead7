// The help of a command with many options: first what a first job needs, with `--help all` the rest in groups. In: a command
// with its options; out: the same with its help. Terms: first = a row of the table says so. Linear in the rows.

import { type Command, Help, type Option } from 'commander';
import { nameOf, rowsOf } from './table/index.js';

const HELP: readonly string[] = ['-h', '--help'];

/** Whether all options are asked for: `--help all`. */
export function asksForAll(argv: readonly string[]): boolean {
  return argv.some((word, i) => HELP.includes(word) && argv[i + 1] === 'all');
}

/** Gives a command the short help, where the table has one for it, unless all is asked for. */
export function withHelp(command: Command, all: boolean): Command {
  const rows = rowsOf(command.name());
  const first = rows.filter((row) => row.first?.some((name) => name === command.name())).map(nameOf);
  if (first.length === 0) return command;
  command.helpOption('-h, --help [all]', 'display help for command; --help all lists every option');
  if (all) return command;
  const rest = rows.length - first.length;
  const isFirst = ({ long }: Option): boolean => long === '--help' || first.includes((long ?? '').slice(2));
  return command.configureHelp({
    // Only where help is printed: the nearest option to a mistyped one is looked for among all of them.
    formatHelp(cmd, helper) {
      const short: Help = Object.assign(Object.create(helper) as Help, {
        visibleOptions: (of: Command) => helper.visibleOptions(of).filter(isFirst),
        groupItems: (_: unknown, visible: Option[]) => new Map([['Options:', visible]]),
        visibleCommands: () => [],
      });
      const text = Help.prototype.formatHelp.call(short, cmd, short);
      return `${text}\nAnd ${rest} more: rootberth ${cmd.name()} --help all\n`;
    },
  });
}
