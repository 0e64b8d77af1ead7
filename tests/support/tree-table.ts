// Tree tables for tests, from a few facts per tree; lengths in metres.
import { AGES, type Age, LayerBuilder, TOLERANCES, type Tolerance, type TreeTable } from '../../src/model/index.js';

export interface TestTree {
  readonly dbh?: number;
  readonly stems?: readonly number[];
  readonly base?: number;
  readonly zone?: number;
  readonly height?: number;
  readonly crown?: number | readonly [number, number, number, number];
  readonly tolerance?: Tolerance;
  readonly age?: Age;
  readonly form?: string;
  readonly rejected?: readonly string[];
  readonly notes?: readonly string[];
}

export function treeTable(trees: readonly TestTree[]): TreeTable {
  const builder = new LayerBuilder('trees.csv', 'csv');
  trees.forEach((_, i) => {
    builder.begin('point');
    builder.part();
    builder.ring();
    builder.vertex(i, 0);
    builder.end({});
  });
  const column = (pick: (t: TestTree) => number | undefined): Float64Array =>
    Float64Array.from(trees, (t) => pick(t) ?? Number.NaN);
  const map = (pick: (t: TestTree) => readonly string[] | undefined): Map<number, readonly string[]> =>
    new Map(trees.flatMap((t, i) => (pick(t) === undefined ? [] : [[i, pick(t)!] as const])));
  return {
    layer: builder.finish({ crs: null, sha256: null }),
    count: trees.length,
    xy: Float64Array.from(trees.flatMap((_, i) => [i, 0])),
    key: trees.map((_, i) => `T${i + 1}`),
    dbhM: column((t) => t.dbh),
    stemsM: new Map(trees.flatMap((t, i) => (t.stems ? [[i, t.stems] as const] : []))),
    baseDiaM: column((t) => t.base),
    zoneRadiusM: column((t) => t.zone),
    heightM: column((t) => t.height),
    crownBaseM: column(() => undefined),
    crownM: Float64Array.from(
      trees.flatMap((t) => {
        const crown = t.crown ?? Number.NaN;
        return typeof crown === 'number' ? [crown, crown, crown, crown] : crown;
      }),
    ),
    accuracyM: column(() => undefined),
    z: null,
    disposition: new Uint8Array(trees.length),
    age: Uint8Array.from(trees, (t) => (t.age === undefined ? 255 : AGES.indexOf(t.age))),
    tolerance: Uint8Array.from(trees, (t) => (t.tolerance === undefined ? 255 : TOLERANCES.indexOf(t.tolerance))),
    form: trees.map((t) => t.form),
    species: trees.map(() => undefined),
    protected: new Uint8Array(trees.length).fill(255),
    offSite: new Uint8Array(trees.length).fill(255),
    text: () => undefined,
    rejected: map((t) => t.rejected),
    notes: map((t) => t.notes),
  };
}
