// The invented tree survey of Alder Bench: in: the site and its works; out: about 120 trees in site feet with the
// fields a survey has. Terms: share = rough part of the foot-per-inch zone that the works take (see shareTaken).
// Most trees are scattered by a seeded stream; the ones a reader is meant to find are placed by hand.
import { at, fromBulb, LINE_CORNER, LOTS, onLot, STREET, TRACT, toGrid } from './demo-site.mjs';
import { inRing, shareTaken, toEdge, toLine } from './planar.mjs';
import { between, lognormal, mulberry32, weighted } from './random.mjs';

const SEED = 11;
const SCATTERED = 100;

// Species, common name, dbh median (in), tolerance of root loss (invented), crown ft per in of dbh, height ft.
const SPECIES = {
  oak: ['Quercus garryana', 'Oregon white oak', 17, 'good', 1.05, 52],
  fir: ['Pseudotsuga menziesii', 'Douglas-fir', 21, 'moderate', 0.75, 105],
  maple: ['Acer macrophyllum', 'bigleaf maple', 18, 'moderate', 1.1, 68],
  madrone: ['Arbutus menziesii', 'Pacific madrone', 12, 'poor', 0.95, 44],
  cedar: ['Thuja plicata', 'western redcedar', 18, 'moderate', 0.7, 80],
  ash: ['Fraxinus latifolia', 'Oregon ash', 14, 'good', 0.85, 56],
  alder: ['Alnus rubra', 'red alder', 11, 'poor', 0.9, 52],
  pine: ['Pinus ponderosa', 'ponderosa pine', 18, 'good', 0.65, 84],
  cherry: ['Prunus serrulata', 'flowering cherry', 10, 'moderate', 1.2, 24],
  hornbeam: ['Carpinus betulus', 'hornbeam, columnar', 8, 'good', 0.35, 34],
};
const NATIVE = [
  [30, 'oak'],
  [24, 'fir'],
  [13, 'maple'],
  [6, 'madrone'],
  [9, 'cedar'],
  [8, 'ash'],
  [7, 'alder'],
  [5, 'pine'],
];
const GARDEN = [
  [4, 'cherry'],
  [2, 'hornbeam'],
  [3, 'oak'],
  [2, 'fir'],
];
const REMARKS = [
  [26, ''],
  [3, 'old fence wire in trunk'],
  [3, 'ivy to 20 ft'],
  [2, 'included bark at fork'],
  [2, 'minor dead wood'],
  [2, 'lean to south'],
  [1, 'woodpecker holes'],
];
const DAYS = ['2026-03-03', '2026-03-04', '2026-03-05'];

/** The survey, in order of id, and each tree's rough share. */
export function demoTrees(works) {
  const next = mulberry32(SEED);
  const shapes = works.filter((w) => w.kind !== 'bore').map((w) => (w.ring ? w : { ...w, width: w.width_ft }));
  const trees = placedByHand(next);
  scatter(next, works, trees);
  for (const tree of trees) {
    tree.zoneFt = zoneFeet(tree);
    tree.share = tree.zoneFt === null ? null : shareTaken(tree.at, tree.zoneFt, shapes);
  }
  // Numbered from west to east, as the crews worked.
  trees.sort((a, b) => toGrid(a.at)[0] - toGrid(b.at)[0]);
  trees.forEach((tree, i) => {
    tree.id = `T${String(i + 1).padStart(3, '0')}`;
    tree.tag = String(1201 + i);
    tree.surveyed ??= DAYS[Math.min(2, Math.floor((3 * i) / trees.length))];
    tree.surveyor = i % 2 === 0 ? 'crew A' : 'crew B';
    // crew A by total station, crew B by satellite under the crowns; the older survey was no better
    tree.accuracy_ft = tree.surveyed < DAYS[0] ? 3 : i % 2 === 0 ? 0.1 : 0.5;
  });
  slips(trees);
  decide(trees);
  return trees;
}

/** Foot-per-inch radius in feet, or null where no diameter is given. */
export function zoneFeet(tree) {
  if (tree.stems_in) return Math.sqrt(tree.stems_in.split(';').reduce((sum, d) => sum + Number(d) ** 2, 0));
  if (tree.dbh_in !== null) return tree.dbh_in;
  return tree.girth_in === null ? null : tree.girth_in / Math.PI;
}

