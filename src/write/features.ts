// Assessment -> tables of features, one per role. In: an assessment and a plan; out: per role its typed fields, then its
// features one by one: id, geometry, values. Every format but GeoJSON text consumes these.
// Terms: own = a property of the source; field = a column of a table, own ones first, then ours; the column definitions
// (columns.ts) are those GeoJSON is written from.

import type { Assessment, Layer, TreeResult, WorksResult } from '../model/index.js';
import { type Finding, finding, treeViews } from '../model/index.js';
import type { Column } from './column.js';
import { type Drawn, drawnColumns, existingColumns, lotColumns, treeColumns, worksColumns } from './columns.js';
import { DrawnShapes } from './drawn-shapes.js';
import { type FenceRecord, fenceColumns, fenceId, fenceRecords } from './fences.js';
import { type Field, type OwnFields, ownFields, type Value } from './fields.js';
import { lateFindings } from './late.js';
import type { DrawnRole, Plan, Role } from './options.js';
import { type OutGeometry, Placer } from './shape.js';

/** One feature: `values` run parallel to the table's fields. */
export interface FeatureRecord {
  readonly id: string | number;
  readonly geometry: OutGeometry | null;
  readonly values: readonly Value[];
}

/** The features of one role as a table. */
export interface RoleTable {
  readonly role: Role;
  readonly fields: readonly Field[];
  /** Every feature, in the order GeoJSON has them; drawn when asked for. */
  features(): Generator<FeatureRecord>;
  /** The values alone, at least once for every feature, without drawing: for formats that need widths beforehand. */
  rows(): Generator<readonly Value[]>;
}

/** Tables in drawing order, and the findings of writing: complete once all tables have been read. */
export interface Tables {
  readonly tables: readonly RoleTable[];
  findings(): readonly Finding[];
}

/**
 * The tables of an assessment. Nothing is drawn before a table is read; read them in order, so that a tree is clipped
 * once for all its roles.
 *
 * @example
 * for (const table of tablesOf(assessment, planOf({})).tables) for (const feature of table.features()) sink(feature);
 */
export function tablesOf(assessment: Assessment, plan: Plan): Tables {
  const place = new Placer(plan.output);
  const drawn = new DrawnShapes(assessment, place);
  const tables = plan.roles.map((role) => MAKE[role](assessment, plan, place, drawn));
  return { tables, findings: () => [...drawn.findings, ...lateFindings(assessment, plan), ...unplaced(place, plan)] };
}

type Make = (assessment: Assessment, plan: Plan, place: Placer, drawn: DrawnShapes) => RoleTable;

const MAKE: Readonly<Record<Role, Make>> = {
  lot: lotTable,
  existing: existingTable,
  works: worksTable,
  zone: drawnTable('zone'),
  ring: drawnTable('ring'),
  crown: drawnTable('crown'),
  overlap: drawnTable('overlap'),
  severed: drawnTable('severed'),
  fence: fenceTable,
  tree: treeTable,
};

/** What a table of source features is made of. */
interface Source<T> {
  readonly role: Role;
  /** Each in turn; one record may be the same object moved on. */
  readonly records: () => Iterable<T>;
  readonly columns: readonly Column<T>[];
  readonly layers: readonly Layer[];
  readonly at: (record: T) => readonly [layer: number, row: number];
  readonly id: (record: T) => string;
  readonly geometry: (record: T) => OutGeometry | null;
}

function sourceTable<T>(source: Source<T>, plan: Plan): RoleTable {
  const { role, records, columns, layers, at } = source;
  // All properties are searched for their types only when the types are asked for.
  let known: OwnFields | null = null;
  const own = (): OwnFields => {
    known ??= ownFields(
      layers,
      plan.prefix,
      columns.map((c) => plan.prefix + c.name),
    );
    return known;
  };
  const values = (record: T): Value[] => [...own().values(...at(record)), ...columns.map((c) => c.value(record))];
  return {
    role,
    get fields() {
      return [...own().fields, ...columns.map((c): Field => ourField(c, plan))];
    },
    *features() {
      for (const record of records()) {
        const [layer, row] = at(record);
        const id = layers[layer]?.id(row) ?? source.id(record);
        yield { id, geometry: source.geometry(record), values: values(record) };
      }
    },
    *rows() {
      for (const record of records()) yield values(record);
    },
  };
}

function ourField<T>(column: Column<T>, plan: Plan): Field {
  return { name: plan.prefix + column.name, type: column.type, own: false };
}

function lotTable(assessment: Assessment, plan: Plan, place: Placer): RoleTable {
  const { lots, lotsLonLat } = assessment.job;
  return sourceTable<Assessment['lots'][number]>(
    {
      role: 'lot',
      records: () => (lots === null ? [] : assessment.lots),
      columns: lotColumns(assessment, plan),
      layers: lots === null ? [] : [lots.layer],
      at: (lot) => [0, lot.row],
      id: (lot) => `lot:${lot.key}`,
      geometry: (lot) => (lots === null ? null : place.row(lots.geometry, lot.row, lotsLonLat)),
    },
    plan,
  );
}

