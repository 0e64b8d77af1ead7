// The command line. In: arguments and streams; out: an exit code. Terms: see io.ts.
// Commands are loaded when they are run, so that --version and --help do not load the library.

import { Argument, Command, CommanderError } from 'commander';
import { InputError, VERSION } from '../model/index.js';
import { defectText, inputErrorText } from './digest.js';
import { EXAMPLES } from './examples.js';
import { asksForAll, withHelp } from './help.js';
import { EXIT, type Io } from './io.js';
import { withOptions } from './options.js';
import type { Flags } from './table/index.js';

const SHELLS = ['bash', 'zsh', 'fish'] as const;

/**
 * Runs one command line and gives its exit code; throws nothing.
 *
 * @example
 * await main(['rules'], io); // 0
 */
export async function main(argv: readonly string[], io: Io): Promise<number> {
  let code: number = EXIT.done;
  const finish = (exit: number): void => {
    code = exit;
  };
  try {
    await program(io, finish, asksForAll(argv)).parseAsync([...argv], { from: 'user' });
    return code;
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.done : EXIT.wrongUsage;
    if (!(error instanceof InputError)) {
      io.err(defectText(error));
      return EXIT.defect;
    }
    io.err(inputErrorText(error, io.colour.err));
    return error.usage ? EXIT.wrongUsage : EXIT.unusableInput;
  }
}

/** The whole tree of commands and options; `finish` gets the exit code of the command that ran. */
export function program(io: Io, finish: (exit: number) => void, allOptions = false): Command {
  const root = new Command('rootberth')
    .description('How much of each tree’s root protection zone do the proposed works take?')
    .version(VERSION, '-V, --version', 'print the version')
    .exitOverride()
    .configureOutput({
      writeOut: (text) => void io.out(text),
      writeErr: (text) => io.err(text),
      getOutHasColors: () => io.colour.out,
      getErrHasColors: () => io.colour.err,
    })
    .showHelpAfterError('(--help lists commands and options)')
    .addHelpText('after', EXAMPLES.rootberth);
  const run: Run = { io, finish };
  addJobs(root, run);
  addTiles(root, run);
  addOthers(root, run);
  for (const command of root.commands) withHelp(command, allOptions);
  return root;
}

interface Run {
  readonly io: Io;
  readonly finish: (exit: number) => void;
}

/** assess, siting, compare, check, notes, rules: what most come for. */
function addJobs(root: Command, { io, finish }: Run): void {
  withOptions(root.command('assess').description('assess every tree against the works'))
    .addHelpText('after', EXAMPLES.assess)
    .action(async (_flags: unknown, command: Command) => {
      const { runJob, runAssess } = await import('./jobs.js');
      finish(await runJob('assess', command, io, runAssess));
    });
  withOptions(root.command('siting').description('where can the footprint go so that every tree is within its limits?'))
    .addHelpText('after', EXAMPLES.siting)
    .action(async (_flags: unknown, command: Command) => {
      const { runJob, runSiting } = await import('./jobs.js');
      finish(await runJob('siting', command, io, runSiting));
    });
  withOptions(
    root
      .command('compare')
      .description('what changed between two outputs of assess: trees, works, rule, verdicts and why')
      .argument('<before>', 'the earlier output: .geojson, .gpkg, .ndjson, .fgb')
      .argument('<after>', 'the later one'),
  )
    .addHelpText('after', EXAMPLES.compare)
    .action(async (before: string, after: string, flags: Flags<'compare'>) => {
      const { runCompare } = await import('./jobs.js');
      finish(await runCompare(before, after, flags, io));
    });
  withOptions(
    root
      .command('check')
      .description('read and judge the inputs only')
      .argument('<file...>', 'tree surveys, works, lots'),
  )
    .addHelpText('after', EXAMPLES.check)
    .action(async (files: string[], flags: Flags<'check'>) => {
      const { runCheck } = await import('./jobs.js');
      finish(await runCheck(files, flags, io));
    });
  withOptions(
    root
      .command('notes')
      .description('compute field notes: positions, residuals, accuracies, readings that are probably wrong')
      .argument('<file>', 'the notes, a CSV with the columns point and from or base; - is standard input'),
  )
    .addHelpText('after', EXAMPLES.notes)
    .action(async (file: string, flags: Flags<'notes'>) => {
      const { runNotes } = await import('./jobs.js');
      finish(await runNotes(file, flags, io));
    });
  root
    .command('rules')
    .description('list the built-in rules, print one as JSON, or check a rule file')
    .argument('[id|file.json]', 'a rule')
    .addHelpText('after', EXAMPLES.rules)
    .action(async (id: string | undefined) => {
      const { runRules } = await import('./rules.js');
      finish(await runRules(id, io));
    });
}

/** split, run, merge, enqueue, work: a job in tiles. */
function addTiles(root: Command, { io, finish }: Run): void {
  withOptions(root.command('split').description('cut a job into tiles that other machines run'))
    .addHelpText('after', EXAMPLES.split)
    .action(async (_flags: unknown, command: Command) => {
      const { runJob, runSplit } = await import('./jobs.js');
      finish(await runJob('split', command, io, runSplit));
    });
  withOptions(root.command('run').description('run tiles of a job that was split').argument('[file]', 'the manifest'))
    .addHelpText('after', EXAMPLES.run)
    .action(async (manifest: string | undefined, flags: Flags<'run'>) => {
      const { runRun } = await import('./tile-commands.js');
      finish(await runRun(manifest, flags, io));
    });
  withOptions(
    root
      .command('merge')
      .description('put the results of all tiles together: the bytes one machine would have written')
      .argument('[file]', 'the manifest'),
  )
    .addHelpText('after', EXAMPLES.merge)
    .action(async (manifest: string | undefined, flags: Flags<'merge'>) => {
      const { runMerge } = await import('./tile-commands.js');
      finish(await runMerge(manifest, flags, io));
    });
  withOptions(
    root
      .command('enqueue')
      .description('put a job that was split into the queues of Redis, or resume it')
      .argument('[file]', 'the manifest'),
  )
    .addHelpText('after', EXAMPLES.enqueue)
    .action(async (manifest: string | undefined, flags: Flags<'enqueue'>) => {
      const { runEnqueue } = await import('./tile-commands.js');
      finish(await runEnqueue(manifest, flags, io));
    });
  withOptions(root.command('work').description('take tiles from the queues of Redis and run them'))
    .addHelpText('after', EXAMPLES.work)
    .action(async (flags: Flags<'work'>) => {
      const { runWork } = await import('./tile-commands.js');
      finish(await runWork(flags, io));
    });
}

function addOthers(root: Command, { io, finish }: Run): void {
  root
    .command('demo')
    .description('the whole job on the built-in invented subdivision')
    .argument('[dir]', 'folder to write to', 'demo-out')
    .addHelpText('after', EXAMPLES.demo)
    .action(async (dir: string) => {
      const { runDemo } = await import('./jobs.js');
      finish(await runDemo(dir, io));
    });
  root
    .command('completion')
    .description('print a script that completes commands, options and files in a shell')
    .addArgument(new Argument('<shell>', 'the shell').choices(SHELLS))
    .addHelpText('after', EXAMPLES.completion)
    .action(async (shell: (typeof SHELLS)[number]) => {
      const { completionScript } = await import('./jobs.js');
      await io.out(completionScript(root, shell));
      finish(EXIT.done);
    });
}
