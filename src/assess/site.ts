// Where everything stands. In: checked tables with the systems of their layers; out: positions in lon/lat, trunk centres,
// hard ground, drawn zones and crowns, and the ground that every variant is measured on.
// Terms: ground = what all variants of a job share, see variant.ts. Linear in the vertices.

import { frameAt, type PlacedLayer, planeFrame } from '../crs/index.js';
import {
  type CrsTransform,
  type Finding,
  type Job,
  type LayerRole,
  type Rule,
  type StemAtFace,
  stakesNeedPlane,
  type TreeTable,
} from '../model/index.js';
import { diametersUsed } from '../rules/index.js';
import type { Tables } from './checked.js';
import { type DrawnResult, drawnPolygons } from './drawn-polygons.js';
import { drawnZones } from './drawn-zones.js';
import { groupOutlines } from './groups.js';
import type { AssessJob } from './job.js';
import { lonLatOf, treeLonLat, worksLonLat } from './positions.js';
import { type Stems, stemCentres } from './stems.js';
import type { Ground } from './variant.js';

export interface Site {
  readonly ground: Ground;
  readonly positions: Pick<Job, 'treeLonLat' | 'worksLonLat' | 'lotsLonLat'>;
  readonly trees: TreeTable;
  readonly existing: Job['existing'];
  readonly drawn: DrawnResult;
  /** Of the tree layer. */
  readonly transform: CrsTransform;
  readonly frameAt: Job['frameAt'];
  readonly findings: readonly Finding[];
}

/** @throws InputError when stakes are asked for in a survey that has no plane */
export function siteOf(job: AssessJob, placed: readonly PlacedLayer[], tables: Tables, rule: Rule): Site {
  const options = job.options ?? {};
  const transformsOf = (role: LayerRole): CrsTransform[] =>
    placed.filter((layer) => layer.role === role).map((layer) => layer.transform);
  const transform = transformsOf('trees')[0]!;
  if (options.fences?.stakesInSurvey === true && transform.crs.kind === 'geographic') throw stakesNeedPlane();
  // A local ground system is one plane; the earth is a lattice of true-to-size frames.
  const frames = transform.crs.kind === 'local' ? () => planeFrame : frameAt;
  const { trees, treeLonLat, findings } = stemsOf(tables.trees, rule, transform, options.stemAt, frames);
  const positions = { treeLonLat, ...otherPositions(tables, transformsOf) };
  const existing =
    tables.existing === null
      ? null
      : { works: tables.existing, lonLat: worksLonLat(tables.existing, transformsOf('existing')) };
  const drawn = drawnPolygons(placed, { trees, treeLonLat }, tables.reading);
  const ground: Ground = {
    ...positions,
    trees,
    works: tables.works,
    existing: existing && { ...existing, use: options.existingUse ?? 'counted' },
    shapes: drawnZones(drawn.zonePolygons, treeLonLat, frames),
    groups: { outlines: groupOutlines({ trees, treeLonLat, transform, frameAt: frames }), transform },
    runner: job.runner,
    frameAt: frames,
    tick(done) {
      job.onProgress?.({ stage: 'measure', name: job.trees.name, done, total: job.trees.count });
      job.signal?.throwIfAborted();
    },
    look: () => job.signal?.throwIfAborted(),
  };
  const all = [...findings, ...drawn.findings];
  return { ground, positions, trees, existing, drawn, transform, frameAt: frames, findings: all };
}

function otherPositions(
  { works, lots }: Tables,
  transformsOf: (role: LayerRole) => readonly CrsTransform[],
): Pick<Job, 'worksLonLat' | 'lotsLonLat'> {
  const [ofLots] = transformsOf('lots');
  return {
    worksLonLat: worksLonLat(works, transformsOf('works')),
    lotsLonLat: lots && ofLots ? lonLatOf(lots.geometry.xy, ofLots) : new Float64Array(),
  };
}

/** Trunk centres: as surveyed, or moved from the face by half the diameter that the rule uses. */
function stemsOf(
  trees: TreeTable,
  rule: Rule,
  transform: CrsTransform,
  stemAt: StemAtFace | undefined,
  frames: Job['frameAt'],
): Stems {
  const shot = treeLonLat(trees, transform);
  if (stemAt === undefined) return { trees, treeLonLat: shot, findings: [] };
  return stemCentres({ trees, dbhM: diametersUsed(trees, rule), treeLonLat: shot, transform, stemAt, frameAt: frames });
}
