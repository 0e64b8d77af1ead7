// Trees + rule -> zones. In: the tree table and a checked rule; out: radii and areas per tree, and findings.
// Terms: diameter used = stems combined as the rule says, else dbh (girth is dbh by now); a radius given with the
// tree overrides the rule. Missing figures make a tree not assessed, with the reason; nothing is made up.

import type { Finding, RadiusFormula, Rule, RuleRing } from '../../model/index.js';
import { AGES, finding, TOLERANCES, type TreeTable, type ZoneShapes, type ZoneTable } from '../../model/index.js';
import { type CompiledRadius, combineStems, compileRadius, type Need, type RadiusColumns } from '../evaluate.js';
import { classNumbers, formOf, protectedTrees } from './classes.js';
import { type Reason, ZoneNotes } from './notes.js';
import { RowMap } from './row-map.js';

/** The diameter the rule uses, per tree; NaN where there is none above 0, so that no bound hides a missing diameter. */
export function diametersUsed(trees: TreeTable, rule: Rule): Float64Array {
  const used = trees.dbhM.slice();
  for (const [row, stems] of trees.stemsM) if (stems.length > 0) used[row] = combineStems(stems, rule.stems.zone);
  for (let row = 0; row < used.length; row++) {
    const d = used[row]!;
    if (!(d > 0 && d < Infinity)) used[row] = Number.NaN;
  }
  return used;
}

function columnsOf(trees: TreeTable, dbhM: Float64Array): RadiusColumns {
  const baseM = trees.baseDiaM.slice();
  for (let row = 0; row < baseM.length; row++) if (Number.isNaN(baseM[row])) baseM[row] = dbhM[row]!;
  const { heightM, crownM, tolerance, age } = trees;
  return { dbhM, baseM, heightM, crownM, tolerance, age };
}

type Quarters = readonly [north: number, east: number, south: number, west: number];

/** Area between four radii joined by quarter ellipses: pi/4 x the sum of products of neighbours. */
export function quartersAreaM2([north, east, south, west]: Quarters): number {
  return (Math.PI / 4) * (north * east + east * south + south * west + west * north);
}

type Sizes = {
  readonly radiusM: Float64Array;
  readonly areaM2: Float64Array;
  /** 4 per row, NaN where the zone is a circle; null when the rule knows circles only. */
  readonly sides: Float64Array | null;
};

/** Writes one tree's zone; false when the formula could not be worked out or gives no radius above 0. */
function size(row: number, { at, shaped }: CompiledRadius, out: Sizes): boolean {
  const north = at(row, 0);
  let largest = north;
  let smallest = north;
  let area = Math.PI * north * north;
  if (shaped && out.sides) {
    const east = at(row, 1);
    const south = at(row, 2);
    const west = at(row, 3);
    largest = Math.max(north, east, south, west);
    smallest = Math.min(north, east, south, west);
    // Equal radii are a circle, which is measured in closed form.
    if (smallest > 0 && largest < Infinity && smallest !== largest) {
      out.sides[row * 4] = north;
      out.sides[row * 4 + 1] = east;
      out.sides[row * 4 + 2] = south;
      out.sides[row * 4 + 3] = west;
      area = quartersAreaM2([north, east, south, west]);
    }
  }
  if (!(smallest > 0 && largest < Infinity)) return false;
  out.radiusM[row] = largest;
  out.areaM2[row] = area;
  return true;
}

/** Rows whose zone follows the crown. */
function quartersOf(sides: Float64Array | null, count: number): ReadonlyMap<number, Quarters> {
  if (!sides) return new Map();
  return new RowMap<Quarters>(count, (row) => {
    const i = row * 4;
    if (Number.isNaN(sides[i])) return undefined;
    return [sides[i]!, sides[i + 1]!, sides[i + 2]!, sides[i + 3]!];
  });
}

