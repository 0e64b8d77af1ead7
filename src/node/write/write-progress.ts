// How far writing has come. In: an assessment and a listener; out: the same assessment, whose trees are counted as
// they are walked. Terms: pass = one walk over all trees; each role that is drawn from them is one.

import { basename } from 'node:path';
import {
  type Assessment,
  keepTreeViews,
  type Progress,
  type StopSignal,
  type TreeResult,
  treeView,
  treeViews,
} from '../../model/index.js';
import type { Plan } from '../../write/index.js';

/** Trees between two reports. */
const EVERY = 1024;
/** Roles that are not a walk over the trees. */
const OTHERS: readonly string[] = ['lot', 'works', 'existing', 'fence'];

/** Options of every writer of files. */
export interface WriteWatch {
  /** Called with the progress of writing: trees, once for each role that is drawn from them. */
  readonly onProgress?: ((progress: Progress) => void) | undefined;
  /** Stops the writing; an older file stays as it was. The promise is rejected with the signal's reason. */
  readonly signal?: StopSignal | undefined;
}

/** The assessment unchanged where there is no listener. */
export function watched(
  assessment: Assessment,
  path: string,
  roles: Plan['roles'],
  { onProgress, signal }: WriteWatch,
): Assessment {
  if (onProgress === undefined && signal === undefined) return assessment;
  const name = path === '-' ? 'standard output' : basename(path);
  const total = assessment.counts.trees.in * roles.filter((role) => !OTHERS.includes(role)).length;
  let done = 0;
  const tick = (): void => {
    // a format that walks twice (once for widths) stays at the end meanwhile
    onProgress?.({ stage: 'write', name, done: Math.min(done, total), total });
  };
  const seen = signal === undefined ? assessment : assessment.stoppedBy(signal);
  function* each(): Generator<TreeResult> {
    for (const tree of treeViews(seen)) {
      if (done++ % EVERY === 0) tick();
      yield tree;
    }
    tick();
  }
  const counted: Assessment = Object.create(seen);
  keepTreeViews(counted, { each, see: (row) => treeView(assessment, row) });
  return counted;
}
