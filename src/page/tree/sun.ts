// The sun that one tree keeps off the proposed buildings, loaded when it is asked for. In: an assessment, a tree, units; out: lines of
// text: the library's own figures, or what is missing for them. Terms: see model/facade.ts. Only buildings within reach are reckoned:
// that changes none of this tree's figures. Sun steps x walls x trees near; it stops after a time.

import { type Assessment, InputError } from '../../core.js';
import type { Figures } from '../../report/figures.js';
import { type Building, buildingsOf } from '../../shade/buildings.js';
import { shade } from '../../shade/shade.js';

/** Shadows are followed so many heights far (shade/shade.ts). */
const FAR = 10;
const METRES_A_DEGREE = 111_320;
/** The page can't answer meanwhile. */
const MOST_MS = 30_000;

/**
 * What a tree keeps off.
 *
 * @returns sentences; what is missing where nothing can be reckoned
 * @throws InputError `shade-local` where the plan's place on earth is unknown
 */
export function sunLines(assessment: Assessment, row: number, figures: Figures): readonly string[] {
  const { trees, treeLonLat } = assessment.job;
  const all = buildingsOf(assessment.job, assessment.option);
  const high = all.filter(({ heightM }) => heightM > 0);
  const heightM = trees.heightM[row] ?? Number.NaN;
  const missing = [
    ...(all.length === 0 ? ['No works of the plan are buildings.'] : []),
    ...(all.length > 0 && high.length === 0
      ? ['No building of the plan has a height: select it and give it one, in the column height_m or height_ft.']
      : []),
    ...(heightM > 0 ? [] : ['The tree has no height: give it one, in the column height_m or height_ft.']),
    ...(hasCrown(assessment, row)
      ? []
      : ['The tree has no crown: give it a radius, in the column crown_radius_m or crown_radius_ft.']),
    ...(Number.isNaN(treeLonLat[row * 2]) ? ['The tree has no position.'] : []),
  ];
  if (missing.length > 0) return missing;
  const at = [treeLonLat[row * 2]!, treeLonLat[row * 2 + 1]!] as const;
  const reachM =
    heightM * FAR + Math.max(...Array.from(trees.crownM.slice(row * 4, row * 4 + 4)).filter((r) => r > 0), 0);
  const near = high.filter((building) => isNear(building, at, reachM));
  if (near.length === 0) return ['No building with a height stands where this tree’s shadow comes.'];
  const end = performance.now() + MOST_MS;
  const result = shade(
    assessment,
    {},
    near.map((building) => building.row),
    {
      throwIfAborted() {
        if (performance.now() > end)
          throw new InputError('sun-too-long', 'the sun of this plan takes longer than the page can wait', {
            cure: 'use the command line: rootberth assess --config rootberth.json --shade-table shade.csv',
          });
      },
    },
  );
  const tree = result.trees.find((one) => one.row === row);
  if (tree === undefined) return ['It keeps no direct sun off any wall of these buildings.'];
  const hours = (value: number): string => `${figures.area(value, false).replace(/\.\d+$/, '')} h ${figures.areaUnit}`;
  return [
    `Low sun of summer afternoons kept off: ${hours(tree.lowWestSummerM2h)}.`,
    `All direct sun of summer kept off: ${hours(tree.summerM2h)}; of winter: ${hours(tree.winterM2h)}, which is a loss.`,
    `Hours times area of wall that this tree keeps off and no other that stays, on ${named(near)}.`,
    ...(tree.standing ? [] : ['On this plan the tree goes.']),
    ...(tree.reasons.length === 0
      ? []
      : [`Assumed: ${tree.reasons.map((code) => code.replaceAll('-', ' ')).join(', ')}.`]),
    ...(high.length < all.length ? [`Buildings without a height are left out: ${all.length - high.length}.`] : []),
    'Direct sun on flat ground alone: no light from the sky, no terrain, no heat; not an energy model.',
  ];
}

function hasCrown({ job: { trees, crowns } }: Assessment, row: number): boolean {
  return trees.crownM.slice(row * 4, row * 4 + 4).some((r) => r > 0) || (crowns?.areaM2(row) ?? 0) > 0;
}

function isNear({ lonLat: [lon, lat], sizeM }: Building, at: readonly [number, number], reachM: number): boolean {
  const east = (at[0] - lon) * METRES_A_DEGREE * Math.cos((lat * Math.PI) / 180);
  return Math.hypot(east, (at[1] - lat) * METRES_A_DEGREE) <= reachM * 1.01 + sizeM;
}

function named(buildings: readonly Building[]): string {
  const names = buildings.slice(0, 6).map(({ key }) => key);
  return `${names.join(', ')}${buildings.length > 6 ? ` and ${buildings.length - 6} more buildings` : ''}`;
}
