// rootberth rules. In: an id, a rule file or none; out: the rule as JSON, or a list with sources and what to know.
// Terms: see model/rule.ts. A file is checked as a run would check it, and printed with every value it leaves to its default.

import { builtinRule, ruleIds } from '../rules/index.js';
import { EXIT, type Io } from './io.js';

export async function runRules(id: string | undefined, io: Io): Promise<number> {
  if (id !== undefined) {
    const { ruleFrom } = await import('./jobs.js'); // reads files: not needed for the list
    await io.out(`${JSON.stringify(await ruleFrom(id), null, 2)}\n`);
    return EXIT.done;
  }
  const blocks = ruleIds().map((one, place) => {
    const rule = builtinRule(one);
    const lines = [`${one}${place === 0 ? ' (default)' : ''}: ${rule.title}`, `    source: ${rule.source}`];
    return [...lines, ...rule.notes.map((note) => `    note: ${note}`)].join('\n');
  });
  const close =
    'These rules and limits are not the law of any place: choose the one that applies. rootberth rules ID prints one to start a file from.';
  await io.out(`${[...blocks, close].join('\n')}\n`);
  return EXIT.done;
}
