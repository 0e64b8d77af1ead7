// Signs of trees in a drawing: blocks of our own, one a disposition, and what is written beside them. In: a tree; out: the
// block's name, its attributes. Terms: radius 1 = the crown's mean radius, else the zone's, else 1 m: the sign shows the
// tree's size without a full circle that would lie on crown or zone.

import type { Disposition, TreeResult } from '../../model/index.js';
import { SCALES, type Units } from '../../write/index.js';
import type { Sign, SignText } from './dxf-drawing.js';

type Line = readonly (readonly [number, number])[];

const MIDDLE = 0.1;
/** A stroke from `from` to `to` radii in a direction, degrees anticlockwise from the x axis. */
function ray(degrees: number, from: number, to: number): Line {
  const at = (r: number): readonly [number, number] => [
    Math.round(r * Math.cos((degrees * Math.PI) / 180) * 1e6) / 1e6,
    Math.round(r * Math.sin((degrees * Math.PI) / 180) * 1e6) / 1e6,
  ];
  return [at(from), at(to)];
}
const rays = (degrees: readonly number[], from: number, to: number): Line[] => degrees.map((d) => ray(d, from, to));
const STRAIGHT = [0, 90, 180, 270];
const SLANTED = [45, 135, 225, 315];
const plus: readonly Line[] = [...rays(STRAIGHT, 0, MIDDLE), ...rays(STRAIGHT, 0.85, 1)];

/** Kept: a cross and four ticks; removed: struck through; transplanted: a square on its corner; unknown: eight ticks. */
export const TREE_SIGNS: Readonly<Record<Disposition, Sign>> = {
  keep: { name: 'TREE-KEEP', circles: [MIDDLE], lines: plus },
  remove: { name: 'TREE-REMOVE', circles: [MIDDLE], lines: [...rays([45, 135], -1, 1)] },
  transplant: {
    name: 'TREE-TRANSPLANT',
    circles: [MIDDLE],
    lines: [
      [
        [1, 0],
        [0, 1],
        [-1, 0],
        [0, -1],
        [1, 0],
      ],
      ...rays(STRAIGHT, 0, MIDDLE),
    ],
  },
  unknown: { name: 'TREE-UNKNOWN', circles: [MIDDLE], lines: [...plus, ...rays(SLANTED, 0.85, 1)] },
};

const TEXTS = [
  { tag: 'TAG', prompt: 'Tree', hidden: false },
  { tag: 'DIAMETER', prompt: 'Trunk diameter', hidden: false },
  { tag: 'PERCENT', prompt: 'Percent of the zone taken', hidden: false },
  { tag: 'SPECIES', prompt: 'Species', hidden: true },
  { tag: 'VERDICT', prompt: 'Verdict', hidden: true },
  { tag: 'DISPOSITION', prompt: 'Disposition', hidden: true },
  { tag: 'ZONE_RADIUS', prompt: 'Radius of the zone', hidden: true },
  { tag: 'CROWN_RADIUS', prompt: 'Mean radius of the crown', hidden: true },
] as const;

/** The attributes of every sign, in the order of `treeValues`: three that show, the others to be read and counted. */
export const TREE_TEXTS: readonly SignText[] = TEXTS;

/** Without works there is nothing to take a percent of. */
function percentOf({ verdict, overlapPct }: TreeResult): string {
  if (overlapPct !== null) return `${overlapPct.toFixed(1)} %`;
  return verdict === null ? '' : verdict === 'stem-in-works' ? 'stem in works' : 'not assessed';
}

/** What a drawing says of a tree: a text for each attribute, '' where there is nothing to say. */
export function treeValues(
  tree: TreeResult,
  species: string | undefined,
  crownRadiusM: number | null,
  units: Units,
): readonly string[] {
  const { diameterCell, length } = SCALES[units];
  const radius = (metres: number | null): string =>
    metres === null ? '' : `${(metres * length.factor).toFixed(2)} ${length.title}`;
  const values: Readonly<Record<(typeof TEXTS)[number]['tag'], string>> = {
    TAG: tree.key,
    DIAMETER: tree.dbhM === null ? '' : `dbh ${(tree.dbhM * diameterCell.factor).toFixed(1)} ${diameterCell.title}`,
    PERCENT: percentOf(tree),
    SPECIES: species ?? '',
    VERDICT: tree.verdict ?? '',
    DISPOSITION: tree.disposition,
    ZONE_RADIUS: radius(tree.zoneRadiusM),
    CROWN_RADIUS: radius(crownRadiusM),
  };
  return TEXTS.map(({ tag }) => values[tag]);
}
