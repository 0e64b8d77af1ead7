// What happens above the ground. In: trees with their crowns, a limb list, structures; out: crowns, limbs, findings.
// Terms: structure = a building of the design that is weighed, or what stands today and has a height.

import { crowns } from '../crown/index.js';
import { type CrownTable, type Finding, hasWorks } from '../model/index.js';
import type { AssessJob } from './job.js';
import { type LimbsResult, limbsOf } from './limbs.js';
import type { Site } from './site.js';
import { standing, structuresOf } from './structures.js';
import type { Variant } from './variant.js';

export interface Air {
  readonly crowns: CrownTable | null;
  readonly limbs: LimbsResult;
  readonly findings: readonly Finding[];
}

export function inTheAir(job: AssessJob, site: Site, main: Variant): Air {
  const options = job.options ?? {};
  const clearanceM = options.clearanceM ?? 0;
  const { trees, positions, existing, transform, frameAt } = site;
  const input = {
    trees,
    treeLonLat: positions.treeLonLat,
    structures: [
      structuresOf(site.ground.works, positions.worksLonLat, main.weights, clearanceM),
      ...(existing === null ? [] : [standing(existing.works, existing.lonLat, clearanceM)]),
    ],
    clearanceM,
    frameAt,
  };
  const crowned = crowns({ ...input, crownPolygons: site.drawn.crownPolygons });
  const found = limbsOf(job.limbs, { ...input, trunkRadiusM: main.zones.trunkRadiusM, transform }, options);
  // No structure was given that a limb could meet: the answer is "not known", not "free".
  const isOpen = !hasWorks(site.ground.works) && existing === null;
  const limbs = isOpen ? { ...found, limbs: found.limbs.map((limb) => ({ ...limb, conflict: null })) } : found;
  return { crowns: crowned?.table ?? null, limbs, findings: [...(crowned?.findings ?? []), ...limbs.findings] };
}
