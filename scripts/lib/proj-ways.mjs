// What PROJ itself does with a datum at a place. In: `projinfo` and `cct`; out: its best operation without a grid there,
// and how far ours is from it in metres. Terms: middle = of an area of use, in degrees; best = the first that projinfo
// lists for a point, without operations that need a grid (we ship none) and without "ballpark" ones (no datum shift).
// Costs a process for each datum and place, a tenth of a second, unless it is in the cache folder; and one for each operation.

import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { run } from './crs-compiled.mjs';

const RAD = Math.PI / 180;
const NOTHING = '+proj=noop';
const HALF_DEGREES = 0.005; // half the side of the box about a point: 500 m, well within any area
const A = 6378137;
const ES = 0.0066943799901413165;

/** The middle of an area (west, south, east, north), also over the antimeridian. */
export function middleOf([w, s, e, n]) {
  const width = e >= w ? e - w : e + 360 - w;
  const lon = w + width / 2;
  return [lon > 180 ? lon - 360 : lon, (s + n) / 2];
}

/** Answers of projinfo, kept between runs of one PROJ version: asking for all of them takes a quarter of an hour. */
export class WaysOfProj {
  #file;
  #known;

  constructor(version) {
    this.#file = new URL(`../../node_modules/.cache/proj-ways-${version}.json`, import.meta.url);
    this.#known = new Map(existsSync(this.#file) ? JSON.parse(readFileSync(this.#file, 'utf8')) : []);
  }

  /** PROJ's best operation without a grid from a geographic system to WGS 84 at a place; null where it has none. */
  async best(code, [lon, lat]) {
    const steady = (list) => list.filter(({ pipeline }) => !/t_epoch=/.test(pipeline)); // no time is known
    const anywhere = steady(await this.#ways(String(code), []));
    // Nothing to choose from: the same everywhere.
    if (anywhere.every(({ pipeline }) => pipeline === NOTHING)) return anywhere[0] ?? null;
    const h = HALF_DEGREES;
    const box = [lon - h, lat - h, lon + h, lat + h].map((v) => v.toFixed(4)).join(',');
    const ways = await this.#ways(`${code} ${box}`, ['--bbox', box, '--spatial-test', 'contains']);
    return steady(ways)[0] ?? null;
  }

  #ways(key, places) {
    if (!this.#known.has(key)) {
      const answer = waysWithoutGrid(key.split(' ')[0], places);
      this.#known.set(key, answer);
      answer.then((ways) => this.#known.set(key, ways));
    }
    return this.#known.get(key);
  }

  save() {
    mkdirSync(new URL('.', this.#file), { recursive: true });
    writeFileSync(this.#file, JSON.stringify([...this.#known]));
  }
}

/** Operations without a grid from a geographic system to WGS 84, the best first, as projinfo lists them for `places`. */
async function waysWithoutGrid(code, places) {
  const form = ['--grid-check', 'none', '-o', 'PROJ', '--single-line'];
  const text = await run('projinfo', ['-s', `EPSG:${code}`, '-t', 'EPSG:4326', ...places, ...form]);
  return text
    .split(/Operation No\. \d+:\n/)
    .slice(1)
    .flatMap((block) => {
      const about = block.split('\n').find((line) => line !== '') ?? '';
      const pipeline = /PROJ string:\n(.*)/.exec(block)?.[1].trim() ?? '';
      return pipeline === '' || /grids?=|model=|ballpark/i.test(`${pipeline} ${about}`) ? [] : [{ about, pipeline }];
    });
}

/**
 * Where PROJ's operation puts points of a system. Points are longitude, latitude in degrees on the system's own meridian,
 * whatever its unit and axis order; so are the results, in WGS 84.
 */
export async function projPlaces(pipeline, points) {
  if (pipeline === NOTHING) return points;
  const per = /xy_in=grad/.test(pipeline) ? 10 / 9 : 1;
  const latFirst = /^\+proj=pipeline \+step \+proj=axisswap \+order=2,1/.test(pipeline);
  const lines = points.map(([lon, lat]) => (latFirst ? [lat, lon] : [lon, lat]).map((v) => (v * per).toFixed(13)));
  const input = `${lines.map((line) => `${line.join(' ')} 0 0`).join('\n')}\n`;
  const text = await run('cct', ['-d', '13', ...pipeline.split(' ')], input);
  return text
    .trim()
    .split('\n')
    .map((line) => {
      const [lat, lon] = line.trim().split(/\s+/).map(Number); // EPSG:4326 is latitude first
      return [lon, lat];
    });
}

/** Distance of two near places on the ellipsoid, by its radii there. */
export function apart([lon, lat], [lon2, lat2]) {
  const w = 1 - ES * Math.sin(lat * RAD) ** 2;
  const north = ((A * (1 - ES)) / w ** 1.5) * (lat2 - lat) * RAD;
  const east = (A / Math.sqrt(w)) * Math.cos(lat * RAD) * (((lon2 - lon + 540) % 360) - 180) * RAD;
  return Math.hypot(east, north);
}
