// Zones or crowns that an arborist drew: in: a Layer of polygons and the tree table; out: a DrawnTable with every
// feature, cleaned geometry, the tree each one belongs to, and findings.
// Terms: name = what a feature calls its tree; joined = its tree was found, and something of its shape is left.

import { passesEast } from '../geometry/index.js';
import type { DrawnTable, Finding, GeometryTable, Layer, TreeTable } from '../model/index.js';
import { GeometryColumns } from '../model/index.js';
import { textOf } from './columns.js';
import { DRAWN_FIELDS, type DrawnField, TREE_FIELDS } from './field-table.js';
import { type FieldOptions, resolveFields, type SourceField, type Sources } from './fields.js';
import { ownId } from './keys.js';
import { Reporter } from './reporter.js';
import { ShapeCleaner } from './rings.js';
import { askForLayer } from './several.js';
import { listNames } from './suggest.js';

/** The fields that name a tree, in the order they are asked; after them the feature's own id. */
const NAMING: readonly DrawnField[] = ['tree', 'tree_id', 'id', 'tag'];

/**
 * Checks a layer of drawn zones or crowns and joins it to the trees by name: the first of the fields `tree`,
 * `tree_id`, `id`, `tag` that is not blank, else the feature's id, is compared with the trees' ids, then their tags.
 * Rows that join no tree stay, with reasons in `rejected` (see DrawnTable). `options.fields` may name the field:
 * `zones.tree`, `crowns.tree`. Without trees (null) only the shapes are checked, and nothing is joined.
 *
 * Throws InputError: `layer-several`, `field-missing`, `field-unknown` (usage).
 *
 * @example
 * const { table } = checkDrawn(layer, 'zones', trees, { fields: { 'zones.tree': 'TREE_NO' } });
 * table.rowOfTree.get(4); // [0, 7]: features 0 and 7 are the zone of the fifth tree
 */
export function checkDrawn(
  layer: Layer,
  role: DrawnTable['role'],
  trees: TreeTable | null,
  options: FieldOptions = {},
): { readonly table: DrawnTable; readonly findings: readonly Finding[] } {
  const findings: Finding[] = [];
  askForLayer(layer, role, findings);
  const sources = (resolveFields([layer], role, DRAWN_FIELDS, options, findings)[0] ?? {}) as Sources<DrawnField>;
  const fields = NAMING.flatMap((field) => sources[field] ?? []);
  const out = new Reporter(layer, findings);
  const name = Array.from({ length: layer.count }, (_, row) => nameOf(layer, row, fields));
  out.keys = name;
  const names = trees === null ? null : new TreeNames(trees, options);
  const treeOf = new Int32Array(layer.count).fill(-1);
  const writer = new GeometryColumns();
  const repaired = new Map<number, number>();
  const cleaner = new ShapeCleaner(writer, out, repaired, options.degrees);
  const what = role === 'zones' ? 'zone' : 'crown';
  for (let row = 0; row < layer.count; row++) {
    const kind = cleaner.kindOf(row);
    if (out.isSetAside(row)) cleaner.none();
    else if (kind === 'polygon' || kind === 'multipolygon') cleaner.polygon(row);
    else cleaner.refuse(row, `a drawn ${what} is a polygon; this is a point or a line`, 'draw it as a closed polygon');
    if (out.rejected.has(row) || trees === null || names === null) continue;
    const found = names.rowsOf(name[row]!);
    if (found.length === 1) treeOf[row] = found[0]!;
    else unknown(row, name[row]!, found, what, fields, trees, out);
  }
  const rowOfTree = joined(treeOf);
  for (const [tree, rows] of rowOfTree) {
    if (rows.length > 1) tellTwice(rows, trees?.key.at(tree) ?? '', what, out);
  }
  const table = {
    role,
    layer,
    count: layer.count,
    name,
    treeOf,
    rowOfTree,
    geometry: writer.take(),
    repaired,
    rejected: out.rejected,
  };
  return { table, findings };
}

/**
 * Findings about trunks that lie outside every polygon drawn for them. Positions as lon/lat, in the order of the
 * tables; edges are straight in lon/lat, which over a zone differs from the ground by less than a trunk.
 */
export function trunksOutside(table: DrawnTable, lonLat: Float64Array, treeLonLat: Float64Array): readonly Finding[] {
  const findings: Finding[] = [];
  const out = new Reporter(table.layer, findings);
  out.keys = table.name;
  for (const [tree, rows] of table.rowOfTree) {
    const lon = treeLonLat[tree * 2]!;
    const lat = treeLonLat[tree * 2 + 1]!;
    if (Number.isNaN(lon) || rows.some((row) => holds(table.geometry, lonLat, row, lon, lat))) continue;
    const what = table.role === 'zones' ? 'zone' : 'crown';
    const message = `the trunk of tree "${table.name[rows[0]!]}" lies outside the ${what} drawn for it`;
    const cure = 'check that the polygon names the right tree, and check both coordinate systems';
    out.say('drawn-trunk-outside', rows[0]!, 'geometry', message, cure);
  }
  return findings;
}

