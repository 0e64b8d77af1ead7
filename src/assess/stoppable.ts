// An assessment that can be stopped during every request. In: an assessment and a signal; out: the same, which looks
// at the signal before each tree and row of works, and within each drawing and each group of fences. Terms: flag = a number in shared
// memory: while this thread works, it receives no timer and no message, but another thread can set a flag.

import {
  type Assessment,
  type FencePlan,
  type Finding,
  keepTreeViews,
  type StopSignal,
  type TreeResult,
  treeView,
  treeViews,
  type WorksResult,
} from '../model/index.js';

/** The same assessment, stopped by the signal; results are kept for the plain one where it keeps them. */
export function stopped(
  assessment: Assessment,
  signal: StopSignal,
  late: {
    readonly fences: (signal: StopSignal) => FencePlan;
    readonly marginFindings: (signal: StopSignal) => readonly Finding[];
  },
): Assessment {
  const looking = <A extends readonly unknown[], R>(act: (...args: A) => R): { value: (...args: A) => R } => ({
    value: (...args) => {
      signal.throwIfAborted();
      return act(...args);
    },
  });
  function* each<T>(items: Iterable<T>): Generator<T> {
    for (const item of items) {
      signal.throwIfAborted();
      yield item;
    }
  }
  let everyTree: readonly TreeResult[] | undefined;
  let everyWorks: readonly WorksResult[] | undefined;
  const result: Assessment = Object.create(assessment, {
    tree: looking(assessment.tree),
    eachTree: { value: () => each(assessment.eachTree()) },
    eachWorks: { value: () => each(assessment.eachWorks()) },
    trees: {
      get: () => {
        everyTree ??= [...each(assessment.eachTree())];
        return everyTree;
      },
    },
    works: {
      get: () => {
        everyWorks ??= [...each(assessment.eachWorks())];
        return everyWorks;
      },
    },
    fences: { get: () => late.fences(signal) },
    marginFindings: { get: () => late.marginFindings(signal) },
    shapes: looking((tree: number) => assessment.shapes(tree, signal)),
    measured: looking((row: number, of?: 'works' | 'existing') => assessment.measured(row, of, signal)),
    reckoning: looking(assessment.reckoning),
  });
  const see = (row: number): TreeResult => treeView(assessment, row);
  keepTreeViews(result, { each: () => each(treeViews(assessment)), see: looking(see).value });
  return result;
}

/**
 * A signal that a number in shared memory gives: other than 0 stops. For `assess` and all that is synchronous, where an
 * AbortSignal of this thread takes effect only at the end: no timer fires meanwhile.
 *
 * @example
 * const flag = new Int32Array(new SharedArrayBuffer(4)); // handed to another thread, which does Atomics.store(flag, 0, 1)
 * assess({ trees, works, signal: flagSignal(flag) });
 */
export function flagSignal(flag: Int32Array): StopSignal {
  return {
    throwIfAborted() {
      if (Atomics.load(flag, 0) !== 0) throw new DOMException('This operation was aborted', 'AbortError');
    },
  };
}
