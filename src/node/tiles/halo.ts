// How far round its trees a tile has to look. In: a job that was checked and placed; out: metres, for works and for ground.
// A figure depends on works within reach of its zone, its rings and its crown, and its nearest works within NEAREST_LIMIT_M;
// more than that does no harm, so every length is taken generously, and for the largest tree of the job.

import type { AssessJob } from '../../assess/index.js';
import { NEAREST_LIMIT_M } from '../../geometry/index.js';
import type { Assessment, ZoneTable } from '../../model/index.js';
import { widest } from '../../overlap/index.js';
import { zones } from '../../rules/index.js';

/** Margins move works by up to so much (see assess/margin.ts), and a survey's diameters may be off. */
const MORE_M = 60;
const MORE_SHARE = 1.25;
/** Zones that grow round hard ground do so up to ten radii (see overlap/regrow.ts). */
const REGROWN = 10;

export function haloOf({ job, options, otherRules }: Assessment, read: AssessJob): { works: number; ground: number } {
  const { trees, works, existing } = job;
  let radius = largest(job.zones);
  // Zones of groups are in those of the first rule; others add theirs.
  for (const { rule } of otherRules) radius += largest(zones(trees, rule, job.zoneShapes).table);
  const crowns = read.crowns === undefined ? 0 : NEAREST_LIMIT_M / 4; // drawn ones: no tree is that wide
  const crown = Math.max(crowns, most(trees.crownM)) + (options.clearanceM ?? 0);
  const reach = Math.max(radius * MORE_SHARE, crown) + MORE_M;
  const grown = options.existingUse === 'regrown' ? Math.max(reach, radius * REGROWN) : reach;
  return {
    works: Math.max(grown, NEAREST_LIMIT_M) + MORE_M + widest(works),
    ground: grown + (existing === null ? 0 : widest(existing.works)),
  };
}

function largest({ radiusM, ringRadiusM }: ZoneTable): number {
  return [radiusM, ...ringRadiusM].reduce((sum, column) => Math.max(sum, most(column)), 0);
}

function most(column: Float64Array): number {
  let value = 0;
  for (const one of column) if (one > value) value = one;
  return value;
}
