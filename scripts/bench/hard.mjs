// Hard shapes, seeded: how processor time grows with their size. In: nothing (or names of shapes); out: a table on stdout.
//   npm run bench -- --hard              all shapes at all sizes
//   npm run bench -- --hard comb holes   some of them
// Columns: n, then processor milliseconds of the assessment without margins (percent, severed, worst works), with margins,
// and with everything drawn (the text of geojsonText: shapes and fences); under each shape the slope of log time on log n over its last
// two sizes: 1 grows like n, 2 like its square. Each figure is a process of its own, stopped after LIMIT_S of
// processor time.
// Terms: shape = what lies about one tree (or many), as GeoJSON features in a plane.

import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { mulberry32 } from '../lib/random.mjs';

const LIMIT_S = 20;
const COLUMNS = ['percent', 'margins', 'everything'];
/** Easting and northing of the first tree: nothing fits degrees. */
const AWAY = 5000;
/** A zone of 10 m at a foot per inch, centimetres of diameter. */
const DBH_CM = (10 / 0.3048) * 2.54;

const rect = (x0, y0, x1, y1) => [
  [x0, y0],
  [x1, y0],
  [x1, y1],
  [x0, y1],
];
const turned = (ring, a) =>
  ring.map(([x, y]) => [x * Math.cos(a) - y * Math.sin(a), x * Math.sin(a) + y * Math.cos(a)]);
const times = (n, make) => Array.from({ length: n }, (_, i) => make(i));
const oneTree = [[0, 0]];

/** Per shape its sizes, and n -> places of trees and polygons (shell, holes) about the origin. */
export const SHAPES = {
  'round building': {
    sizes: [500, 1000, 2000],
    make: (n) => ({
      trees: oneTree,
      works: [[times(n, (k) => [6 + 4 * Math.cos((k * 2 * Math.PI) / n), 4 * Math.sin((k * 2 * Math.PI) / n)])]],
    }),
  },
  comb: {
    sizes: [500, 1000, 2000],
    make: (n) => ({
      trees: oneTree,
      works: [[[...times(2 * n, (i) => [-9 + (i * 9) / n, i % 2 === 0 ? 8 : 3]), [9, 9], [-9, 9]]]],
    }),
  },
  holes: {
    sizes: [400, 900, 1600],
    make(n) {
      const side = Math.round(Math.sqrt(n));
      const step = 17.6 / side;
      const hole = (i) => {
        const [x, y] = [-8.9 + step * (i % side), -8.9 + step * Math.floor(i / side)];
        return rect(x, y, x + step * 0.7, y + step * 0.7).reverse();
      };
      return { trees: oneTree, works: [[rect(-9, -9, 9, 9), ...times(side * side, hole)]] };
    },
  },
  trenches: {
    sizes: [100, 200, 400],
    make(n) {
      const random = mulberry32(1);
      return {
        trees: oneTree,
        works: times(n, () => {
          const [a, d] = [random() * Math.PI, (random() - 0.5) * 20];
          return [turned(rect(-30, d, 30, d + 0.05), a)];
        }),
      };
    },
  },
  squares: {
    sizes: [500, 1000, 2000],
    make(n) {
      const random = mulberry32(2);
      return {
        trees: oneTree,
        works: times(n, () => {
          const [x, y, a] = [(random() - 0.5) * 20, (random() - 0.5) * 20, random() * 6];
          return [turned(rect(-0.15, -0.15, 0.15, 0.15), a).map(([u, v]) => [u + x, v + y])];
        }),
      };
    },
  },
  pavers: {
    sizes: [2500, 4900, 10_000],
    make(n) {
      const side = Math.round(Math.sqrt(n));
      const step = 20 / side;
      return {
        trees: oneTree,
        works: times(side * side, (i) => {
          const [x, y] = [-10 + step * (i % side), -10 + step * Math.floor(i / side)];
          return [rect(x, y, x + step * 0.95, y + step * 0.95)];
        }),
      };
    },
  },
  'one spot': {
    sizes: [750, 1500, 3000],
    make: (n) => ({
      trees: times(n, () => [0, 0]),
      works: times(100, (i) => {
        const [x, y] = [-10 + 2 * (i % 10), -10 + 2 * Math.floor(i / 10)];
        return [rect(x + 0.3, y + 0.3, x + 1, y + 1)];
      }),
    }),
  },
  'many edges': {
    sizes: [4000, 8000, 15_000],
    make(n) {
      // two lakes with ragged shores that fill half the zone
      const random = mulberry32(3);
      const shore = (x) =>
        times(n / 2, (k) => {
          const a = (k * 4 * Math.PI) / n;
          const r = 4 + random() * 0.3;
          return [x + r * Math.cos(a), r * Math.sin(a)];
        });
      return { trees: oneTree, works: [[shore(-5.5)], [shore(5.5)]] };
    },
  },
  'street trees': {
    sizes: [449, 898, 1796],
    make: streets,
  },
};

