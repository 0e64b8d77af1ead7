// Trees that can shade. In: the tree table; out: a solid and a transmission for each tree whose height and crown are known.
// Terms: shader = such a tree; standing = it stays (one to be removed or transplanted is gone, and so is a trunk in works).

import type { ShadeSettings } from '../model/index.js';
import { type Job, staysByCode, type TreeTable } from '../model/index.js';
import { foliageOf } from './foliage.js';
import type { CrownSolid } from './solid.js';

/** Share of the height at which a crown begins where the survey does not say; common practice, no source. */
const BASE_SHARE = 1 / 3;

export interface Shader {
  readonly row: number;
  readonly key: string;
  readonly standing: boolean;
  readonly solid: Omit<CrownSolid, 'x' | 'y'>;
  readonly reachM: number; // largest crown radius
  readonly transmission: readonly number[]; // by month
  readonly reasons: readonly string[];
}

export interface Shaders {
  readonly list: readonly Shader[];
  readonly lonLat: Float64Array; // 2 per shader
  readonly unknown: number; // trees without height or crown
  readonly unread: ReadonlyMap<string, number>; // field -> trees whose text could not be read
}

/** `inWorks` knows the trees whose trunk the works take. */
export function shadersOf(job: Job, lat: number, settings: ShadeSettings, inWorks: (row: number) => boolean): Shaders {
  const { trees, treeLonLat } = job;
  const list: Shader[] = [];
  const lonLat: number[] = [];
  const unread = new Map<string, number>();
  let unknown = 0;
  for (let row = 0; row < trees.count; row++) {
    const [lon, latitude] = [treeLonLat[row * 2]!, treeLonLat[row * 2 + 1]!];
    if (Number.isNaN(lon)) continue;
    const height = trees.heightM[row]!;
    const radii = radiiOf(job, row);
    if (!(height > 0) || radii === null) {
      unknown++;
      continue;
    }
    const given = trees.crownBaseM[row]!;
    const based = given >= 0 && given < height;
    const foliage = foliageOf(trees, row, lat, settings);
    for (const field of foliage.unread) unread.set(field, (unread.get(field) ?? 0) + 1);
    const dbh = trees.dbhM[row]!;
    list.push({
      row,
      key: trees.key.at(row)!,
      standing: staysByCode(trees.disposition[row]!) && !inWorks(row),
      solid: {
        baseM: based ? given : height * BASE_SHARE,
        topM: height,
        radii,
        trunkRadiusM: dbh > 0 ? dbh / 2 : 0,
        shape: trees.form[row] === 'columnar' ? 'cylinder' : settings.solid,
      },
      reachM: Math.max(...radii),
      transmission: foliage.byMonth,
      reasons: based ? foliage.reasons : ['crown-base-assumed', ...foliage.reasons],
    });
    lonLat.push(lon, latitude);
  }
  return { list, lonLat: Float64Array.from(lonLat), unknown, unread };
}

/** The four radii of the survey; for a drawn crown those of a circle with its area; null where neither is known. */
function radiiOf({ trees, crowns }: Job, row: number): CrownSolid['radii'] | null {
  const four = ownRadii(trees, row);
  if (four !== null) return four;
  const area = crowns?.areaM2(row) ?? Number.NaN;
  if (!(area > 0)) return null;
  const r = Math.sqrt(area / Math.PI);
  return [r, r, r, r];
}

function ownRadii({ crownM }: TreeTable, row: number): CrownSolid['radii'] | null {
  const at = row * 4;
  const four: [number, number, number, number] = [crownM[at]!, crownM[at + 1]!, crownM[at + 2]!, crownM[at + 3]!];
  return four.every((radius) => radius >= 0) && four.some((radius) => radius > 0) ? four : null;
}
