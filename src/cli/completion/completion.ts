// Shell completion. In: the tree of commands; out: a script for bash, zsh or fish that knows commands, options, choices and
// where a file is meant; it stands alone and never calls rootberth.
// Terms: words = choices of a value; takes = what follows an option.

import type { Argument, Command, Option } from 'commander';
import { WORKS_KINDS } from '../../model/index.js';
import { mitigationIds } from '../../plan/index.js';
import { ruleIds } from '../../rules/index.js';
import { ROLES } from '../../write/index.js';
import { fileWordsOf } from '../job-keys.js';
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
  const help = command.createHelp();
  const [argument] = command.registeredArguments;
  return {
    name: command.name(),
    about: command.description(),
    options: help.visibleOptions(command).map(optionOf),
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

function optionOf(option: Option): CompletedOption {
  const long = option.long ?? '';
  const takesValue = option.required || option.optional;
  const file = fileWordsOf(option);
  const words = option.argChoices ?? WORDS[long]?.() ?? [];
  return {
    long,
    short: option.short ?? null,
    about: option.description,
    takes: { what: !takesValue ? 'nothing' : file !== null ? 'file' : 'text', words },
    repeats: option.parseArg !== undefined && option.argChoices === undefined,
  };
}

const ARGUMENTS: Readonly<Record<string, () => Takes>> = {
  file: () => ({ what: 'file', words: [] }),
  dir: () => ({ what: 'folder', words: [] }),
  'id|file.json': () => ({ what: 'file', words: ruleIds() }),
};

function argumentOf(argument: Argument): Takes {
  return ARGUMENTS[argument.name()]?.() ?? { what: 'text', words: argument.argChoices ?? [] };
}
