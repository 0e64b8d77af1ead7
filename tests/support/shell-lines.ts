// Command lines of documents, run without a shell. In: text as a person would paste it; out: words, and where output goes.
// Understood: comments, a backslash at a line's end, quotes, `> file`, and `&&` between commands.
import { writeFile } from 'node:fs/promises';
import { run } from './cli.js';

export interface ShellLine {
  readonly words: readonly string[];
  readonly to: string | null;
}

const WORD = /(?:[^\s"'\\#>]|"[^"]*"|'[^']*')(?:[^\s"'\\>]|"[^"]*"|'[^']*')*|>/g;

export function shellLines(text: string): ShellLine[] {
  const joined = text.replace(/\\\n\s*/g, ' ');
  return joined
    .split(/\n| && /)
    .map((line) => line.replace(/(^|\s)#.*$/, '').trim())
    .filter((line) => line !== '')
    .map((line) => {
      const all = (line.match(WORD) ?? []).map((word) => word.replace(/"([^"]*)"|'([^']*)'/g, '$1$2'));
      const at = all.indexOf('>');
      return at < 0 ? { words: all, to: null } : { words: all.slice(0, at), to: all[at + 1] ?? null };
    });
}

/** Runs one line of `rootberth`; output goes where the line says. */
export async function runLine({ words, to }: ShellLine): Promise<{ code: number; out: string; err: string }> {
  const result = await run(...words.slice(1));
  if (to !== null) await writeFile(to, result.out);
  return result;
}