/** Why a formula could not be worked out for a tree: the first figure it needs and lacks. */
function reasonFor(row: number, needs: ReadonlySet<Need>, columns: RadiusColumns): Reason {
  const lacks = (column: Float64Array, i: number): boolean => !(column[i]! >= 0);
  if ((needs.has('dbh') || needs.has('base')) && !(columns.dbhM[row]! > 0)) return 'dbh-missing';
  if (needs.has('crown') && [0, 1, 2, 3].some((side) => lacks(columns.crownM, row * 4 + side))) return 'crown-missing';
  if (needs.has('height') && lacks(columns.heightM, row)) return 'height-missing';
  return needs.has('table') ? 'diameter-outside-table' : 'zone-empty';
}

/** Zone formulas by form of tree, compiled; only rules that have them pay for the look-up. */
function byForm(rule: Rule, columns: RadiusColumns): ReadonlyMap<string, CompiledRadius> {
  return new Map(
    Object.entries(rule.zonesByForm ?? {}).map(([form, formula]: [string, RadiusFormula]) => [
      form,
      compileRadius(formula, columns),
    ]),
  );
}

function ringRadii(ring: RuleRing, trees: TreeTable, columns: RadiusColumns, sizes: Sizes, notes: ZoneNotes) {
  const { at, needs } = compileRadius(ring, columns);
  const except = new Set(ring.notForForms ?? []);
  const radii = new Float64Array(trees.count).fill(Number.NaN);
  for (let row = 0; row < trees.count; row++) {
    if (Number.isNaN(sizes.radiusM[row])) continue;
    if (except.size > 0 && except.has(formOf(trees, row))) continue;
    const radius = at(row, 0);
    if (!(radius > 0 && radius < Infinity)) {
      notes.add(row, 'ring-unmeasured');
      continue;
    }
    radii[row] = radius;
    if (radius > sizes.radiusM[row]!) notes.add(row, 'ring-beyond-zone');
    if (needs.has('base') && Number.isNaN(trees.baseDiaM[row])) notes.add(row, 'base-dia-assumed');
  }
  return radii;
}

/** Zones of all trees, and findings about how they were made. */
export interface Zones {
  readonly table: ZoneTable;
  readonly findings: readonly Finding[];
}

/**
 * Sizes each tree's zone and rings by a rule. Metres and square metres; NaN for trees that are not assessed:
 * those rejected before, and those that lack a figure the rule needs (reason in `table.rejected`, and a finding).
 * A radius given with the tree overrides the rule, and a zone drawn for it (`shapes`) overrides both; rings stay the rule's.
 *
 * @example
 * const { table } = zones(trees, builtinRule('foot-per-inch'));
 * table.radiusM[0]; // 7.3152 for a trunk of 24 in: 24 ft
 */
