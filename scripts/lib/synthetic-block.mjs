// One piece of the invented city: in: a stream and the piece's place in city metres; out: roads, houses and drives, trees.
// Terms: block = two rows of lots back to back with a green strip between; verge = grass between lots and street.
// Rings are open, anticlockwise and in city metres; lonLat turns them into degrees.
import { between, lognormal, weighted, wholeBetween } from './random.mjs';

// Metres, in block axes: x along the street, y across it.
export const LOTS_IN_ROW = 8;
const LOT = { width: 16, depth: 32, setback: 6 };
const GREEN = 22;
const VERGE = 3;
const ROAD = 9; // kerb to kerb
export const BLOCK = {
  width: LOTS_IN_ROW * LOT.width + 2 * VERGE + ROAD,
  depth: 2 * LOT.depth + GREEN + 2 * VERGE + ROAD,
};
const ROAD_BLOCKS = [8, 22]; // a road polygon runs along so many blocks
const ROAD_STEP = 11; // metres between two of its corners

const SPECIES = [
  [12, 'Acer platanoides'],
  [10, 'Acer rubrum'],
  [8, 'Quercus garryana'],
  [8, 'Pseudotsuga menziesii'],
  [7, 'Fraxinus pennsylvanica'],
  [6, 'Prunus serrulata'],
  [6, 'Tilia cordata'],
  [5, 'Betula pendula'],
  [4, 'Thuja plicata'],
  [3, 'Quercus rubra'],
];

// The city lies across a corner of the quarter-degree lattice, so that a job meets several frames.
const SOUTH_WEST = [-122.83, 45.19];
const TURN = (17 * Math.PI) / 180;
const DEGREES_PER_METRE = [1 / (111320 * Math.cos((45.25 * Math.PI) / 180)), 1 / 111140];
const COS = Math.cos(TURN);
const SIN = Math.sin(TURN);

/** City metres to lon, lat of 9 decimals. */
export function lonLat(x, y) {
  const lon = SOUTH_WEST[0] + (x * COS - y * SIN) * DEGREES_PER_METRE[0];
  const lat = SOUTH_WEST[1] + (x * SIN + y * COS) * DEGREES_PER_METRE[1];
  return [Math.round(lon * 1e9) / 1e9, Math.round(lat * 1e9) / 1e9];
}

/** Roads that start in a row of blocks: one or more along it, and every so many rows those across. */
export function roadsOf(next, row, columns, rows) {
  const roads = [];
  for (let column = 0; column < columns; ) {
    const run = Math.min(columns - column, wholeBetween(next, ...ROAD_BLOCKS));
    const from = column * BLOCK.width;
    roads.push({ kind: 'paving', ring: road(next, from, from + run * BLOCK.width, row * BLOCK.depth, false) });
    column += run;
  }
  const span = 16;
  if (row % span === 0) {
    const from = row * BLOCK.depth;
    const to = Math.min(rows, row + span) * BLOCK.depth;
    for (let column = 0; column < columns; column++) {
      roads.push({ kind: 'paving', ring: road(next, from, to, column * BLOCK.width, true) });
    }
  }
  return roads;
}

/** A long strip whose kerbs waver by a hand's breadth; `across` swaps its axes. */
function road(next, from, to, middle, across) {
  const steps = Math.max(1, Math.round((to - from) / ROAD_STEP));
  const near = [];
  const far = [];
  for (let i = 0; i <= steps; i++) {
    const along = from + ((to - from) * i) / steps;
    near.push([along, middle - ROAD / 2 + between(next, -0.1, 0.1)]);
    far.push([along, middle + ROAD / 2 + between(next, -0.1, 0.1)]);
  }
  const ring = [...near, ...far.reverse()];
  return across ? ring.map(([x, y]) => [y, x]).reverse() : ring;
}

