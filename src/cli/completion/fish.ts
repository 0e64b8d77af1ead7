// Completion in fish. In: commands; out: a script of `complete` lines. Terms: see completion.ts.

import type { CompletedCommand, Takes } from './takes.js';

export function fishScript(commands: readonly CompletedCommand[]): string {
  const names = commands.map(({ name }) => name).join(' ');
  const lines = [
    '# Completion of rootberth in fish: put this in a folder of completions under the name rootberth.fish.',
    'complete -c rootberth -f',
    'complete -c rootberth -s h -l help -d help',
    `complete -c rootberth -n 'not __fish_seen_subcommand_from ${names}' -s V -l version -d 'the version'`,
  ];
  for (const { name, about } of commands) {
    lines.push(`complete -c rootberth -n 'not __fish_seen_subcommand_from ${names}' -a ${name} -d ${quoted(about)}`);
  }
  for (const { name, options, argument } of commands) {
    const within = `complete -c rootberth -n '__fish_seen_subcommand_from ${name}'`;
    if (argument !== null) {
      const value = following(argument, '');
      if (value !== '') lines.push(`${within}${value}`);
    }
    for (const { long, about: words, takes } of options) {
      if (long === '--help') continue;
      lines.push(`${within} -l ${long.slice(2)}${following(takes, ' -x')} -d ${quoted(words)}`);
    }
  }
  return `${lines.join('\n')}\n`;
}

/** Flags of `complete` for what follows; `needs` where a value has to follow and no file is meant. */
function following({ what, words }: Takes, needs: string): string {
  const list = words.length === 0 ? '' : ` -a ${quoted(words.join(' '))}`;
  if (what === 'nothing') return '';
  if (what === 'file') return needs === '' ? ` -F${list}` : ` -r -F${list}`;
  if (what === 'folder') return `${needs} -a '(__fish_complete_directories)'`;
  return words.length === 0 ? needs : `${needs}${list}`;
}

function quoted(text: string): string {
  return `'${text.replaceAll('\\', '\\\\').replaceAll("'", "\\'")}'`;
}
