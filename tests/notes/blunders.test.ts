import { expect, it } from 'vitest';
import { type FieldNotes, readNotes } from '../../src/index.js';
import { normal, seeded } from '../support/networks.js';

const SIGMA_FT = 0.05;
/** Below it, a foot in a reading good to 0.05 ft moves its standardised residual by less than 5: no one could see it. */
const LEAST_CHECK = 0.0625;

interface Net {
  readonly text: string;
  readonly plantedRow: number;
}

const read = (text: string): FieldNotes => readNotes(new TextEncoder().encode(text), { name: 'notes.csv' });

/** Four stakes and a tree, tied by 7 distances, which fix them, and more; side said; ties good to 0.05 ft. */
function stakesAndTree(seed: number, extra: number, blunderFt: number): Net {
  const random = seeded(seed);
  const at = [
    [0, 0],
    [60 + 20 * random(), 0],
    [70 + 20 * random(), 50 + 20 * random()],
    [-10 + 20 * random(), 50 + 20 * random()],
    [30 + 10 * random(), 25 + 10 * random()],
  ] as const;
  const pairs: [number, number][] = [];
  for (let p = 1; p < 5; p++) for (let q = 0; q < p; q++) pairs.push([p, q]);
  const chosen = pairs.filter(([p, q]) => p === 1 || q < 2);
  const rest = pairs.filter((pair) => !chosen.includes(pair));
  while (chosen.length < 7 + extra) chosen.push(rest.splice(Math.floor(random() * rest.length), 1)[0]!);
  return written(at, chosen, random, blunderFt, 'point,from,distance_ft,accuracy_ft,base,side', (p) =>
    p > 1 ? 'A>B,left' : ',',
  );
}

/** A tree tied to as many known stakes as there are, round about it. */
function knownStakes(seed: number, extra: number, blunderFt: number): Net {
  const random = seeded(seed);
  const stakes = Array.from({ length: 2 + extra }, (_, i): [number, number] => {
    const to = ((i + random()) / (2 + extra)) * 2 * Math.PI;
    const far = 30 + 50 * random();
    return [1000 + far * Math.cos(to), 2000 + far * Math.sin(to)];
  });
  const tree = stakes.length;
  const { text, plantedRow } = written(
    [...stakes, [1000, 2000]],
    stakes.map((_, q) => [tree, q]),
    random,
    blunderFt,
    'point,from,distance_ft,accuracy_ft,easting_ft,northing_ft',
    () => ',',
  );
  const [head, ...ties] = text.trimEnd().split('\n');
  const known = stakes.map(([x, y], i) => `${'ABCDEFGH'[i]},,,0.001,${x},${y}`);
  return { text: `${[head, ...known, ...ties].join('\n')}\n`, plantedRow: plantedRow + stakes.length };
}

function written(
  at: readonly (readonly [number, number])[],
  pairs: readonly (readonly [number, number])[],
  random: () => number,
  blunderFt: number,
  head: string,
  more: (p: number) => string,
): Net {
  const planted = Math.floor(random() * pairs.length);
  const error = random() < 0.5 ? -blunderFt : blunderFt;
  const lines = pairs.map(([p, q], i) => {
    const d = Math.hypot(at[p]![0] - at[q]![0], at[p]![1] - at[q]![1]) + SIGMA_FT * normal(random);
    return `${'ABCDEFGH'[p]},${'ABCDEFGH'[q]},${(d + (i === planted ? error : 0)).toFixed(4)},${SIGMA_FT},${more(p)}`;
  });
  return { text: `${head}\n${lines.join('\n')}\n`, plantedRow: planted + 2 };
}

const rowsNamed = ({ blunders, readings }: FieldNotes): number[] =>
  blunders.flatMap(({ suspects }) => suspects.map(({ reading }) => readings[reading]!.reading.row));

/** Of clean notes: how much of a row's distance the others check. */
function checkOf(notes: FieldNotes, row: number): number {
  return notes.readings.find(({ reading }) => reading.row === row && reading.kind === 'distance')!.redundancy;
}

it.each([
  ['stakes and a tree', stakesAndTree, 2],
  ['stakes and a tree', stakesAndTree, 3],
  ['known stakes', knownStakes, 2],
  ['known stakes', knownStakes, 4],
] as const)('names a planted foot among %s (%#)', (_, make, extra) => {
  const seen = { alone: 0, together: 0, missed: 0 };
  for (let seed = 1; seen.alone + seen.together + seen.missed < 200; seed++) {
    if (checkOf(read(make(seed, extra, 0).text), make(seed, extra, 0).plantedRow) < LEAST_CHECK) continue;
    const { text, plantedRow } = make(seed, extra, 1);
    const notes = read(text);
    const rows = rowsNamed(notes);
    if (!rows.includes(plantedRow)) seen.missed++;
    else if (rows.length === 1) seen.alone++;
    else seen.together++;
  }
  expect(seen.missed).toBeLessThanOrEqual(10);
});

it.each([
  ['stakes and a tree', stakesAndTree, 3],
  ['known stakes', knownStakes, 2],
] as const)('names nothing in 95 of 100 clean networks of %s', (_, make, extra) => {
  let named = 0;
  for (let seed = 1; seed <= 400; seed++) if (read(make(seed, extra, 0).text).blunders.length > 0) named++;
  expect(named).toBeLessThanOrEqual(20);
});