export function zones(trees: TreeTable, rule: Rule, shapes: ZoneShapes = new Map()): Zones {
  const n = trees.count;
  const dbhM = diametersUsed(trees, rule);
  const columns = columnsOf(trees, dbhM);
  const main = compileRadius(rule.zone, columns);
  const forms = byForm(rule, columns);
  // A class may leave the zone to the rule; row 0 is for trees of no class.
  const classes = [undefined, ...(rule.classes ?? []).map(({ zone }) => zone && compileRadius(zone, columns))];
  const shaped =
    main.shaped ||
    classes.some((formula) => formula?.shaped === true) ||
    [...forms.values()].some((formula) => formula.shaped);
  const out: Sizes = {
    radiusM: new Float64Array(n).fill(Number.NaN),
    areaM2: new Float64Array(n).fill(Number.NaN),
    sides: shaped ? new Float64Array(n * 4).fill(Number.NaN) : null,
  };
  const notes = new ZoneNotes(trees);
  const classNumber = classNumbers(rule, trees, dbhM);
  for (let row = 0; row < n; row++) {
    if (trees.rejected.has(row)) continue;
    const drawn = shapes.get(row);
    if (drawn !== undefined) {
      out.radiusM[row] = drawn.reachM;
      out.areaM2[row] = drawn.areaM2;
      notes.add(row, 'zone-drawn');
      continue;
    }
    const given = trees.zoneRadiusM[row]!;
    if (given > 0 && given < Infinity) {
      out.radiusM[row] = given;
      out.areaM2[row] = Math.PI * given * given;
      notes.add(row, 'zone-overridden');
      continue;
    }
    const own = classNumber === null ? undefined : classes[classNumber[row]!];
    const form = forms.size > 0 && own === undefined ? forms.get(formOf(trees, row)) : undefined;
    const formula = own ?? form ?? main;
    if (!size(row, formula, out)) {
      notes.reject(row, reasonFor(row, formula.needs, columns));
      continue;
    }
    if (form) notes.add(row, 'zone-by-form');
    if (formula.needs.has('base') && Number.isNaN(trees.baseDiaM[row])) notes.add(row, 'base-dia-assumed');
    if (formula.needs.has('tolerance-age')) {
      if (trees.tolerance[row]! >= TOLERANCES.length) notes.add(row, 'tolerance-assumed');
      if (trees.age[row]! >= AGES.length) notes.add(row, 'age-assumed');
    }
  }
  for (const [row, stems] of trees.stemsM) {
    if (stems.length > 1 && !Number.isNaN(out.radiusM[row])) notes.add(row, 'stems-combined');
  }
  const ringRadiusM = rule.rings.map((ring) => ringRadii(ring, trees, columns, out, notes));
  const table: ZoneTable = {
    dbhM,
    radiusM: out.radiusM,
    areaM2: out.areaM2,
    quarters: quartersOf(out.sides, n),
    trunkRadiusM: trunkRadii(dbhM, out.radiusM, notes),
    shaped: shapes.size === 0 ? null : Uint8Array.from({ length: n }, (_, row) => (shapes.has(row) ? 1 : 0)),
    classNumber,
    protectedByRule: protectedTrees(rule, trees),
    ringNames: rule.rings.map((ring) => ring.name),
    ringRadiusM,
    rejected: notes.rejected(),
    notes: notes.notes(),
  };
  return { table, findings: [...notes.findings(rule), ...protectedUnknown(trees, table, rule)] };
}

const NAMED = 10;

/** Trees whose protection neither the rule nor the survey can tell. */
function protectedUnknown(trees: TreeTable, { protectedByRule }: ZoneTable, rule: Rule): Finding[] {
  const rows: number[] = [];
  protectedByRule?.forEach((test, row) => {
    if (test === 2 && trees.protected[row]! >= 2) rows.push(row);
  });
  if (rows.length === 0) return [];
  const names = rows.slice(0, NAMED).map((row) => trees.key.at(row) ?? `trees:${row}`);
  const more = rows.length > NAMED ? ` and ${rows.length - NAMED} more` : '';
  const message = `rule ${rule.id} protects by size, and ${rows.length} ${rows.length === 1 ? 'tree has' : 'trees have'} no diameter: whether they are protected is unknown (${names.join(', ')}${more})`;
  const cure = 'measure their diameters, or fill in protected with yes or no';
  return [finding('protected-unknown', { layer: trees.layer.name }, message, cure)];
}

/** Half the diameter used; a tree assessed without a diameter has a point for a trunk, and says so. */
function trunkRadii(dbhM: Float64Array, radiusM: Float64Array, notes: ZoneNotes): Float64Array {
  const trunk = new Float64Array(dbhM.length).fill(Number.NaN);
  for (let row = 0; row < trunk.length; row++) {
    const d = dbhM[row]!;
    if (d > 0) trunk[row] = d / 2;
    else if (!Number.isNaN(radiusM[row])) {
      trunk[row] = 0;
      notes.add(row, 'trunk-unmeasured');
    }
  }
  return trunk;
}
