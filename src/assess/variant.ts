// All trees under one rule and one design option. In: checked tables with their positions, a rule, a design option; out: zones, figures and
// verdicts. Terms: variant = what is judged under one rule and one design option; a job has at least one, all on the same
// ground.

import type { Ring } from '../geometry/index.js';
import type {
  CrsTransform,
  ExistingUse,
  Frame,
  JudgedTree,
  Rule,
  TreeTable,
  WorksTable,
  WorksWeights,
  ZoneShapes,
  ZoneTable,
} from '../model/index.js';
import { type Finding, finding, hasWorks } from '../model/index.js';
import { type Overlaps, overlaps, type Runner, regrow } from '../overlap/index.js';
import { judgeAll, judgeWithoutWorks, type RuleAreas, ruleAreas, weigh, zones } from '../rules/index.js';
import { groupShapes, nearestToGroups, withGroups } from './groups.js';

/** What all variants of a job share. */
export interface Ground {
  readonly trees: TreeTable;
  readonly treeLonLat: Float64Array;
  readonly works: WorksTable;
  readonly worksLonLat: Float64Array;
  /** Ground that is hard today, and how works on it count. */
  readonly existing: { readonly works: WorksTable; readonly lonLat: Float64Array; readonly use: ExistingUse } | null;
  /** Zones drawn by an arborist, by tree row, in the frame of the tree. */
  readonly shapes: ZoneShapes;
  /** Outlines of groups, relative to their place, and the system of the survey. */
  readonly groups: { readonly outlines: ReadonlyMap<number, readonly Ring[]>; readonly transform: CrsTransform };
  readonly runner: Runner | undefined;
  frameAt(lon: number, lat: number): Frame;
  tick(done: number): void;
  /** Throws when the job is to stop; called in searches that measure one tree many times. */
  look(): void;
}

export interface Variant {
  readonly rule: Rule;
  readonly areas: RuleAreas;
  /** The design option weighed; undefined where works have none. */
  readonly option: string | undefined;
  readonly zones: ZoneTable;
  /** Zones that are not discs: drawn ones, and those of groups. */
  readonly shapes: ZoneShapes;
  readonly weights: WorksWeights;
  readonly measured: Overlaps;
  readonly judged: readonly JudgedTree[];
  /** As in Ground. */
  look(): void;
  readonly findings: readonly Finding[];
}

/** Sizes, measures and judges every tree under one rule and one design option. */
export function variantOf(ground: Ground, rule: Rule, option: string | undefined): Variant {
  const areas = ruleAreas(rule);
  const sized = zones(ground.trees, rule, ground.shapes);
  const { existing, groups } = ground;
  const groupZones = groupShapes(groups.outlines, sized.table, { ...ground, transform: groups.transform });
  const shapes: ZoneShapes = groupZones.size === 0 ? ground.shapes : new Map([...ground.shapes, ...groupZones]);
  const table = withGroups(sized.table, groupZones);
  const grown =
    existing === null || existing.use !== 'regrown'
      ? { table, unreached: [] }
      : regrow(table, { ...existing, treeLonLat: ground.treeLonLat, frameAt: ground.frameAt });
  const weights = weigh(rule, areas, ground.works, option);
  const measured = overlaps({
    zones: grown.table,
    shapes,
    treeLonLat: ground.treeLonLat,
    accuracyM: ground.trees.accuracyM,
    works: ground.works,
    worksLonLat: ground.worksLonLat,
    weights,
    areas,
    ...(existing === null
      ? {}
      : { existing: { works: existing.works, lonLat: existing.lonLat, spared: existing.use !== 'counted' } }),
    ...(ground.runner === undefined ? {} : { runner: ground.runner }),
    tick: ground.tick,
    frameAt: ground.frameAt,
  });
  nearestToGroups(groups.outlines, measured);
  return {
    rule,
    shapes,
    areas,
    option,
    zones: grown.table,
    weights,
    measured,
    look: ground.look,
    judged: hasWorks(ground.works)
      ? judgeAll(ground.trees, grown.table, measured.table, rule)
      : judgeWithoutWorks(ground.trees, grown.table, rule),
    findings: [...sized.findings, ...unreached(grown.unreached, ground.trees)],
  };
}

function unreached(rows: readonly number[], trees: TreeTable): Finding[] {
  return rows.map((row) => {
    const place = { layer: trees.layer.name, feature: row, id: trees.key.at(row) };
    const message = `tree ${trees.key.at(row)} stands in so much hard ground that even ten times its zone radius does not contain the area it needs`;
    return finding(
      'regrow-unreached',
      place,
      message,
      'ask the arborist where its roots run, draw that zone and give it with --zones',
    );
  });
}