/** Houses and drives of one block into `shapes`; returns the houses' boxes for the trees to stand by. */
export function housesOf(next, x0, y0, count, shapes) {
  const houses = [];
  const total = Math.ceil(count * 0.53);
  const inRow = Math.max(LOTS_IN_ROW, Math.ceil(total / 2));
  const lotWidth = (LOTS_IN_ROW * LOT.width) / inRow;
  for (let i = 0; i < total; i++) {
    const far = i % 2 === 1; // the row that looks to the next street
    const lotX = x0 + ROAD / 2 + VERGE + Math.floor(i / 2) * lotWidth;
    const width = lotWidth * between(next, 0.55, 0.66);
    const depth = between(next, 9, 14);
    const front = LOT.setback + between(next, 0, 2);
    const across = (y) => (far ? y0 + BLOCK.depth - ROAD / 2 - VERGE - y : y0 + ROAD / 2 + VERGE + y);
    const left = lotX + lotWidth * 0.06;
    const place = (list) => {
      const ring = list.map(([x, y]) => [left + x, across(y)]);
      return far ? ring.reverse() : ring;
    };
    shapes.push({ kind: 'building', ring: place(outline(next, width, depth).map(([x, y]) => [x, y + front])) });
    const house = { x: left, width, y: across(far ? front + depth : front), depth, drive: null };
    if (shapes.length < count && i < count - total) {
      const from = width + lotWidth * 0.05;
      const to = from + Math.min(3, lotWidth * 0.2);
      const end = front + between(next, 1, depth);
      const list = [
        [from, -VERGE],
        [to, -VERGE],
        [to, end],
        [from, end],
      ];
      if (next() < 0.4) list.splice(2, 0, [to, end * 0.6]); // a joint on the side
      const kind = weighted(next, [
        [92, 'paving'],
        [3, 'excavation'],
        [3, 'compaction'],
        [2, 'fill'],
      ]);
      shapes.push({ kind, ring: place(list) });
      house.drive = { x: left + (from + to) / 2, half: (to - from) / 2, kerb: across(-VERGE), away: far ? -1 : 1 };
    }
    houses.push(house);
  }
  return houses;
}

/** A house from 4 to 12 corners, its front left corner at 0, 0, anticlockwise. */
function outline(next, w, d) {
  const a = w * between(next, 0.4, 0.6);
  const b = d * between(next, 0.15, 0.3);
  return weighted(next, [
    [
      30,
      [
        [0, 0],
        [w, 0],
        [w, d],
        [0, d],
      ],
    ],
    [
      45,
      [
        [0, b],
        [a, b],
        [a, 0],
        [w, 0],
        [w, d],
        [0, d],
      ],
    ],
    [
      15,
      [
        [0, b],
        [a * 0.6, b],
        [a * 0.6, 0],
        [a * 1.4, 0],
        [a * 1.4, b],
        [w, b],
        [w, d],
        [0, d],
      ],
    ],
    [
      10,
      [
        [0, b],
        [a * 0.6, b],
        [a * 0.6, 0],
        [a * 1.4, 0],
        [a * 1.4, b],
        [w, b],
        [w, d - b],
        [a * 1.5, d - b],
        [a * 1.5, d],
        [a * 0.5, d],
        [a * 0.5, d - b],
        [0, d - b],
      ],
    ],
  ]);
}

/** Trees of one block: most in the green strip and deep yards, some by a house, some in the verge by a drive. */
export function treesOf(next, x0, y0, count, houses, from) {
  const trees = [];
  for (let i = 0; i < count; i++) {
    const dbh = Math.round(lognormal(next, 11, 0.5, 2, 60) * 10) / 10;
    const zone = dbh * 0.3048;
    const house = houses.length === 0 ? undefined : houses[Math.floor(next() * houses.length)];
    const draw = next();
    let x;
    let y;
    if (house === undefined || draw < 0.44) {
      x = x0 + between(next, 12, BLOCK.width - 8);
      y = y0 + BLOCK.depth / 2 + between(next, -GREEN / 2 - 5, GREEN / 2 + 5);
    } else if (draw < 0.72 || house.drive === null) {
      // beside, before or behind a house
      const gap = between(next, 0.4, 1) * zone + 0.4;
      const side = Math.floor(next() * 4);
      x = side === 0 ? house.x - gap : side === 1 ? house.x + house.width + gap : house.x + next() * house.width;
      y = side === 2 ? house.y - gap : side === 3 ? house.y + house.depth + gap : house.y + next() * house.depth;
    } else {
      // in the verge, between street and drive
      const side = next() < 0.5 ? -1 : 1;
      x = house.drive.x + side * (house.drive.half + between(next, 0.3, 1.1) * Math.max(1.5, zone));
      y = house.drive.kerb + house.drive.away * between(next, 0.8, VERGE + 1.5);
    }
    const [lon, lat] = lonLat(x, y);
    trees.push({ id: `t${from + i + 1}`, species: weighted(next, SPECIES), dbh_in: dbh, lon, lat });
  }
  return trees;
}
