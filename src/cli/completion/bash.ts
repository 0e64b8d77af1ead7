// Completion in bash. In: commands; out: a script for bash 3.2 and later. Terms: see completion.ts.
// An equals sign parts words in bash: behind one, what stands before it says what is meant.

import type { CompletedCommand, CompletedOption, Takes } from './takes.js';

export function bashScript(commands: readonly CompletedCommand[]): string {
  const names = commands.map(({ name }) => name);
  return `# Completion of rootberth in bash: source this, or put it where bash-completion looks for it.
_rootberth_files() {
  local IFS=$'\\n'
  compopt -o filenames 2>/dev/null
  COMPREPLY=($(compgen "$1" -- "$cur"))
}

_rootberth_words() {
  local IFS=$' \\t\\n'
  COMPREPLY=($(compgen -W "$1" -- "$cur"))
  case \${COMPREPLY[0]} in *=) compopt -o nospace 2>/dev/null ;; esac
}

_rootberth() {
  local cur=\${COMP_WORDS[COMP_CWORD]} prev=\${COMP_WORDS[COMP_CWORD - 1]} command= behind= i
  COMPREPLY=()
  if [[ $cur == = ]]; then
    behind=yes cur=
  elif [[ $prev == = && $COMP_CWORD -ge 2 ]]; then
    behind=yes prev=\${COMP_WORDS[COMP_CWORD - 2]}
  fi
  if [[ $behind == yes && $prev != --* ]]; then
    _rootberth_files -f
    return
  fi
  for ((i = 1; i < COMP_CWORD; i++)); do
    case \${COMP_WORDS[i]} in
      ${names.join(' | ')}) command=\${COMP_WORDS[i]} && break ;;
    esac
  done
  case "$command $prev" in
${commands.flatMap((command) => command.options.flatMap((option) => valueCase(command.name, option))).join('\n')}
  esac
  case "$command $cur" in
${commands.map(optionsCase).join('\n')}
    ' -'*) _rootberth_words '--help --version' ;;
    ' '*) _rootberth_words '${names.join(' ')}' ;;
${commands.flatMap(argumentCase).join('\n')}
  esac
}

complete -F _rootberth rootberth
`;
}

function valueCase(command: string, { long, takes }: CompletedOption): readonly string[] {
  const does = completes(takes);
  if (takes.what === 'nothing') return [];
  return [`    '${command} ${long}') ${does === '' ? '' : `${does}; `}return ;;`];
}

/** Words first; files where no word fits, or where there are none. */
function completes({ what, words }: Takes): string {
  const list = words.length === 0 ? [] : [`_rootberth_words '${words.join(' ')}'`];
  if (what === 'folder') list.push('_rootberth_files -d');
  if (what === 'file')
    list.push(list.length === 0 ? '_rootberth_files -f' : `[[ -n $COMPREPLY ]] || _rootberth_files -f`);
  return list.join('; ');
}

function optionsCase({ name, options }: CompletedCommand): string {
  return `    '${name} -'*) _rootberth_words '${options.map(({ long }) => long).join(' ')}' ;;`;
}

function argumentCase({ name, argument }: CompletedCommand): readonly string[] {
  const does = argument === null ? '' : completes(argument);
  return does === '' ? [] : [`    '${name} '*) ${does} ;;`];
}
