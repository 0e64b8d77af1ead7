// Which manifest is meant. In: the file that stands alone and the one behind --manifest; out: one path, or wrong usage.
// Terms: manifest = what rootberth split writes. Constant.

import { resolve } from 'node:path';
import type { InputError } from '../model/index.js';
import { usage } from './values.js';

/** The manifest named, undefined where none is; `run job.json` and `run --manifest job.json` mean the same. */
export function manifestOf(file: string | undefined, named: string | undefined): string | undefined {
  if (file !== undefined && named !== undefined && resolve(file) !== resolve(named)) {
    throw usage('manifest-twice', `two manifests are named: ${file}, and ${named} with --manifest`, 'name one of them');
  }
  return file ?? named;
}

/** The error where a command has no manifest to work on. */
export function manifestMissing(command: 'run' | 'merge' | 'enqueue'): InputError {
  return usage('option-missing', 'the manifest is missing', `name it: rootberth ${command} job.json`);
}
