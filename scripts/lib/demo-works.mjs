// The invented works of Alder Bench: in: the site; out: works with kind, id, remarks and measures, in site feet.
// Terms: a shape is { kind, id, remarks, ring } or { ..., line, width_ft }; measures carry their unit in the name.

import { at, fromBulb, heading, main, onLot, STREET } from './demo-site.mjs';
import { arc, toLine } from './planar.mjs';

// One row a lot: outline, width, depth, setback, shift to the right, garage side (1 right, -1 left).
const HOUSES = [
  ['L', 46, 40, 24, 0, 1],
  ['rect', 44, 38, 22, -2, -1],
  ['L', 48, 42, 23, 1, 1],
  ['detached', 38, 40, 22, 6, -1],
  ['L', 46, 44, 26, 0, -1],
  ['rect', 50, 38, 24, 0, 1],
  ['L', 46, 40, 26, 2, 1],
  ['rect', 46, 40, 24, 0, 1],
  ['L', 52, 48, 24, 7, -1],
  ['L', 50, 40, 24, 0, 1],
  ['rect', 52, 40, 24, 2, 1],
  ['L', 50, 44, 23, -2, -1],
  ['detached', 42, 40, 24, 5, -1],
  ['L', 50, 42, 22, 0, 1],
];

/** All works, in drawing order. */
export function demoWorks() {
  return [
    {
      kind: 'paving',
      id: 'S-1',
      remarks: 'Alder Bench Court, kerb to kerb, with the bulb',
      depth_ft: 1.5,
      ring: STREET,
    },
    ...HOUSES.flatMap((row, i) => houseWorks(i + 1, row)),
    ...mains(),
    ...ground(),
  ];
}

/** Works laid out after the survey: they take no part in where the trees of the demo stand. */
export function demoLater() {
  return [
    {
      kind: 'fill',
      id: 'F-2',
      remarks: 'topsoil spread behind the house of lot 13, 3 in',
      depth_ft: 0.25,
      ring: [onLot(13, -30, 78), onLot(13, 20, 76), onLot(13, 22, 96), onLot(13, -28, 98)],
    },
    {
      kind: 'compaction',
      id: 'A-1',
      remarks: 'temporary access to the yard, from the lane to the west',
      temporary: true,
      width_ft: 12,
      line: [at(16, 229), at(110, 196)],
    },
    {
      kind: 'compaction',
      id: 'C-2',
      remarks: 'concrete washout and pipe storage behind the house of lot 9',
      temporary: true,
      ring: [onLot(9, -30, 86), onLot(9, -14, 86), onLot(9, -14, 100), onLot(9, -30, 100)],
    },
  ];
}

/** Design option B of lot 9: a narrower, taller house that stands back from the big oak. */
export function demoOptionB() {
  const ring = (left, right, front, rear) =>
    [
      [left, front],
      [right, front],
      [right, rear],
      [left, rear],
    ].map(([x, back]) => onLot(9, x, back));
  return [
    {
      kind: 'building',
      id: 'B-09-B',
      remarks: 'house of lot 9, option B: three floors, garage within',
      height_ft: 34,
      ring: ring(-4, 30, 22, 70),
    },
    { kind: 'paving', id: 'D-09-B', remarks: 'drive of lot 9, option B', depth_ft: 0.8, ring: ring(8, 24, -11, 22) },
  ];
}

const two = (i) => String(i).padStart(2, '0');

