// What stands at Alder Bench today, and the zone an arborist drew: in: site and trees; out: shapes in site feet.
// Terms: a shape is { kind, id, remarks, depth_ft, ring } or { ..., line, width_ft }; a drawn zone is { tree, remarks, ring }.
import { onLot } from './demo-site.mjs';

/** Hard ground left from the farm that never was. */
export function demoExisting() {
  return [
    {
      kind: 'paving',
      id: 'EX-1',
      remarks: 'old farm drive, gravel, from the lane to the slab',
      depth_ft: 0.5,
      width_ft: 10,
      line: [
        [-8, 78],
        [30, 84],
        [60, 95],
      ],
    },
    {
      kind: 'paving',
      id: 'EX-2',
      remarks: 'concrete slab of a barn taken down',
      depth_ft: 0.5,
      ring: [
        [58, 84],
        [84, 84],
        [84, 106],
        [58, 106],
      ],
    },
    {
      kind: 'paving',
      id: 'EX-3',
      remarks: 'east shoulder of the lane',
      depth_ft: 1,
      ring: [
        [-18, -120],
        [-8, -120],
        [-8, 240],
        [-18, 240],
      ],
    },
  ];
}

/** The big oak's zone as an arborist found it: roots run farther into the open ground behind than towards the street. */
export function demoZones(trees) {
  const oak = trees.find((t) => t.role === 'big-oak');
  const ring = Array.from({ length: 24 }, (_, i) => {
    const turn = (i * Math.PI) / 12;
    const reach = 52 + 5 * Math.cos(turn - 2) + 1.5 * Math.cos(3 * turn);
    return onLot(9, -39 + reach * Math.cos(turn), 62 + reach * Math.sin(turn));
  });
  return [{ tree: oak.id, remarks: 'roots of the big oak followed by air spade', ring }];
}
