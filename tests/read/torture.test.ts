// Files as they should not be: in: tests/scenarios/torture, made by scripts/make-torture.mjs; out: what each came to is
// what expected.json says, and no file breaks a promise. TORTURE_REGEN=1 writes expected.json anew: read its diff.
// `says` in it is for the reader; only outcome, codes and places are held.

import { readFileSync, writeFileSync } from 'node:fs';
import { afterAll, describe, expect, it } from 'vitest';
import { describeLayer } from '../../src/describe/describe.js';
import { descriptionRows } from '../../src/describe/text.js';
import type { AssessOptions } from '../../src/model/index.js';
import { readLayer } from '../../src/node/read/files.js';
import { type Outcome, type Role, wholeJob } from '../support/one-file.js';

const folder = new URL('../scenarios/torture/', import.meta.url);
const json = (name: string): unknown => JSON.parse(readFileSync(new URL(name, folder), 'utf8'));
interface Case {
  readonly role: Role;
  readonly options?: Omit<AssessOptions, 'crs' | 'dbhUnit'> & {
    readonly read?: object;
    readonly crs?: string | null;
    readonly dbhUnit?: AssessOptions['dbhUnit'] | null;
  };
}
interface Place {
  readonly code: string;
  readonly feature?: number;
  readonly path?: string;
  readonly times?: number;
  readonly says?: string;
}
interface Expected {
  readonly outcome: 'layer' | 'error';
  readonly features?: number;
  readonly error?: Place;
  readonly findings?: readonly Place[];
}

const REGEN = process.env.TORTURE_REGEN === '1';
const cases = Object.entries(json('manifest.json') as Record<string, Case>);
const expected = REGEN ? {} : (json('expected.json') as Record<string, Expected>);
const made: Record<string, Expected> = {};
const LIMIT_MS = 2000;
/** What every run says; it would drown the rest. */
const USUAL = new Set(['default-rule', 'crs-assigned', 'rule-note', 'crs-mixed-datums', 'depth-unknown']);

function seen(outcome: Outcome): Expected {
  const { error, layer, findings } = outcome;
  const place = (code: string, feature: number | null, path: string | null, says: string): Place => ({
    code,
    ...(feature === null ? {} : { feature }),
    ...(path === null ? {} : { path }),
    says,
  });
  const groups = new Map<string, Place & { times: number }>();
  for (const one of findings) {
    if (USUAL.has(one.code) || one.layer === 'companion.geojson') continue;
    const group = groups.get(one.code);
    if (group !== undefined) group.times++;
    else groups.set(one.code, { ...place(one.code, one.feature, one.path, one.message), times: 1 });
  }
  return {
    outcome: outcome.outcome,
    ...(layer === null ? {} : { features: layer.count }),
    ...(error === null
      ? {}
      : { error: place(error.code, error.feature, error.path, `${error.message} / ${error.cure}`) }),
    ...(groups.size === 0 ? {} : { findings: [...groups.values()] }),
  };
}

const held = ({ outcome, features, error, findings }: Expected): unknown => {
  const bare = (one: Place | undefined): unknown => (one === undefined ? undefined : { ...one, says: undefined });
  return { outcome, features, error: bare(error), findings: findings?.map(bare) };
};

describe('files as they should not be', () => {
  it.each(cases)('%s', { timeout: 4 * LIMIT_MS }, async (path, { role, options = {} }) => {
    const name = path.slice(path.lastIndexOf('/') + 1);
    const { read, crs = 'EPSG:2913', dbhUnit = 'in', ...more } = options;
    const start = process.cpuUsage(); // not the clock: other work on the machine does not count
    const outcome = await wholeJob(() => readLayer(new URL(path, folder).pathname, read), role, {
      ...more,
      ...(crs === null ? {} : { crs }),
      ...(dbhUnit === null ? {} : { dbhUnit }),
    });
    const { user, system } = process.cpuUsage(start);
    expect((user + system) / 1000).toBeLessThan(LIMIT_MS);
    expect(outcome.broken).toEqual([]);
    // `check` has something to say of any layer, and never throws.
    if (outcome.layer !== null) expect(descriptionRows(describeLayer(outcome.layer)).length).toBeGreaterThan(5);
    if (outcome.error !== null && outcome.error.usage === false) {
      const { error } = outcome;
      expect(`${error.layer} ${error.message}`).toContain(name);
    }
    made[path] = seen(outcome);
    if (!REGEN) expect(held(made[path])).toEqual(held(expected[path]!));
  });

  afterAll(() => {
    if (REGEN) writeFileSync(new URL('expected.json', folder), `${JSON.stringify(made, null, 1)}\n`);
  });

  it.skipIf(REGEN)('says what is expected of every file, and of no other', () => {
    expect(Object.keys(expected).toSorted()).toEqual(cases.map(([path]) => path).toSorted());
  });
});