function houseWorks(lot, [outline, width, depth, setback, shift, side]) {
  const put = (corners) => corners.map(([right, back]) => onLot(lot, shift + right * side, setback + back));
  const half = width / 2;
  const garage = 22;
  const option = lot === 9 ? { option: 'A' } : {}; // the other design is demoOptionB
  const house = (corners, remarks) => ({
    kind: 'building',
    id: `B-${two(lot)}`,
    remarks,
    ...option,
    height_ft: outline === 'rect' ? 26 : 24,
    ring: put(corners),
  });
  const drive = (corners) => ({
    kind: 'paving',
    id: `D-${two(lot)}`,
    remarks: `drive of lot ${lot}`,
    ...option,
    depth_ft: 0.8,
    ring: put(corners),
  });
  const kerb = -setback - 11;
  const works = [];
  if (outline === 'L') {
    // the garage stands forward of the house
    works.push(
      house(
        [
          [-half, 8],
          [half - garage, 8],
          [half - garage, 0],
          [half, 0],
          [half, depth],
          [-half, depth],
        ],
        `house of lot ${lot}, garage within`,
      ),
    );
    works.push(
      drive([
        [half - garage + 2, kerb],
        [half - 2, kerb],
        [half - 2, 0],
        [half - garage + 2, 0],
      ]),
    );
  } else if (outline === 'rect') {
    works.push(
      house(
        [
          [-half, 0],
          [half, 0],
          [half, depth],
          [-half, depth],
        ],
        `house of lot ${lot}, two floors`,
      ),
    );
    works.push(
      drive([
        [half - 18, kerb],
        [half - 2, kerb],
        [half - 2, 0],
        [half - 18, 0],
      ]),
    );
  } else {
    // a garage of its own in the rear corner, a long narrow drive past the house
    works.push(
      house(
        [
          [-half, 0],
          [half - 8, 0],
          [half - 8, 14],
          [half, 14],
          [half, depth],
          [-half, depth],
        ],
        `house of lot ${lot}`,
      ),
    );
    works.push({
      kind: 'building',
      id: `G-${two(lot)}`,
      remarks: `detached garage of lot ${lot}`,
      height_ft: 14,
      ring: put([
        [half - 9, depth + 12],
        [half + 13, depth + 12],
        [half + 13, depth + 34],
        [half - 9, depth + 34],
      ]),
    });
    works.push(
      drive([
        [half + 2, kerb],
        [half + 12, kerb],
        [half + 12, depth + 12],
        [half - 7, depth + 12],
        [half - 7, depth + 2],
        [half + 2, depth + 2],
      ]),
    );
  }
  const from = onLot(lot, shift - side * (half - 9), setback + (outline === 'L' ? 8 : 0));
  works.push({
    kind: 'trench',
    id: `SS-${two(lot)}`,
    remarks: `sewer lateral of lot ${lot}`,
    width_ft: 2.5,
    depth_ft: 5,
    line: [from, nearestOnMain(from)],
  });
  return works;
}

/** The end of a lateral: the place on the sewer main nearest to where it leaves the house. */
function nearestOnMain(from) {
  const line = main(-3);
  let best = line[0];
  for (let i = 1; i < line.length; i++) {
    for (let k = 0; k <= 40; k++) {
      const t = k / 40;
      const p = [0, 1].map((j) => line[i - 1][j] + t * (line[i][j] - line[i - 1][j]));
      if (toLine(from, [p, p]) < toLine(from, [best, best])) best = p;
    }
  }
  return best;
}

function mains() {
  return [
    {
      kind: 'trench',
      id: 'SS-MAIN',
      remarks: 'sewer main in the street',
      width_ft: 4,
      depth_ft: 8,
      line: main(-3),
    },
    { kind: 'trench', id: 'W-MAIN', remarks: 'water main in the street', width_ft: 3, depth_ft: 4, line: main(8) },
    {
      kind: 'trench',
      id: 'SD-1',
      remarks: 'storm drain from the bulb to the open tract between lots 7 and 8',
      width_ft: 3,
      depth_ft: 6,
      line: [fromBulb(38, 24), fromBulb(190, 24)],
    },
    {
      kind: 'bore',
      id: 'BR-1',
      remarks: 'conduit bored behind lots 2 to 5, no open cut, 3 ft of cover',
      width_ft: 0.5,
      depth_ft: 3,
      line: [at(100, 152), at(180, 152), at(260, 152), at(340, 152), at(420, 152)],
    },
  ];
}

function ground() {
  return [
    {
      kind: 'fill',
      id: 'F-1',
      remarks: 'rear yards of lots 11 and 12 raised',
      depth_ft: 1.5,
      ring: wavy(-118, 266, 384, 19),
    },
    {
      kind: 'excavation',
      id: 'X-1',
      remarks: 'cut for the retaining wall behind the house of lot 6',
      depth_ft: 4,
      ring: [onLot(6, -34, 78), onLot(6, 30, 78), onLot(6, 34, 88), onLot(6, -36, 90)],
    },
    {
      kind: 'compaction',
      id: 'C-1',
      remarks: 'yard for plant and materials in the open tract',
      temporary: true,
      ring: [at(112, 176), at(168, 176), at(172, 206), at(110, 208)],
    },
  ];
}

/** A long rounded patch beside the street: its middle offset, stations, and half its breadth. */
function wavy(offset, from, to, half) {
  const middle = (from + to) / 2;
  const a = heading(middle);
  return arc([0, 0], 1, 0, 345, 23).map(([u, v], i) => {
    const swell = 1 + 0.1 * Math.sin(i * 1.7);
    const run = (((to - from) / 2) * u * swell * 600) / (600 - offset);
    const [cx, cy] = at(middle, offset);
    const cos = Math.cos((a * Math.PI) / 180);
    const sin = Math.sin((a * Math.PI) / 180);
    const rise = half * v * swell;
    return [cx + run * cos - rise * sin, cy + run * sin + rise * cos];
  });
}