const round = (value, digits) => Number(value.toFixed(digits));

/** A tree with every field a survey row has; the extra fields override. */
function tree(next, name, place, diameter, extra = {}) {
  const [species, common, , tolerance, crown, height] = SPECIES[name];
  const size = diameter / SPECIES[name][2];
  const heightFt = Math.min(190, height * size ** 0.55 * between(next, 0.88, 1.12));
  return {
    at: place,
    species,
    common_name: common,
    dbh_in: round(diameter, 1),
    stems_in: '',
    girth_in: null,
    base_dia_in: next() < 0.3 ? round(diameter * between(next, 1.15, 1.35), 1) : null,
    crown_radius_ft: round(Math.min(46, 3 + crown * diameter * 0.8 * between(next, 0.85, 1.15)), 1),
    height_ft: round(heightFt, 0),
    crown_base_ft: round(heightFt * between(next, 0.08, 0.3), 0),
    form: name === 'hornbeam' ? 'columnar' : '',
    age: size < 0.6 ? 'young' : size > 1.9 ? 'overmature' : 'mature',
    tolerance,
    condition: weighted(next, [
      [5, 'good'],
      [4, 'fair'],
      [1, 'poor'],
    ]),
    disposition: 'keep',
    off_site: '',
    veteran: '',
    remarks: weighted(next, REMARKS),
    ...extra,
  };
}

/** The trees a reader is meant to find. */
function placedByHand(next) {
  const stems = (list) => ({ dbh_in: null, stems_in: list });
  const girth = (inches) => ({ dbh_in: null, girth_in: inches });
  const outside = { off_site: 'yes' };
  return [
    tree(next, 'oak', onLot(9, -39, 62), 54, {
      role: 'big-oak',
      veteran: 'yes',
      base_dia_in: 66,
      crown_radius_ft: 44,
      crown_n_ft: 40,
      crown_e_ft: 46,
      crown_s_ft: 43,
      crown_w_ft: 49,
      height_ft: 78,
      crown_base_ft: 11,
      age: 'mature',
      condition: 'good',
      remarks: 'the big oak: open-grown, broad crown, three low limbs to the west',
    }),
    tree(next, 'oak', onLot(3, 8, 44), 19, { role: 'in-footprint', remarks: 'stands inside the house of lot 3' }),
    tree(next, 'fir', LINE_CORNER, 23, { role: 'on-line', remarks: 'stands on the line between lots 3 and 4' }),
    tree(next, 'maple', onLot(2, 20, 98), 24, { ...stems('14;12;11;8'), remarks: 'four stems from one stool' }),
    tree(next, 'maple', onLot(12, 30, 80), 19, { ...stems('12;9;7'), remarks: 'three stems' }),
    tree(next, 'maple', at(226, 172), 20, stems('13;10;9')),
    tree(next, 'maple', at(356, 196), 26, { ...stems('16;15;12'), remarks: 'three stems, cabled' }),
    tree(next, 'madrone', onLot(5, -24, 82), 14, { ...stems('9;8'), remarks: 'two stems, fork at 2 ft' }),
    tree(next, 'alder', at(140, 222), 13, stems('8;7;6')),
    tree(next, 'cedar', onLot(14, -20, 112), 25, { ...girth(78.5), remarks: 'girth taped; buttress to 6 ft' }),
    tree(next, 'oak', onLot(7, 6, 92), 30, { ...girth(94.2), remarks: 'girth taped' }),
    tree(next, 'pine', fromBulb(214, 62), 20, { ...girth(62.8), remarks: 'girth taped' }),
    tree(next, 'ash', onLot(1, 22, 104), 15, { dbh_in: null, base_dia_in: null, remarks: 'not measured: wasps' }),
    tree(next, 'oak', onLot(11, -34, 90), 27, { remarks: 'near « Pré aux Chênes » marker, façade side' }),
    tree(next, 'cherry', onLot(13, -32, 6), 7.5, {
      role: 'transplant',
      condition: 'good',
      remarks: 'young, root ball by lifting firm',
    }),
    tree(next, 'fir', at(86, -78), 31, { ...outside, remarks: 'neighbour, shot from the line' }),
    tree(next, 'oak', at(210, -152), 34, {
      ...outside,
      veteran: 'yes',
      surveyed: '2023-09-14',
      remarks: 'neighbour, from an older survey',
    }),
    tree(next, 'maple', onLot(10, 18, 112), 26, { ...outside, remarks: 'neighbour' }),
    tree(next, 'fir', at(14, 96), 28, { ...outside, remarks: 'neighbour, crown over lot 1' }),
  ];
}

