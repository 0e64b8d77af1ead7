// Works of several owners, hard ground, polygon zones and works drawn back: the kernel against the integral over angle,
// case by case. In: the kernel's classes (built or source), a seeded generator; out: per family the worst difference of
// every figure in percentage points. Terms: point = a hundredth of the area that is measured; alone = what the union of all
// works loses when one owner's are left out; spare = ground where no loss counts.

import { byAngle } from './by-angle.mjs';
import { FAMILIES, generator, seedOf } from './kernel-cases.mjs';
import { ALLOWED } from './kernel-fuzz.mjs';

export const SCENE_FIGURES = ['overlap', 'severed', 'alone', 'hard ground'];
/** Kinds by what they stand for; the kernel's own bits are EXISTING 1, WITHIN 2, RETREATED 4, works from 8 on. */
const WORKS_KINDS = 4;
const WORKS = 0b1111;
const [HARD, BACK, ZONE] = [4, 5, 6];
const BIT_OF = [8, 16, 32, 64, 1, 4, 2];
/** Families whose polygons make up scenes. */
const SHAPES = [
  'stars',
  'grid',
  'grid, a hair off',
  'holes',
  'tangents',
  'near-coincident edges',
  'works at the trunk',
];

const pick = (random, items) => items[Math.floor(random() * items.length)];
const shapes = (random, most) => {
  const out = [];
  while (out.length === 0) out.push(...FAMILIES[pick(random, SHAPES)](random).polygons);
  return out.slice(0, 1 + Math.floor(random() * most));
};
const as = (kind, polygons) => polygons.map(({ rings }) => ({ rings, kind, cuts: false, owner: -1 }));

/**
 * Ground drawn back from, each polygon turned and moved at random: where its edge ran along that of works or of another such
 * polygon, works of no width would be left, and whether they sever what lies behind is a matter of rounding. (Margins let
 * these polygons lap over each other and over the works, see addRound.)
 */
function drawnBack(random, most) {
  return as(BACK, shapes(random, most)).map((p) => {
    const [turn, dx, dy] = [random() * 7, random() - 0.5, random() - 0.5];
    const [c, s] = [Math.cos(turn), Math.sin(turn)];
    const moved = (ring) =>
      ring.map((v, i) => (i % 2 === 0 ? c * v - s * ring[i + 1] + dx : s * ring[i - 1] + c * v + dy));
    return { ...p, rings: p.rings.map(moved) };
  });
}

function works(random, owners = 3) {
  return shapes(random, 5).map((p) => ({ ...p, kind: p.kind % WORKS_KINDS, owner: Math.floor(random() * owners) }));
}

const unit = { x: 0, y: 0, r: 1 };
const quarters = (random) => ({
  x: 0,
  y: 0,
  radii: [0, 1, 2, 3].map(() => 0.3 + random() * 1.2),
  turn: pick(random, [0, random() * 7 - 3.5]),
});
/** A polygon zone round, beside or away from the trunk; a grid corner or edge on it now and then. */
function polygonZone(random) {
  const zone = as(ZONE, shapes(random, 2));
  const shift = pick(random, [0, 0, 0.25, random(), 2 * random()]);
  return zone.map((p) => ({ ...p, rings: p.rings.map((ring) => ring.map((v, i) => (i % 2 === 0 ? v + shift : v))) }));
}

/** Every family: { polygons: [{ rings, kind, cuts, owner }], zone, spared }. */
export const SCENES = {
  'several owners': (random) => ({ polygons: works(random), zone: unit }),
  'owners of many parts': (random) => ({ polygons: [...works(random, 2), ...works(random, 2)], zone: unit }),
  'owners, quarter ellipses': (random) => ({ polygons: works(random), zone: quarters(random) }),
  'hard ground counted': (random) => ({ polygons: [...works(random), ...as(HARD, shapes(random, 3))], zone: unit }),
  'hard ground spared': (random) => ({
    polygons: [...works(random), ...as(HARD, shapes(random, 3))],
    zone: pick(random, [unit, quarters(random)]),
    spared: true,
  }),
  'works drawn back': (random) => ({ polygons: [...works(random), ...drawnBack(random, 4)], zone: unit }),
  'polygon zones': (random) => ({ polygons: [...works(random), ...polygonZone(random)], zone: null }),
  'polygon zones, hard ground': (random) => ({
    polygons: [...works(random), ...as(HARD, shapes(random, 2)), ...polygonZone(random)],
    zone: null,
    spared: random() < 0.5,
  }),
  'polygon zones, drawn back': (random) => ({
    polygons: [...works(random), ...drawnBack(random, 2), ...polygonZone(random)],
    zone: null,
  }),
};

