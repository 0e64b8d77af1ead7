// Shell completion. In: the tree of commands, the table of options; out: a script for bash, zsh or fish that knows commands, options, choices and
// where a file is meant; it stands alone and never calls rootberth.
// Terms: words = choices of a value; takes = what follows an option.

import type { Argument, Command } from 'commander';
import { WORKS_KINDS } from '../../model/index.js';
import { mitigationIds } from '../../plan/index.js';
import { ruleIds } from '../../rules/index.js';
import { ROLES } from '../../write/index.js';
import { fileWordsOf } from '../job-keys.js';
import { nameOf, type OptionRow, rowsOf } from '../table/index.js';
import { bashScript } from './bash.js';
import { fishScript } from './fish.js';
import type { CompletedCommand, CompletedOption, Takes } from './takes.js';
import { zshScript } from './zsh.js';

const SCRIPTS: Readonly<Record<'bash' | 'zsh' | 'fish', (commands: readonly CompletedCommand[]) => string>> = {
  bash: bashScript,
  zsh: zshScript,
  fish: fishScript,
};

/**
 * The script for a shell.
 *
 * @example
 * completionScript(root, 'bash'); // 'complete -F _rootberth rootberth' and what it needs
 */
export function completionScript(root: Command, shell: keyof typeof SCRIPTS): string {
  return SCRIPTS[shell](root.createHelp().visibleCommands(root).filter(isShown).map(commandOf));
}

/** `help` is a command of every tree; --help says the same. */
function isShown(command: Command): boolean {
  return command.name() !== 'help';
}

function commandOf(command: Command): CompletedCommand {
  const [argument] = command.registeredArguments;
  return {
    name: command.name(),
    about: command.description(),
    options: [...rowsOf(command.name()).map(optionOf), HELP],
    argument: argument === undefined ? null : argumentOf(argument),
  };
}

/** Words that a placeholder stands for and the tree does not hold. */
const WORDS: Readonly<Record<string, () => readonly string[]>> = {
  '--rule': ruleIds,
  '--mitigation': mitigationIds,
  '--roles': () => ROLES,
  '--overdig': () => WORKS_KINDS.map((kind) => `${kind}=`),
};

/** What every command takes beside its own options. */
const HELP: CompletedOption = {
  long: '--help',
  short: '-h',
  about: 'display help for command',
  takes: { what: 'nothing', words: [] },
  repeats: false,
};

function optionOf(row: OptionRow): CompletedOption {
  const { parser, help } = row;
  const long = `--${nameOf(row)}`;
  const takesNothing = parser === 'on' || parser === 'off';
  const words = typeof parser === 'string' ? (WORDS[long]?.() ?? []) : parser;
  const file = fileWordsOf(row);
  const what = takesNothing ? 'nothing' : file === null ? 'text' : file === 'folder' ? 'folder' : 'file';
  return { long, short: null, about: help, takes: { what, words }, repeats: parser === 'texts' };
}

const ARGUMENTS: Readonly<Record<string, () => Takes>> = {
  file: () => ({ what: 'file', words: [] }),
  dir: () => ({ what: 'folder', words: [] }),
  'id|file.json': () => ({ what: 'file', words: ruleIds() }),
};

function argumentOf(argument: Argument): Takes {
  return ARGUMENTS[argument.name()]?.() ?? { what: 'text', words: argument.argChoices ?? [] };
}