/** Trees along roads whose outlines have 130,000 corners at the largest size; one of them has most. */
function streets(n) {
  const random = mulberry32(4);
  const roads = Math.round((n * 205) / 1796);
  const corners = Math.round((n * 119_000) / 1796);
  const width = 9;
  const band = (y, from, to, count, wave) => {
    const half = Math.floor(count / 2);
    const at = (k, side) => {
      const x = from + ((to - from) * k) / (half - 1);
      return [x, y + wave * Math.sin(x / 40) + side + random() * 0.05];
    };
    return [...times(half, (k) => at(k, 0)), ...times(half, (k) => at(half - 1 - k, width))];
  };
  const length = n * 8;
  const works = [[band(0, 0, length, corners, 6)]];
  for (let r = 1; r < roads; r++) {
    const x = (r * length) / roads;
    works.push([band(0, 0, 300, 54, 2).map(([u, v]) => [x + v, 20 + u])]);
  }
  const trees = times(n, (i) => [i * 8 + random(), (i % 2 === 0 ? -3 : width + 3) + 6 * Math.sin((i * 8) / 40)]);
  return { trees, works };
}

/** In a process of its own: one shape at one size. */
async function measure(name, n, column) {
  const { assess, geojsonText, readLayer } = await import('../../dist/index.js');
  const { trees, works } = SHAPES[name].make(n);
  const layer = (file, features) =>
    readLayer(new TextEncoder().encode(JSON.stringify({ type: 'FeatureCollection', features })), { name: file });
  const moved = ([x, y]) => [x + AWAY, y + AWAY];
  const feature = (properties, geometry) => ({ type: 'Feature', properties, geometry });
  const job = {
    trees: layer(
      'trees.geojson',
      trees.map((at, i) => feature({ id: `T${i}`, dbh_cm: DBH_CM }, { type: 'Point', coordinates: moved(at) })),
    ),
    works: [
      {
        layer: layer(
          'works.geojson',
          works.map((rings, i) => {
            const coordinates = rings.map((ring) => [...ring, ring[0]].map(moved));
            return feature({ id: `W${i}`, kind: 'building' }, { type: 'Polygon', coordinates });
          }),
        ),
      },
    ],
    options: { crs: 'local:m', margins: column !== 'percent' },
  };
  const before = process.cpuUsage();
  const assessment = assess(job);
  let sum = 0;
  for (const tree of assessment.trees) sum += (tree.overlapPct ?? 0) + (column === 'percent' ? 0 : (tree.marginM ?? 0));
  if (column === 'everything') {
    // The text as it is written, not kept: parsing it again is no part of the work.
    for (const text of geojsonText(assessment, {})) sum += text.length;
  }
  const { user, system } = process.cpuUsage(before);
  process.stdout.write(JSON.stringify({ ms: (user + system) / 1000, sum }));
}

function timed(name, n, column) {
  const args = [fileURLToPath(import.meta.url), 'measure', name, String(n), column];
  // The shell stops it by processor time: on a busy machine a process waits longer than it works.
  const limited = ['-c', `ulimit -t ${LIMIT_S}; exec "$0" "$@"`, process.execPath, ...args];
  const run = spawnSync('sh', limited, { encoding: 'utf8', timeout: LIMIT_S * 20_000, killSignal: 'SIGKILL' });
  if (run.signal !== null) return null;
  if (run.status !== 0) throw new Error(`${name} ${n} ${column}: ${run.stderr.slice(0, 2000)}`);
  return JSON.parse(run.stdout).ms;
}

/** Prints the table; `names` of shapes, all without any. */
export function hardBench(names = []) {
  console.log(`\nhard shapes, processor milliseconds, a process each, stopped after ${LIMIT_S} s of it`);
  console.log(`| shape | n | ${COLUMNS.join(' | ')} |\n|---|---:|${'---:|'.repeat(COLUMNS.length)}`);
  for (const [name, { sizes }] of Object.entries(SHAPES)) {
    if (names.length > 0 && !names.includes(name)) continue;
    const rows = sizes.map(() => []);
    for (const column of COLUMNS) {
      let isOver = false; // what took too long is not tried at the next size
      sizes.forEach((n, i) => {
        rows[i].push(isOver ? null : timed(name, n, column));
        isOver ||= rows[i].at(-1) === null;
      });
    }
    const cell = (ms) => (ms === null ? `> ${LIMIT_S} s` : ms.toFixed(0));
    rows.forEach((row, i) => {
      console.log(`| ${name} | ${sizes[i]} | ${row.map(cell).join(' | ')} |`);
    });
    const [few, many] = rows.slice(-2);
    const slope = (a, b) =>
      a === null || b === null ? '' : (Math.log(b / a) / Math.log(sizes.at(-1) / sizes.at(-2))).toFixed(1);
    console.log(`| ${name} | slope | ${COLUMNS.map((_, c) => slope(few[c], many[c])).join(' | ')} |`);
  }
}

if (process.argv[2] === 'measure' && process.argv[1] === fileURLToPath(import.meta.url)) {
  await measure(process.argv[3], Number(process.argv[4]), process.argv[5]);
}
