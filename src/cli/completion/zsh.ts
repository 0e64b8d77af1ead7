// Completion in zsh. In: commands; out: a script for a folder of fpath, under the name _rootberth. Terms: see completion.ts.

import type { CompletedCommand, CompletedOption, Takes } from './takes.js';

export function zshScript(commands: readonly CompletedCommand[]): string {
  const described = commands.map(({ name, about }) => `    ${quoted(`${name}:${about}`)}`);
  return `#compdef rootberth
# Completion of rootberth in zsh: put this in a folder of your fpath under the name _rootberth.

_rootberth() {
  local curcontext=$curcontext context state line
  typeset -A opt_args
  local -a commands
  commands=(
${described.join('\n')}
  )
  _arguments -C '(- *)'{-h,--help}'[help]' '(- *)'{-V,--version}'[the version]' '1: :->command' '*:: :->rest'
  case $state in
    command) _describe command commands ;;
    rest)
      case $words[1] in
${commands.map(commandCase).join('\n')}
      esac
      ;;
  esac
}

# Read from a folder of fpath it completes at once; sourced, it says what it completes.
if [[ $funcstack[1] == _rootberth ]]; then _rootberth "$@"; else compdef _rootberth rootberth; fi
`;
}

function commandCase({ name, options, argument }: CompletedCommand): string {
  const specs = options.map(optionSpec);
  if (argument !== null) specs.push(quoted(`*:${name}:${action(argument)}`));
  return `        ${name})\n          _arguments -s \\\n${specs.map((spec) => `            ${spec}`).join(' \\\n')}\n          ;;`;
}

function optionSpec({ long, about, takes, repeats }: CompletedOption): string {
  const text = about.replace(/[[\]:\\]/g, '\\$&');
  const value = takes.what === 'nothing' ? '' : `:${long.slice(2)}:${action(takes)}`;
  return quoted(`${repeats ? '*' : ''}${long}[${text}]${value}`);
}

function action({ what, words }: Takes): string {
  if (what === 'folder') return '_files -/';
  if (words.length > 0 && what === 'file')
    return `_alternative "words\\:word\\:(${words.join(' ')})" "files\\:file\\:_files"`;
  if (words.length > 0) return `(${words.join(' ')})`;
  return what === 'file' ? '_files' : ' ';
}

function quoted(text: string): string {
  return `'${text.replaceAll("'", "'\\''")}'`;
}
