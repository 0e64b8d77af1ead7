// An invented city of any size, for benches and scale tests: in: a number of trees and a seed; out: plain arrays
// (makeCity) or trees.geojson and works.geojson written block by block in bounded memory (writeCity).
// Terms: part = what one block holds, or the roads that start in one row of blocks.
//   node scripts/lib/synthetic.mjs DIR 100000
import { once } from 'node:events';
import { createWriteStream, mkdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { mulberry32 } from './random.mjs';
import { BLOCK, housesOf, LOTS_IN_ROW, lonLat, roadsOf, treesOf } from './synthetic-block.mjs';

const POLYGONS_IN_BLOCK = 30;

/**
 * The city as plain arrays.
 *
 * @param {{ trees: number, polygonsPerTree?: number, seed?: number }} size
 * @returns {{
 *   trees: { id: string, species: string, dbh_in: number, lon: number, lat: number }[],
 *   polygons: { id: string, kind: string, ring: [number, number][] }[],
 * }} rings are lon, lat in degrees, closed, anticlockwise
 * @example
 * const { trees, polygons } = makeCity({ trees: 10000, seed: 1 });
 */
export function makeCity(size) {
  const city = { trees: [], polygons: [] };
  for (const part of cityParts(size)) {
    for (const tree of part.trees) city.trees.push(tree);
    for (const polygon of part.polygons) city.polygons.push(polygon);
  }
  return city;
}

/** The same city in parts, a block (or the roads of a row of blocks) at a time: exactly the numbers asked for. */
export function* cityParts({ trees, polygonsPerTree = 0.53, seed = 1 }) {
  const next = mulberry32(seed);
  const polygons = Math.round(trees * polygonsPerTree);
  const blocks = Math.max(1, Math.ceil(Math.max(polygons / POLYGONS_IN_BLOCK, trees / 120)));
  const columns = Math.ceil(Math.sqrt(blocks));
  const rows = Math.ceil(blocks / columns);
  const made = { trees: 0, polygons: 0 };
  for (let row = 0; row < rows; row++) {
    const roads = roadsOf(next, row, columns, rows).slice(0, polygons - made.polygons);
    yield { trees: [], polygons: numbered(roads, made.polygons) };
    made.polygons += roads.length;
    for (let column = 0; column < columns && row * columns + column < blocks; column++) {
      // what is left is shared out evenly over the blocks that are left
      const left = blocks - row * columns - column;
      const shapes = [];
      const want = Math.min(2 * LOTS_IN_ROW * 2, Math.round((polygons - made.polygons) / left));
      const houses = housesOf(
        next,
        column * BLOCK.width,
        row * BLOCK.depth,
        left === 1 ? polygons - made.polygons : want,
        shapes,
      );
      const treeCount = Math.round((trees - made.trees) / left);
      const block = treesOf(next, column * BLOCK.width, row * BLOCK.depth, treeCount, houses, made.trees);
      yield { trees: block, polygons: numbered(shapes, made.polygons) };
      made.trees += block.length;
      made.polygons += shapes.length;
    }
  }
}

function numbered(shapes, from) {
  return shapes.map((shape, i) => ({ id: `w${from + i + 1}`, kind: shape.kind, ring: closed(shape.ring) }));
}

function closed(ring) {
  const shell = ring.map(([x, y]) => lonLat(x, y));
  shell.push(shell[0]);
  return shell;
}

/**
 * Writes trees.geojson and works.geojson into a folder, a block at a time.
 *
 * @param {string} dir made when it does not exist
 * @param {number} trees
 * @param {{ polygonsPerTree?: number, seed?: number }} [more]
 * @returns {Promise<{ trees: string, works: string, treeCount: number, polygonCount: number }>} paths and counts
 */
export async function writeCity(dir, trees, more = {}) {
  mkdirSync(dir, { recursive: true });
  const out = { trees: join(dir, 'trees.geojson'), works: join(dir, 'works.geojson') };
  const treeFile = new FeatureFile(out.trees);
  const worksFile = new FeatureFile(out.works);
  for (const part of cityParts({ trees, ...more })) {
    for (const t of part.trees) {
      treeFile.add(
        `{"type":"Feature","properties":{"id":"${t.id}","species":"${t.species}","dbh_in":${t.dbh_in}},` +
          `"geometry":{"type":"Point","coordinates":[${t.lon},${t.lat}]}}`,
      );
    }
    for (const w of part.polygons) {
      let ring = '';
      for (const [lon, lat] of w.ring) ring += `${ring === '' ? '' : ','}[${lon},${lat}]`;
      worksFile.add(
        `{"type":"Feature","properties":{"id":"${w.id}","kind":"${w.kind}"},` +
          `"geometry":{"type":"Polygon","coordinates":[[${ring}]]}}`,
      );
    }
    await treeFile.settle();
    await worksFile.settle();
  }
  await treeFile.end();
  await worksFile.end();
  return { ...out, treeCount: treeFile.count, polygonCount: worksFile.count };
}

/** A FeatureCollection written in pieces of about a megabyte; `settle` waits while the disc is behind. */
class FeatureFile {
  count = 0;
  #stream;
  #text = '{"type":"FeatureCollection","source":"invented data","features":[\n';

  constructor(path) {
    this.#stream = createWriteStream(path);
  }

  add(feature) {
    this.#text += this.count === 0 ? feature : `,\n${feature}`;
    this.count++;
  }

  async settle() {
    if (this.#text.length < 1 << 20) return;
    const text = this.#text;
    this.#text = '';
    if (!this.#stream.write(text)) await once(this.#stream, 'drain');
  }

  async end() {
    this.#stream.end(`${this.#text}\n]}\n`);
    await once(this.#stream, 'finish');
  }
}

if (process.argv[1] !== undefined && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const [dir, count] = process.argv.slice(2);
  const trees = Number(count);
  if (dir === undefined || !Number.isSafeInteger(trees) || trees < 1) {
    console.error('usage: node scripts/lib/synthetic.mjs DIR TREES');
    process.exitCode = 2;
  } else {
    const start = performance.now();
    const made = await writeCity(dir, trees);
    const megabytes = [made.trees, made.works].map((f) => (statSync(f).size / 1e6).toFixed(1));
    console.log(
      `${made.treeCount} trees (${megabytes[0]} MB), ${made.polygonCount} polygons (${megabytes[1]} MB), ` +
        `${((performance.now() - start) / 1000).toFixed(1)} s, ${(process.resourceUsage().maxRSS / 1024).toFixed(0)} MB of memory`,
    );
  }
}