function existingTable(assessment: Assessment, plan: Plan, place: Placer): RoleTable {
  const { existing } = assessment.job;
  return sourceTable<number>(
    {
      role: 'existing',
      records: () => (existing === null ? [] : Array(existing.works.count).keys()),
      columns: existing === null ? [] : existingColumns(existing.works),
      layers: existing === null ? [] : existing.works.layers,
      at: (row) => [existing!.works.layerOf[row]!, existing!.works.rowInLayer[row]!],
      id: (row) => `existing:${existing?.works.key.at(row)}`,
      geometry: (row) => (existing === null ? null : place.row(existing.works.geometry, row, existing.lonLat)),
    },
    plan,
  );
}

function worksTable(assessment: Assessment, plan: Plan, place: Placer): RoleTable {
  const { works, worksLonLat } = assessment.job;
  return sourceTable<WorksResult>(
    {
      role: 'works',
      records: () => assessment.eachWorks(),
      columns: worksColumns(assessment),
      layers: works.layers,
      at: (w) => [works.layerOf[w.row]!, works.rowInLayer[w.row]!],
      id: (w) => `works:${w.key}`,
      geometry: (w) => {
        const measured = isMeasured(assessment, w) ? place.polygons(assessment.measured(w.row)) : null;
        return measured ?? place.row(works.geometry, w.row, worksLonLat);
      },
    },
    plan,
  );
}

/** Whether the polygon that was measured is not the source's own (line with width, working space, repaired ring). */
function isMeasured(assessment: Assessment, result: WorksResult): boolean {
  const { works } = assessment.job;
  const widened = works.widthM[result.row]! > 0 || works.overdigM[result.row]! > 0;
  return result.counted !== 'false' && (widened || result.repaired);
}

function treeTable(assessment: Assessment, plan: Plan, place: Placer): RoleTable {
  return sourceTable<TreeResult>(
    {
      role: 'tree',
      records: () => treeViews(assessment),
      columns: treeColumns(assessment, plan),
      layers: [assessment.job.trees.layer],
      at: (tree) => [0, tree.row],
      id: (tree) => `tree:${tree.key}`,
      geometry: (tree) => treeGeometry(assessment, tree, place),
    },
    plan,
  );
}

/** The trunk's point; of a row that is not a single point, what it was read as, so that it can be found on the map. */
function treeGeometry(assessment: Assessment, tree: TreeResult, place: Placer): OutGeometry | null {
  const isGroup = assessment.job.trees.groups?.placeOf.has(tree.row) === true;
  if (!isGroup && tree.lon !== null && tree.lat !== null) return place.point(tree.lon, tree.lat);
  const { trees, treeLonLat, treeLayerToLonLat, treeTransform } = assessment.job;
  if (!isGroup && treeTransform?.crs.kind === 'local') {
    const x = treeLonLat[tree.row * 2]!;
    if (!Number.isNaN(x)) return place.point(x, treeLonLat[tree.row * 2 + 1]!);
  }
  const table = trees.layer.geometry;
  const vertex = (part: number): number => table.vertexStart[table.ringStart[part]!]!;
  const from = vertex(table.partStart[tree.row]!);
  const to = vertex(table.partStart[tree.row + 1]!);
  if (from === to || treeLayerToLonLat === undefined) return null;
  const lonLat = table.xy.slice(from * 2, to * 2);
  treeLayerToLonLat(lonLat);
  return place.row(table, tree.row, lonLat, from);
}

function drawnTable(role: DrawnRole): Make {
  return (assessment, plan, _place, drawn) => {
    const columns = drawnColumns(role, assessment, plan);
    const values = (of: Drawn): Value[] => columns.map((c) => c.value(of));
    return {
      role,
      fields: columns.map((c): Field => ourField(c, plan)),
      *features() {
        for (const { id, of, geometry } of drawn.features(role)) yield { id, geometry, values: values(of) };
      },
      *rows() {
        for (const tree of treeViews(assessment)) {
          const rings = role === 'ring' ? tree.rings : [null];
          for (const ring of rings) yield values({ tree, ring, approximate: false });
        }
      },
    };
  };
}

function fenceTable(assessment: Assessment, plan: Plan, place: Placer): RoleTable {
  const columns = fenceColumns(assessment, plan);
  const values = (record: FenceRecord): Value[] => columns.map((c) => c.value(record));
  return {
    role: 'fence',
    fields: columns.map((c): Field => ourField(c, plan)),
    *features() {
      for (const record of fenceRecords(assessment)) {
        const geometry = record.lines === null ? place.polygons(record.polygons ?? []) : place.lines(record.lines);
        yield { id: fenceId(record), geometry, values: values(record) };
      }
    },
    *rows() {
      for (const record of fenceRecords(assessment)) yield values(record);
    },
  };
}

function unplaced(place: Placer, plan: Plan): Finding[] {
  if (place.unplaced === 0 || plan.output === null) return [];
  const message = `${place.unplaced} features cannot be placed in ${plan.output.crs.code}: they are written without a geometry`;
  return [finding('output-unplaced', {}, message, 'choose an output system whose area of use holds the site')];
}
