// What holds for any damage: in: sound files of every text format and shapefiles, spoilt in bytes or structure; out: a
// layer whose assessment keeps every promise, or an InputError with words and a cure. Never another error, never more
// than 2 s. scripts/mutate.mjs runs ten thousand of them; the suite the first 200.
// Terms: promise = see support/one-file.ts.

import { expect, it } from 'vitest';
import { readLayer } from '../../src/node/read/files.js';
import { type Spoilt, spoilt, spoiltDemo } from '../support/mutate.js';
import { wholeJob } from '../support/one-file.js';

const COUNT = Number(process.env.MUTATIONS ?? 200);
const DEMO = Math.ceil(COUNT / 100); // files of real size take longer
const LIMIT_MS = 2000;

interface Tally {
  layers: number;
  errors: number;
  slowestMs: number;
  readonly codes: Map<string, number>;
  readonly faults: string[];
}

async function one(file: Spoilt, tally: Tally): Promise<void> {
  const start = process.cpuUsage();
  async function* stdin(): AsyncGenerator<Uint8Array> {
    yield file.bytes;
  }
  const where = `${file.how} (${file.name}, ${file.role})`;
  try {
    const outcome = await wholeJob(() => readLayer('-', { ...file.read, name: file.name, stdin: stdin() }), file.role, {
      crs: 'EPSG:2913',
      dbhUnit: 'in',
    });
    if (outcome.outcome === 'layer') tally.layers++;
    else {
      tally.errors++;
      const code = outcome.error?.code ?? '';
      tally.codes.set(code, (tally.codes.get(code) ?? 0) + 1);
    }
    for (const fault of outcome.broken) tally.faults.push(`${where}: ${fault}`);
  } catch (error) {
    tally.faults.push(`${where}: ${error instanceof Error ? (error.stack ?? error.message) : String(error)}`);
  }
  const { user, system } = process.cpuUsage(start);
  const ms = (user + system) / 1000;
  if (ms > tally.slowestMs) tally.slowestMs = ms;
  if (ms > LIMIT_MS) tally.faults.push(`${where}: took ${ms.toFixed(0)} ms`);
}

it(`ends in an assessment that keeps its promises, or an error with a cure: ${COUNT} files`, {
  timeout: COUNT * 200,
}, async () => {
  const tally: Tally = { layers: 0, errors: 0, slowestMs: 0, codes: new Map(), faults: [] };
  for (let seed = 0; seed < COUNT - DEMO; seed++) await one(spoilt(seed), tally);
  for (let seed = 0; seed < DEMO; seed++) await one(spoiltDemo(seed), tally);
  if (process.env.MUTATIONS !== undefined) {
    const codes = [...tally.codes].sort((a, b) => b[1] - a[1]).map(([code, n]) => `${code} ${n}`);
    console.log(
      `MUTATIONS ${COUNT} files: ${tally.layers} assessed, ${tally.errors} refused, ${tally.faults.length} faults, slowest ${tally.slowestMs.toFixed(0)} ms (${codes.join(', ')})`,
    );
  }
  expect({ faults: tally.faults.length, first: tally.faults.slice(0, 5) }).toEqual({ faults: 0, first: [] });
  expect(tally.layers).toBeGreaterThan(COUNT / 4); // damage that only ever ends in refusal would prove little
});
