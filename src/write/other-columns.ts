// The properties of a tree under other rules and design options. In: an assessment and a plan; out: columns for each
// further rule and each further design option. Terms: see model/ (OtherReckoning).

import { type Assessment, type OtherReckoning, type TreeResult, treeView } from '../model/index.js';
import type { Column } from './column.js';
import { figure, SCALES } from './numbers.js';
import type { Plan } from './options.js';

/** Columns `<rule>_verdict` and so on, and `option_<name>_verdict` and so on; none where there is only one rule and option. */
export function otherColumns(assessment: Assessment, plan: Plan): Column<TreeResult>[] {
  return [
    ...assessment.otherRules.flatMap((other) => [...zoneColumns(other, plan), ...verdictColumns(other, other.rule.id)]),
    ...assessment.otherOptions.flatMap((other) => verdictColumns(other, `option_${nameOf(other)}`)),
  ];
}

/** A design option's name as part of a property name: what is neither letter nor digit is an underscore. */
export function nameOf({ option }: OtherReckoning): string {
  return (option ?? '').trim().replace(/[^\p{L}\p{N}]+/gu, '_');
}

function zoneColumns(other: OtherReckoning, plan: Plan): Column<TreeResult>[] {
  const { length } = SCALES[plan.units];
  const scaled = (value: number | null): number | null => figure(value === null ? null : value * length.factor);
  return [
    {
      name: `${other.rule.id}_zone_radius_${length.suffix}`,
      type: 'real',
      value: (t) => scaled(treeView(other, t.row).zoneRadiusM),
    },
  ];
}

function verdictColumns(other: OtherReckoning, name: string): Column<TreeResult>[] {
  return [
    { name: `${name}_overlap_pct`, type: 'real', value: (t) => figure(treeView(other, t.row).overlapPct) },
    { name: `${name}_verdict`, type: 'text', value: (t) => treeView(other, t.row).verdict },
    { name: `${name}_consequence`, type: 'text', value: (t) => treeView(other, t.row).consequence },
    { name: `${name}_reasons`, type: 'text', value: (t) => treeView(other, t.row).reasons.join(';') },
  ];
}
