// What is synchronous can be stopped by a signal that it is asked to look at: counted, so that no clock is needed.
import { describe, expect, test } from 'vitest';
import { flagSignal, geojsonText, type StopSignal, toGeoJSON, toPlan, toReport, toSchedule } from '../../src/core.js';
import { box, localJob, tree } from '../support/local-job.js';

const TREES = 30;
const trees = Array.from({ length: TREES }, (_, i) => tree(i * 40, 0, { dbh_in: 20 }));
const works = [box(-5, 3, TREES * 40, 6, { id: 'drive', kind: 'excavation' })];
const assessment = localJob(trees, works, { options: { margins: false } });

/** A signal that stops when it has been looked at so often. */
function afterLooks(most: number): StopSignal & { looks: number } {
  return {
    looks: 0,
    throwIfAborted() {
      if (++this.looks > most) throw new Error('stopped');
    },
  };
}

const ACTS: Readonly<Record<string, (signal: StopSignal) => unknown>> = {
  'GeoJSON as an object': (signal) => toGeoJSON(assessment, { signal }),
  'GeoJSON as text': (signal) => [...geojsonText(assessment, { signal })],
  trees: (signal) => assessment.stoppedBy(signal).trees,
  drawings: (signal) => trees.map((_, row) => assessment.stoppedBy(signal).shapes(row).overlap),
  'a schedule': (signal) => toSchedule(assessment.stoppedBy(signal)),
  'a report': (signal) => toReport(assessment.stoppedBy(signal)),
  'a plan': (signal) => toPlan(assessment.stoppedBy(signal)),
};

describe.each(Object.entries(ACTS))('%s', (_, act) => {
  test('looks at the signal for each tree or group, and stops at the next look', () => {
    const never = afterLooks(Number.POSITIVE_INFINITY);
    const stop = afterLooks(5);
    expect(() => act(stop)).toThrow('stopped');
    expect(stop.looks).toBe(6);
    act(never);
    expect(never.looks).toBeGreaterThanOrEqual(TREES);
  });
});

test('what was stopped can be asked for again', () => {
  const again = localJob(trees, works, { options: { margins: false } });
  const fenced = afterLooks(3); // each tree has a fence of its own: a look before each
  expect(() => again.stoppedBy(fenced).fences).toThrow('stopped');
  expect(fenced.looks).toBe(4);
  expect(again.fences.fences.length).toBeGreaterThan(0);
  expect(JSON.stringify(toGeoJSON(again.stoppedBy(afterLooks(1e9))))).toBe(JSON.stringify(toGeoJSON(assessment)));
});

test('a flag in shared memory stops what runs in this thread', () => {
  const flag = new Int32Array(new SharedArrayBuffer(4));
  const signal = flagSignal(flag);
  expect(assessment.stoppedBy(signal).trees).toHaveLength(TREES);
  Atomics.store(flag, 0, 1);
  expect(() => assessment.stoppedBy(signal).tree(0)).toThrow('aborted');
  expect(() => toGeoJSON(assessment, { signal })).toThrow(expect.objectContaining({ name: 'AbortError' }));
});

test('an AbortSignal is one as well', () => {
  expect(() => toGeoJSON(assessment, { signal: AbortSignal.abort() })).toThrow(/abort/);
});
