// Class, zone and rings. In: an assessed tree; out: the formula that applied, with its numbers, radius and area.
// Terms: see model/rule.ts. The lines say what replaced the rule's formula (drawn, given, grown).

import type { RadiusFormula } from '../model/index.js';
import { formOf } from '../rules/index.js';
import { factsOf, formulaSteps } from './formula.js';
import type { Explained, Page } from './page.js';

const SIDES = ['north', 'east', 'south', 'west'] as const;

export function classLines(page: Page, { assessment: { rule, job }, tree }: Explained): void {
  const classes = rule.classes ?? [];
  const own = classes[(job.zones.classNumber?.[tree.row] ?? 0) - 1];
  if (own !== undefined) page.note(`${own.name}: the first of the rule’s ${classes.length} that fits the tree`);
  else
    page.note(
      classes.length === 0
        ? 'the rule has none'
        : `none of the rule’s ${classes.length} fits: the general rule applies`,
    );
}

/** The formula that sized the zone, and why this one. */
function formulaFor({ assessment: { rule, job }, tree }: Explained): readonly [RadiusFormula, why: string | null] {
  const own = rule.classes?.[(job.zones.classNumber?.[tree.row] ?? 0) - 1];
  if (own?.zone !== undefined) return [own.zone, `the class ${own.name} has its own formula`];
  const form = formOf(job.trees, tree.row);
  const byForm = Object.hasOwn(rule.zonesByForm ?? {}, form) ? rule.zonesByForm?.[form] : undefined;
  return byForm === undefined ? [rule.zone, null] : [byForm, `the form ${form} has its own formula`];
}

export function zoneLines(page: Page, explained: Explained): void {
  const { assessment, tree } = explained;
  const { job, options } = assessment;
  const radius = tree.zoneRadiusM ?? Number.NaN;
  const area = page.area(tree.zoneAreaM2 ?? Number.NaN);
  const shape = job.zoneShapes.get(tree.row);
  if (shape !== undefined) {
    const isGroup = shape.isGroup === true;
    page.note(
      isGroup
        ? 'a group: its outline, widened by the rule’s radius'
        : 'drawn for this tree by an arborist, in place of the rule’s circle',
    );
    page.step(`from ${isGroup ? 'a place inside' : 'the trunk'} to its farthest corner`, page.length(radius));
    page.step('area of the shape', area);
    return;
  }
  if (job.trees.zoneRadiusM[tree.row]! > 0)
    page.step('radius given with the tree, in place of the rule’s', page.length(radius));
  else {
    const [formula, why] = formulaFor(explained);
    if (why !== null) page.note(why);
    const facts = factsOf(job.trees, tree.row, tree.dbhM);
    const quarters = job.zones.quarters.get(tree.row);
    if (quarters !== undefined) {
      for (const [i, side] of SIDES.entries()) formulaSteps(page, `radius to the ${side}`, formula, facts, i);
      const [n, e, s, w] = quarters.map((r) => page.length(r).split(' ')[0]);
      page.step(`area = pi / 4 x (${n} x ${e} + ${e} x ${s} + ${s} x ${w} + ${w} x ${n})`, area);
      return;
    }
    formulaSteps(page, 'radius', formula, facts, 0);
    if (options.existingUse === 'regrown') {
      page.step('grown until its area without hard ground is what the rule asks for', page.length(radius));
    }
  }
  page.step(`area = pi x ${page.length(radius).split(' ')[0]}^2`, area);
}

export function ringLines(page: Page, { assessment: { rule, job }, tree }: Explained): void {
  if (tree.rings.length === 0) page.note('the rule has none for this tree');
  for (const { name, radiusM, overlapPct } of tree.rings) {
    const ring = rule.rings.find((one) => one.name === name);
    if (ring !== undefined) formulaSteps(page, `${name}: radius`, ring, factsOf(job.trees, tree.row, tree.dbhM), 0);
    page.step(`${name}: area = pi x ${page.length(radiusM).split(' ')[0]}^2`, page.area(Math.PI * radiusM * radiusM));
    if (overlapPct !== null) page.step(`${name}: taken by all works that count`, page.percent(overlapPct));
  }
}
