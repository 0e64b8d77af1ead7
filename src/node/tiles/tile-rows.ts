// Which rows a tile loads. In: a job that was checked and placed, its inputs; out: per tile and input its own rows, those in its
// halo, and the witnesses. Terms: see manifest.ts and tiles/witnesses.ts; apart = witnesses that lie elsewhere.

import { quadAt } from '../../geometry/index.js';
import type { Assessment } from '../../model/index.js';
import { boxesOf, rowsNear, treeWitnesses, worksWitnesses } from '../../tiles/index.js';
import type { SplitInput } from './inputs.js';
import type { Manifest } from './manifest.js';

export interface Rows {
  readonly rows: Uint32Array;
  /** Of them, witnesses that lie elsewhere. */
  readonly apart: ReadonlySet<number>;
}

function withAlong(own: Uint32Array, along: Iterable<number>): Rows {
  const held = new Set(own);
  const apart = new Set([...along].filter((row) => !held.has(row)));
  return { rows: apart.size === 0 ? own : Uint32Array.from([...own, ...apart]).sort(), apart };
}

function unique(rows: Uint32Array): Uint32Array {
  return rows.filter((row, i) => i === 0 || rows[i - 1] !== row);
}

/** A function that gives the rows of a tile, input by input, from its own trees and their box. */
export function rowFinder(
  survey: Assessment,
  inputs: readonly SplitInput[],
  worksBoxes: Float64Array,
  halo: Manifest['haloM'],
): (own: Uint32Array, box: readonly number[] | null) => Rows[] {
  const { trees, treeLonLat, works, lots, lotsLonLat, existing, zonePolygons, crownPolygons } = survey.job;
  const counts = Uint8Array.from(survey.eachWorks(), ({ counted }) => (counted === 'false' ? 0 : 1));
  const treesAlong = treeWitnesses(trees, treeLonLat, crownPolygons?.table.rowOfTree ?? null);
  const worksAlong = worksWitnesses(works, counts);
  const nearWorks = rowsNear(worksBoxes);
  const nearLots = lots === null ? null : rowsNear(boxesOf(lots.geometry, lotsLonLat));
  const nearExisting = existing === null ? null : rowsNear(boxesOf(existing.works.geometry, existing.lonLat));
  return (own: Uint32Array, box: readonly number[] | null): Rows[] => {
    const tile = quadAt(box ?? [1, 0, 0, 0]);
    const ground = { works: nearWorks(tile, halo.works), existing: nearExisting?.(tile, halo.ground) };
    const drawn = (rowOfTree: ReadonlyMap<number, readonly number[]> | undefined): Uint32Array =>
      Uint32Array.from([...own, ...treesAlong].flatMap((row) => rowOfTree?.get(row) ?? [])).sort();
    const taken = { works: 0, existing: 0 };
    return inputs.map(({ role, layer }): Rows => {
      if (role === 'trees') return withAlong(own, treesAlong);
      if (role === 'lots') return withAlong(nearLots?.(tile, halo.ground) ?? new Uint32Array(), []);
      if (role === 'zones') return withAlong(unique(drawn(zonePolygons?.table.rowOfTree)), []);
      if (role === 'crowns') return withAlong(unique(drawn(crownPolygons?.table.rowOfTree)), []);
      const table = role === 'works' ? 'works' : 'existing';
      const base = taken[table];
      taken[table] += layer.count;
      const inLayer = (rows: Uint32Array): Uint32Array =>
        rows.filter((row) => row >= base && row < base + layer.count).map((row) => row - base);
      return withAlong(inLayer(ground[table] ?? new Uint32Array()), role === 'works' ? inLayer(worksAlong) : []);
    });
  };
}
