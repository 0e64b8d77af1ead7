// Colours of each feature as columns of GeoJSON: simplestyle-spec 1.1.0. In: a role, and what its features are made of; out:
// the columns, none where they are not asked for. Terms: look = see style/. Tables have none: a map is coloured there by a style.

import type { Assessment, TreeResult, WorksResult } from '../model/index.js';
import { lookOf, SIMPLE_NAMES, type SimpleName, type StyleRule, simpleNames, simpleValue } from '../style/index.js';
import type { Column } from './column.js';
import type { Drawn } from './columns.js';
import type { FenceRecord } from './fences.js';
import type { DrawnRole, Plan, Role } from './options.js';

const NONE: ReadonlySet<string> = new Set();
const ALL: ReadonlySet<string> = new Set(SIMPLE_NAMES);

/** Names that own properties must not have where these columns are written. */
export function simpleTaken({ simplestyle }: Plan): ReadonlySet<string> {
  return simplestyle ? ALL : NONE;
}

function columnsOf<T>(role: Role, plan: Plan, value: (of: T, property: string) => unknown): Column<T>[] {
  if (!plan.simplestyle) return [];
  const look = (of: T): StyleRule => lookOf(role, (property) => value(of, property));
  return simpleNames(role).map((name): Column<T> => {
    if (isNumber(name))
      return { name, bare: true, type: 'real', value: (of) => simpleValue(name, look(of)) as number | null };
    return { name, bare: true, type: 'text', value: (of) => simpleValue(name, look(of)) as string | null };
  });
}

function isNumber(name: SimpleName): boolean {
  return name.endsWith('-width') || name.endsWith('-opacity');
}

/** Of a role whose features all look alike. */
export function plainColours<T>(role: 'lot' | 'existing', plan: Plan): Column<T>[] {
  return columnsOf<T>(role, plan, () => null);
}

export function worksColours(plan: Plan): Column<WorksResult>[] {
  return columnsOf<WorksResult>('works', plan, (works, property) => (property === 'kind' ? works.kind : works.counted));
}

export function fenceColours(plan: Plan): Column<FenceRecord>[] {
  return columnsOf<FenceRecord>('fence', plan, ({ kind }) => kind);
}

export function drawnColours(role: DrawnRole, plan: Plan): Column<Drawn>[] {
  return columnsOf<Drawn>(role, plan, ({ tree }) => tree.verdict);
}

/** Of trees: colours of lines and areas only where some are groups, which are polygons. */
export function treeColours(assessment: Assessment, plan: Plan): Column<TreeResult>[] {
  const all = columnsOf<TreeResult>('tree', plan, (tree) => tree.verdict);
  return assessment.job.trees.groups === null ? all.filter(({ name }) => name === 'marker-color') : all;
}