function reachOf(polygons) {
  let reach = 0;
  for (const { rings } of polygons.filter((p) => p.kind === ZONE)) {
    for (const ring of rings)
      for (let i = 0; i < ring.length; i += 2) reach = Math.max(reach, Math.hypot(ring[i], ring[i + 1]));
  }
  return reach;
}

function piecesOf(kernel, polygons) {
  const builder = new kernel.PieceBuilder();
  for (const { rings, kind, cuts, owner } of polygons) {
    builder.add(rings, { owner: Math.max(owner, 0), classBit: BIT_OF[kind], cuts });
  }
  return builder.finish();
}

/** What the kernel says of a scene. */
export function measuredScene(kernel, { polygons, zone, spared = false }) {
  const meter = new kernel.Meter(
    piecesOf(
      kernel,
      polygons.filter((p) => p.kind !== ZONE),
    ),
    undefined,
    spared,
  );
  meter.disc(0.3, 0.2, 0.7); // the tree before: what it leaves in the meter must not matter
  const isPolygon = zone === null;
  const overlap = isPolygon
    ? meter.polygon(
        0,
        0,
        reachOf(polygons),
        piecesOf(
          kernel,
          polygons.filter((p) => p.kind === ZONE),
        ),
      )
    : zone.r !== undefined
      ? meter.disc(0, 0, zone.r)
      : meter.quarters(0, 0, zone.radii, zone.turn);
  meter.touching.findWorst();
  const { worst, worstM2 } = meter.touching;
  return { overlap, severed: meter.severed, worst, worstM2, hard: meter.coveredBy(1) };
}

/** The differences of one scene; NaN where a figure is no number or outside what it can be. */
export function sceneDifferences(kernel, scene) {
  const { polygons, spared = false } = scene;
  const ours = measuredScene(kernel, scene);
  const isPolygon = scene.zone === null;
  const zone = scene.zone ?? { x: 0, y: 0, r: reachOf(polygons) * (1 + 1e-9) };
  const within = isPolygon ? 1 << ZONE : 0;
  const hard = spared ? 1 << HARD : 0;
  const spare = (1 << BACK) | hard;
  const sumOf = ({ byKinds }, wanted, without) =>
    byKinds.reduce((s, a, m) => ((m & wanted) !== 0 && (m & without) === 0 && (m & within) === within ? s + a : s), 0);
  const truth = byAngle(polygons, zone, { works: WORKS, spare: 1 << BACK, hard, within });
  const covered = sumOf(truth, WORKS, spare);
  const owners = [...new Set(polygons.map((p) => p.owner))].filter((o) => o >= 0);
  let most = 0;
  let mine = 0; // of the owner that the kernel names
  for (const owner of owners) {
    const rest = byAngle(
      polygons.filter((p) => p.owner !== owner),
      zone,
    );
    const alone = covered - sumOf(rest, WORKS, spare);
    most = Math.max(most, alone);
    if (owner === ours.worst) mine = alone;
  }
  const area = isPolygon ? sumOf(truth, within, 0) : truth.zoneArea;
  const scale = zone.r === undefined ? truth.zoneArea : Math.PI * zone.r ** 2;
  const points = (d) => (Math.abs(d) / scale) * 100;
  const slack = 1e-12 * scale;
  const isHeld = ours.overlap >= 0 && ours.overlap <= area + slack && ours.severed >= -1e-9 * scale;
  return {
    overlap: isHeld ? points(ours.overlap - covered) : Number.NaN,
    severed: points(ours.severed - Math.min(Math.max(ours.severed, truth.severed), truth.severedHigh)),
    alone: points(Math.max(Math.abs(ours.worstM2 - most), Math.abs(ours.worstM2 - mine))),
    'hard ground': points(ours.hard - sumOf(truth, 1 << HARD, 0)),
  };
}

/** Runs `count` scenes, family after family in turn; `onBroken` gets every one over the bound. */
export function fuzzScenes(kernel, count, seed, onBroken, first = 0) {
  const names = Object.keys(SCENES);
  const table = new Map(
    names.map((name) => [name, { cases: 0, worst: Object.fromEntries(SCENE_FIGURES.map((f) => [f, 0])) }]),
  );
  for (let i = first; i < first + count; i++) {
    const name = names[i % names.length];
    const scene = SCENES[name](generator(seedOf(seed, i)));
    const row = table.get(name);
    const by = sceneDifferences(kernel, scene);
    row.cases++;
    for (const f of SCENE_FIGURES) {
      if (!(by[f] <= row.worst[f])) row.worst[f] = Number.isNaN(row.worst[f]) ? Number.NaN : by[f];
    }
    if (SCENE_FIGURES.some((f) => !(by[f] <= ALLOWED))) onBroken({ family: name, number: i, seed, by, case: scene });
  }
  return table;
}
