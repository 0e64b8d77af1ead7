// A small invented scene in files of several formats: in: a folder and a format; out: a job on it. Trees in two clumps 30 km
// apart with works between and among them; two trees share an id, one has no id, one no place, one stands on another.
import { execFileSync } from 'node:child_process';
import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { type AssessFilesOptions, assessFiles, writeAssessment } from '../../src/node.js';

type Format = 'geojson' | 'ndjson' | 'csv' | 'gpkg' | 'fgb' | 'zip';

interface Tree {
  readonly at: readonly [lon: number, lat: number] | null;
  readonly properties: Readonly<Record<string, string | number | null>>;
}

/** Numbers that look at random and are always the same. */
function numbers(seed: number): () => number {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

export function sceneTrees(count: number): Tree[] {
  const next = numbers(7);
  return Array.from({ length: count }, (_, i): Tree => {
    const east = i % 3 === 0 ? 0.4 : 0;
    const at = [-122.6 + east + next() * 0.002, 45.4 + next() * 0.0015] as const;
    const id = i === 9 ? 'T3' : i === 11 ? null : `T${i}`;
    return {
      at: i === 13 ? null : i === 15 ? [-122.6, 45.4] : at,
      properties: {
        id,
        species: ['Acer rubrum', 'Tilia cordata', 'Quercus'][i % 3]!,
        dbh_in: Math.round(6 + next() * 30),
        crown_radius_ft: i === 20 ? 15 : null,
        remarks: i === 17 ? 'says "no", twice\nand more' : null,
      },
    };
  });
}

function worksFeatures(): object[] {
  const next = numbers(11);
  return Array.from({ length: 24 }, (_, i) => {
    const [x, y] = [-122.6 + (i % 3 === 0 ? 0.4 : 0) + next() * 0.002, 45.4 + next() * 0.0015];
    const [w, h] = [0.0001 + next() * 0.0002, 0.0001 + next() * 0.0001];
    const ring = [
      [x, y],
      [x + w, y],
      [x + w, y + h],
      [x, y + h],
      [x, y],
    ];
    return {
      type: 'Feature',
      geometry: { type: 'Polygon', coordinates: [ring] },
      properties: { kind: ['building', 'paving', 'trench'][((i * 5) % 7) % 3], depth_m: 0.4, height_m: 6 },
    };
  });
}

const feature = ({ at, properties }: Tree): object => ({
  type: 'Feature',
  geometry: at === null ? null : { type: 'Point', coordinates: at },
  properties,
});

/** Writes the scene; trees in the format, works as GeoJSON. */
export async function scene(dir: string, format: Format, count: number = 40): Promise<AssessFilesOptions> {
  const path = join(dir, `trees-${format}.${format}`);
  const works = join(dir, `works-${format}.geojson`);
  await writeFile(works, JSON.stringify({ type: 'FeatureCollection', features: worksFeatures() }, null, 1));
  // A file with an index knows no features without a place.
  const trees = sceneTrees(count).filter(({ at }) => at !== null || (format !== 'gpkg' && format !== 'fgb'));
  await WRITE[format](path, trees);
  return { trees: path, works: [works] };
}

/** By our own writer, from an assessment of the same trees. */
async function indexed(path: string, trees: readonly Tree[]): Promise<void> {
  const plain = `${path}.geojson`;
  await WRITE.geojson(plain, trees);
  const assessment = await assessFiles({
    trees: plain,
    works: [path.replace(/trees-(\w+)\.\w+$/, 'works-$1.geojson')],
    margins: false,
  });
  await writeAssessment(path, assessment, { roles: ['tree'], prefix: 'x_' });
}

const WRITE: Readonly<Record<Format, (path: string, trees: readonly Tree[]) => Promise<void>>> = {
  geojson: (path, trees) =>
    writeFile(
      path,
      JSON.stringify({ name: 'x ] } "', features: trees.map(feature), type: 'FeatureCollection' }, null, 1),
    ),
  ndjson: (path, trees) => writeFile(path, `${trees.map((tree) => JSON.stringify(feature(tree))).join('\n\n')}\n`),
  async csv(path, trees) {
    const rows = trees.map(({ at, properties }) =>
      [
        at?.[0] ?? '',
        at?.[1] ?? '',
        ...Object.values(properties).map((value) => String(value ?? '').replace(/[",\n]/g, ' ')),
      ].join(','),
    );
    const names = Object.keys(trees[0]?.properties ?? {});
    await writeFile(path, [['lon', 'lat', ...names].join(','), ...rows, ''].join('\r\n'));
  },
  gpkg: indexed,
  fgb: indexed,
  async zip(path, trees) {
    const inner = path.replace(/zip$/, 'packed.geojson');
    await WRITE.geojson(inner, trees);
    execFileSync('zip', ['-qj', path, inner]);
  },
};