/** Trees scattered over lots and tract, denser along the rear lines and in the open. */
function scatter(next, works, trees) {
  const corners = [...LOTS.flat(), ...TRACT];
  const box = [0, 1].map((k) => [Math.min(...corners.map((c) => c[k])), Math.max(...corners.map((c) => c[k]))]);
  const solid = works.filter((w) => w.ring);
  const cuts = works.filter((w) => w.line);
  const full = trees.length + SCATTERED;
  while (trees.length < full) {
    const place = box.map(([low, high]) => between(next, low, high));
    const ground = groundAt(place);
    if (next() >= ground.density) continue;
    const name = weighted(next, ground.garden ? GARDEN : NATIVE);
    const dbh = lognormal(next, SPECIES[name][2], 0.42, 6, 46);
    const clear = 2.5 + dbh / 24;
    if (solid.some((s) => inRing(place, s.ring) || toEdge(place, s.ring) < clear)) continue;
    if (cuts.some((s) => toLine(place, s.line) < clear + s.width_ft / 2)) continue;
    if (toEdge(place, STREET) < 4) continue;
    const crowded = trees.some((t) => {
      const size = zoneFeet(t) ?? 12;
      return Math.hypot(t.at[0] - place[0], t.at[1] - place[1]) < 6 + 0.26 * (size + dbh);
    });
    if (!crowded) trees.push(tree(next, name, place, dbh));
  }
}

/** How thick trees stand at a place (0 to 1), and whether planted or wild. */
function groundAt(place) {
  if (inRing(place, TRACT)) return { density: 0.26, garden: false };
  const lot = LOTS.find((ring) => inRing(place, ring));
  if (lot === undefined) return { density: 0, garden: false };
  const street = toEdge(place, STREET);
  if (street < 40) return { density: 0.4, garden: planted(place) };
  return { density: street > 88 ? 0.8 : 1, garden: false };
}

// Patches of planted trees left from an older garden along the lane.
const planted = ([x, y]) => Math.sin(x / 37) + Math.cos(y / 29) > 0;

/** Slips a check must find: one place booked twice, one id given twice. */
function slips(trees) {
  const twin = trees.find((t) => inRing(t.at, LOTS[13]) && t.dbh_in !== null);
  const index = trees.indexOf(twin);
  trees.splice(index + 1, 0, { ...twin, id: `${twin.id}A`, tag: '', remarks: 'booked twice' });
  const plain = trees.filter((t) => inRing(t.at, TRACT) && t.remarks === '' && t.dbh_in !== null);
  const [first, second] = plain.slice(-2);
  second.id = first.id;
}

/** What is planned: the trees that lose most, and a few in poor health, are to go. */
function decide(trees) {
  const free = trees.filter((t) => t.off_site === '' && t.role === undefined && t.remarks !== 'booked twice');
  const worst = free.filter((t) => t.share > 0).sort((a, b) => b.share - a.share);
  const gone = worst.slice(0, 10);
  gone.push(...free.filter((t) => t.condition === 'poor' && !gone.includes(t)).slice(0, 3));
  gone.push(trees.find((t) => t.role === 'in-footprint'));
  for (const t of gone) t.disposition = 'remove';
  for (const t of trees) t.protected = isProtected(t) ? 'yes' : 'no';
  trees.find((t) => t.role === 'transplant').disposition = 'transplant';
}

/** The invented town protects oaks and madrones from 12 in, everything else from 30 in. */
function isProtected(tree) {
  const inches = zoneFeet(tree) ?? 0;
  return inches >= (/^(Quercus|Arbutus)/.test(tree.species) ? 12 : 30);
}
