// Features tree by tree. In: an assessment, a plan, a role; out: a function that gives the texts of one tree.
// Terms: record = what one tree has in one role: a feature, several (rings), none, or its row of the schedule. The same
// texts, tree after tree in input order, are what geojson.ts and schedule.ts write.

import type { Assessment, Finding, TreeResult } from '../model/index.js';
import { DrawnFeatures } from './drawn.js';
import { treeFeature } from './geojson.js';
import { DRAWN, type DrawnRole, type GeoJSONOptions, planOf } from './options.js';
import { scheduleLines } from './schedule.js';

/** Roles whose features belong to single trees. */
export const TREE_ROLES: readonly TreeRole[] = [...DRAWN, 'tree'];
export type TreeRole = DrawnRole | 'tree';

export interface TreeRecords {
  /** Texts of one tree in a role, or in the schedule. */
  of(tree: TreeResult): Iterable<string>;
  /** Findings of drawing the trees asked for so far. */
  readonly findings: readonly Finding[];
}

/**
 * The records of a role, or of the schedule.
 *
 * @example
 * const { of } = treeRecords(assessment, { units: 'us' }, 'ring');
 * for (const tree of assessment.eachTree()) for (const text of of(tree)) sink.write(text);
 */
export function treeRecords(assessment: Assessment, options: GeoJSONOptions, role: TreeRole | 'schedule'): TreeRecords {
  if (role === 'schedule') {
    const { row } = scheduleLines(assessment, options);
    return { of: (tree) => [row(tree)], findings: [] };
  }
  const plan = planOf(options, assessment);
  if (role === 'tree') {
    const textOf = treeFeature(assessment, plan);
    return { of: (tree) => [textOf(tree)], findings: [] };
  }
  const drawn = new DrawnFeatures(assessment, plan);
  return { of: drawn.ofTree(role), findings: drawn.findings };
}
