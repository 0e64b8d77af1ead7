// A siting: 200 trees, one footprint of six corners on its lot, turn and mirror allowed, one thread. In: rounds; out: lines on
// stdout: the first round, which a user of the command line waits for, and the middle of those after it.

import { readLayer, siting } from '../../dist/index.js';

const METRE = 1 / 111_320; // degrees of latitude, near enough for invented data

export function sitingBench(rounds) {
  for (const spread of [60, 90]) {
    const job = jobOf(spread);
    const times = [];
    let found;
    for (let k = 0; k <= rounds; k++) {
      const before = process.cpuUsage();
      const from = performance.now();
      found = siting(job, { setback: 3, turnDeg: 15, mirror: true });
      times.push({ wall: performance.now() - from, cpu: process.cpuUsage(before).user / 1000 });
    }
    const [first, ...rest] = times;
    const middle = (key) => rest.map((one) => one[key]).sort((a, b) => a - b)[Math.floor(rest.length / 2)];
    console.log(
      `siting, 200 trees, ${found.trees.length} of them in reach, turn and mirror: ${middle('wall').toFixed(0)} ms ` +
        `(processor ${middle('cpu').toFixed(0)} ms; the first ${first.wall.toFixed(0)} ms, processor ${first.cpu.toFixed(0)} ms): ` +
        `${found.status}, ${found.sitings.length} sitings`,
    );
  }
}

function jobOf(spreadM) {
  let seed = 7;
  const random = () => {
    seed = (seed * 16_807) % 2_147_483_647;
    return seed / 2_147_483_647;
  };
  const at = (x, y) => [x * METRE * 1.3, y * METRE].map((v, i) => v + (i === 0 ? -122.6 : 39.7)); // cos 39.7 = 1 / 1.3
  const layer = (name, features) =>
    readLayer(new TextEncoder().encode(JSON.stringify({ type: 'FeatureCollection', features })), { name });
  const polygon = (corners, properties) => ({
    type: 'Feature',
    properties,
    geometry: { type: 'Polygon', coordinates: [[...corners, corners[0]].map(([x, y]) => at(x, y))] },
  });
  const trees = Array.from({ length: 200 }, () => ({
    type: 'Feature',
    geometry: { type: 'Point', coordinates: at((random() - 0.5) * 2 * spreadM, (random() - 0.5) * 2 * spreadM) },
    properties: { dbh_cm: 10 + random() * 50 },
  }));
  const house = [
    [-8, -6],
    [8, -6],
    [8, 6],
    [2, 6],
    [2, 2],
    [-8, 2],
  ];
  const lot = [
    [-30, -25],
    [30, -25],
    [30, 25],
    [-30, 25],
  ];
  return {
    trees: layer('trees.geojson', trees),
    works: [{ layer: layer('works.geojson', [polygon(house, { id: 'house', kind: 'building' })]) }],
    lots: layer('lots.geojson', [polygon(lot, { id: 'L1' })]),
  };
}
