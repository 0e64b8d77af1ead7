// One reckoning of all trees. In: checked tables with their positions, a rule, a design option; out: zones, figures and
// verdicts. Terms: variant = what is judged under one rule and one design option; a job has at least one, all on the same
// ground.

import { type Finding, finding } from '../findings.js';
import { judgeAll } from '../judge.js';
import { type Overlaps, overlaps, type Runner, regrow } from '../overlap.js';
import type { Rule } from '../rule.js';
import { type RuleAreas, ruleAreas, weigh } from '../rules.js';
import type {
  ExistingUse,
  Frame,
  JudgedTree,
  TreeTable,
  WorksTable,
  WorksWeights,
  ZoneShapes,
  ZoneTable,
} from '../types.js';
import { zones } from '../zone.js';

/** What all variants of a job stand on. */
export interface Ground {
  readonly trees: TreeTable;
  readonly treeLonLat: Float64Array;
  readonly works: WorksTable;
  readonly worksLonLat: Float64Array;
  /** Ground that is hard today, and what is made of it. */
  readonly existing: { readonly works: WorksTable; readonly lonLat: Float64Array; readonly use: ExistingUse } | null;
  /** Zones drawn by an arborist, by tree row, in the frame of the tree. */
  readonly shapes: ZoneShapes;
  readonly runner: Runner | undefined;
  frameAt(lon: number, lat: number): Frame;
  tick(done: number): void;
}

export interface Variant {
  readonly rule: Rule;
  readonly areas: RuleAreas;
  /** The design option weighed; undefined where works have none. */
  readonly option: string | undefined;
  readonly zones: ZoneTable;
  readonly weights: WorksWeights;
  readonly measured: Overlaps;
  readonly judged: readonly JudgedTree[];
  readonly findings: readonly Finding[];
}

/** Sizes, measures and judges every tree under one rule and one design option. */
export function variantOf(ground: Ground, rule: Rule, option: string | undefined): Variant {
  const areas = ruleAreas(rule);
  const sized = zones(ground.trees, rule, ground.shapes);
  const { existing } = ground;
  const grown =
    existing === null || existing.use !== 'regrown'
      ? { table: sized.table, unreached: [] }
      : regrow(sized.table, { ...existing, treeLonLat: ground.treeLonLat, frameAt: ground.frameAt });
  const weights = weigh(rule, areas, ground.works, option);
  const measured = overlaps({
    zones: grown.table,
    shapes: ground.shapes,
    treeLonLat: ground.treeLonLat,
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
  return {
    rule,
    areas,
    option,
    zones: grown.table,
    weights,
    measured,
    judged: judgeAll(ground.trees, grown.table, measured.table, rule),
    findings: [...sized.findings, ...unreached(grown.unreached, ground.trees)],
  };
}

function unreached(rows: readonly number[], trees: TreeTable): Finding[] {
  return rows.map((row) => {
    const place = { layer: trees.layer.name, feature: row, id: trees.key.at(row) };
    const message = `so much ground about tree ${trees.key.at(row)} is hard today that no radius up to ten times its own holds the area it needs`;
    return finding(
      'regrow-unreached',
      place,
      message,
      'ask the arborist where its roots run, and draw the zone with --zones',
    );
  });
}