function nameOf(layer: Layer, row: number, fields: readonly SourceField[]): string {
  return textOf(fields, layer, row) ?? ownId(layer.id(row)) ?? '';
}

/** Trees by what a person calls them: own ids and keys; tags only when those do not match. */
export class TreeNames {
  readonly #byId = new Map<string, number[]>();
  readonly #trees: TreeTable;
  readonly #sources: Sources<'id' | 'tag'>;
  #byTag: Map<string, number[]> | undefined;

  constructor(trees: TreeTable, options: FieldOptions) {
    this.#trees = trees;
    // the check of the trees has already reported the mapping
    this.#sources = resolveFields([trees.layer], 'trees', TREE_FIELDS, options, [])[0] ?? {};
    for (let row = 0; row < trees.count; row++) {
      const key = trees.key.at(row)!;
      const own = textOf(this.#sources.id, trees.layer, row) ?? ownId(trees.layer.id(row));
      add(this.#byId, key, row);
      if (own !== undefined && own !== key) add(this.#byId, own, row);
    }
  }

  rowsOf(name: string): readonly number[] {
    if (name === '') return [];
    const rows = this.#byId.get(name);
    if (rows !== undefined) return rows;
    this.#byTag ??= this.#tags();
    return this.#byTag.get(name) ?? [];
  }

  #tags(): Map<string, number[]> {
    const tags = new Map<string, number[]>();
    for (let row = 0; row < this.#trees.count; row++) {
      const tag = textOf(this.#sources.tag, this.#trees.layer, row);
      if (tag !== undefined) add(tags, tag, row);
    }
    return tags;
  }
}

function add(to: Map<string, number[]>, name: string, row: number): void {
  const rows = to.get(name);
  if (rows === undefined) to.set(name, [row]);
  else rows.push(row);
}

function unknown(
  row: number,
  name: string,
  found: readonly number[],
  what: string,
  fields: readonly SourceField[],
  trees: TreeTable,
  out: Reporter,
): void {
  const path = fields[0] === undefined ? null : `properties.${fields[0].name}`;
  if (found.length > 1) {
    const keys = listNames(found.slice(0, 5).map((tree) => `"${trees.key.at(tree)}"`));
    const message = `"${name}" is the name of ${found.length} trees (${keys}), so the ${what} was given to none of them`;
    out.refuse('drawn-tree-unknown', 'tree-unknown', row, path, message, 'give each tree an id of its own');
    return;
  }
  const message =
    name === ''
      ? `the drawn ${what} does not name its tree`
      : `the drawn ${what} names "${name}", but no tree of the survey has that id or tag`;
  const cure = 'write the id or tag of its tree in a field called tree, or name the field: --field';
  out.refuse('drawn-tree-unknown', 'tree-unknown', row, path, message, `${cure} ${what}s.tree=NAME`);
}

function joined(treeOf: Int32Array): Map<number, number[]> {
  const rows = new Map<number, number[]>();
  treeOf.forEach((tree, row) => {
    if (tree < 0) return;
    const list = rows.get(tree);
    if (list === undefined) rows.set(tree, [row]);
    else list.push(row);
  });
  return rows;
}

function tellTwice(rows: readonly number[], key: string, what: string, out: Reporter): void {
  const message = `features ${rows.join(', ')} are the ${what} of tree "${key}": they are taken together, as one shape`;
  const cure = 'nothing to do if that is right; otherwise correct the name of the tree in one of them';
  out.say('drawn-tree-twice', rows[1]!, null, message, cure);
}

/** Whether a position lies inside one of a row's polygons. */
function holds(g: GeometryTable, lonLat: Float64Array, row: number, lon: number, lat: number): boolean {
  for (let part = g.partStart[row]!; part < g.partStart[row + 1]!; part++) {
    if (partHolds(g, lonLat, part, lon, lat)) return true;
  }
  return false;
}

/** By the even-odd rule: edges that pass west of the position (east of it, the map turned half round). */
function partHolds(g: GeometryTable, lonLat: Float64Array, part: number, lon: number, lat: number): boolean {
  let inside = false;
  for (let ring = g.ringStart[part]!; ring < g.ringStart[part + 1]!; ring++) {
    const last = g.vertexStart[ring + 1]! - 1;
    let before = last;
    for (let v = g.vertexStart[ring]!; v <= last; v++) {
      const ay = lonLat[before * 2 + 1]!;
      const by = lonLat[v * 2 + 1]!;
      if (ay < lat !== by < lat) {
        const ax = eastOf(lonLat[before * 2]!, lon);
        const bx = eastOf(lonLat[v * 2]!, lon);
        if (passesEast(-ax, -ay, -bx, -by, 0, -lat)) inside = !inside;
      }
      before = v;
    }
  }
  return inside;
}

/** Degrees east of a meridian, the short way round. */
function eastOf(lon: number, of: number): number {
  const d = lon - of;
  return d > 180 ? d - 360 : d < -180 ? d + 360 : d;
}
