// Shell completion. In: the tree of commands; out: a script for bash, zsh or fish that knows commands, options, choices and
// where a file is meant; it stands alone and never calls rootberth.
// Terms: words = choices of a value; takes = what follows an option.

import type { Argument, Command, Option } from 'commander';
import { mitigationIds } from '../plan/mitigation.js';
import { ruleIds } from '../rules.js';
import { WORKS_KINDS } from '../types.js';
import { ROLES } from '../write.js';
import { bashScript } from './completion/bash.js';
import { fishScript } from './completion/fish.js';
import { zshScript } from './completion/zsh.js';
import { fileWordsOf } from './job-keys.js';

/** What follows: nothing, words of a list, a file (behind `prefix=` or not), a folder, any text. */
export interface Takes {
  readonly what: 'nothing' | 'file' | 'folder' | 'text';
  readonly words: readonly string[];
}

export interface CompletedOption {
  readonly long: string;
  readonly short: string | null;
  readonly about: string;
  readonly takes: Takes;
  readonly repeats: boolean;
}

export interface CompletedCommand {
  readonly name: string;
  readonly about: string;
  readonly options: readonly CompletedOption[];
  /** What stands without an option before it; null: nothing. */
  readonly argument: Takes | null;
}

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
