// The invented limb list: in: the trees; out: low limbs of the big oak as an arborist might list them.
// Terms: bearings are read off a compass, so they count from magnetic north; share = of the live crown.

/** One row a limb. */
export function demoLimbs(trees) {
  const oak = trees.find((tree) => tree.role === 'big-oak');
  const limb = (id, bearing, diameter_in, height_ft, length_ft, crown_share, remarks) => ({
    id,
    tree: oak.id,
    bearing,
    bearing_ref: 'magnetic',
    declination: 15,
    diameter_in,
    height_ft,
    length_ft,
    crown_share,
    remarks,
  });
  return [
    limb('L1', 205, 11, 14, 44, '11%', 'low limb to the west, over the house'),
    limb('L2', 172, 9.5, 17, 41, '8%', 'low limb'),
    limb('L3', 128, 7, 22, 36, '6%', 'over the corner'),
    limb('L4', 185, 3.5, 19, 24, '2%', 'small, epicormic growth'),
    limb('L5', 190, 12, 34, 42, '10%', 'passes above the roof'),
    limb('L6', 265, 12.5, 12, 26, '9%', 'low limb to the west, clear of the house'),
    limb('L7', 20, 8, 15, 38, '6%', 'to the north, clear'),
  ];
}
