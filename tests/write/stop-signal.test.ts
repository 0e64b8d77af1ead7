// What is synchronous can be stopped by a signal that it is asked to look at: counted, so that no clock is needed.
import { describe, expect, test } from 'vitest';
import {
  type AssessJob,
  flagSignal,
  geojsonText,
  type StopSignal,
  shade,
  siting,
  toGeoJSON,
  toPlan,
  toReport,
  toSchedule,
} from '../../src/core.js';
import { box, localJob, localLayer, tree } from '../support/local-job.js';

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

describe('one tree that takes long', () => {
  // A comb whose every tooth has another height: what is drawn of it is drawn in strips, with a look before each.
  const teeth = Array.from({ length: 4000 }, (_, i): readonly [number, number] => {
    const off = (i * 0.618) % 1;
    return [-9 + (i * 9) / 2000, i % 2 === 0 ? 8 + off : 3 + off];
  });
  const comb = { rings: [[...teeth, [9, 9.5], [-9, 9.5]] as const], properties: { id: 'comb', kind: 'building' } };
  const hard = () => localJob([tree(0, 0, { dbh_in: 33 })], [comb], { options: { margins: false } });
  const house = box(2, -8, 12, 8, { id: 'house', kind: 'building' });
  const job = (signal: StopSignal): AssessJob => ({
    trees: localLayer('trees.csv', [tree(0, 0, { dbh_in: 33 })]),
    works: [{ layer: localLayer('works.csv', [house]) }],
    options: { crs: 'local:m' },
    signal,
  });
  const shaded = localJob(
    [tree(500000, 5000000, { dbh_in: 20, height_m: 12, crown_radius_m: 4 })],
    [box(500008, 4999990, 500018, 5000010, { id: 'house', kind: 'building', height_m: 6 })],
    { options: { margins: false, crs: 'EPSG:32610' } },
  );
  const long: Readonly<Record<string, readonly [looks: number, act: (signal: StopSignal) => unknown]>> = {
    overlap: [8, (signal) => hard().shapes(0, signal).overlap],
    'severed ground': [10, (signal) => hard().stoppedBy(signal).shapes(0).severed],
    'works as measured': [10, (signal) => hard().stoppedBy(signal).measured(0)],
    'its fence': [20, (signal) => hard().stoppedBy(signal).fences],
    'a siting': [1000, (signal) => siting(job(signal), { shiftM: 12, turnDeg: 10 })],
    'one facade and one tree': [1000, (signal) => shade(shaded, {}, undefined, signal)],
  };

  test.each(Object.entries(long))('%s is left at the next look', (_, [least, act]) => {
    const never = afterLooks(Number.POSITIVE_INFINITY);
    act(never);
    expect(never.looks).toBeGreaterThanOrEqual(least);
    for (const share of [0.1, 0.5, 0.9]) {
      const stop = afterLooks(Math.floor(never.looks * share));
      expect(() => act(stop)).toThrow('stopped');
      expect(stop.looks).toBe(Math.floor(never.looks * share) + 1);
    }
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
