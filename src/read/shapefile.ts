// Shapefile -> Layer. In: the bytes of its parts; out: a Layer in native coordinates.
// Terms: .shp shapes, .shx index, .dbf table, .prj coordinate system, .cpg encoding of the table.
// Every record of the .shp becomes one feature; rows of the table without a shape become features without geometry.

import type { Position } from 'geojson';
import type { Layer, Properties } from '../model/index.js';
import { type Finding, finding, InputError, LayerBuilder } from '../model/index.js';
import { type DbfTable, openDbf, rowsStated } from './dbf.js';
import type { ReadOptions } from './options.js';
import { groupRings } from './rings.js';
import { openShp, type ShpFile, type ShpShape, shapes } from './shp.js';
import { type ByteSource, sourceOf } from './source.js';

/** A part's bytes, or access to them where the file is too large to be held. */
export type ShapefilePart = Uint8Array | ByteSource;

/** The parts of one shapefile; all but .shp may be missing. */
export interface ShapefileParts {
  readonly shp: ShapefilePart;
  readonly shx?: ShapefilePart;
  readonly dbf?: ShapefilePart;
  readonly prj?: Uint8Array;
  readonly cpg?: Uint8Array;
}

/**
 * Reads a shapefile. A missing .prj leaves `crs` null; a missing .dbf is a finding. With `salvage` a .shp or .dbf that
 * is cut off or damaged is read as far as it goes: every record that is known to have been there stays a feature,
 * without geometry or properties where these are lost, and has a finding `record-lost`.
 *
 * @throws InputError `shp-truncated`, `shp-broken`, `shp-type`, `dbf-truncated`, `dbf-broken`
 * @example
 * readShapefile({ shp, dbf, prj }, { name: 'trees.shp' });
 */
export function readShapefile(parts: ShapefileParts, options: ReadOptions): Layer {
  const layer = options.name;
  const salvage = options.salvage === true;
  const into = new LayerBuilder(layer, 'shapefile');
  const dbf = parts.dbf === undefined ? undefined : sourceOf(parts.dbf);
  const rows = dbf === undefined ? undefined : rowsStated(dbf);
  const shx = parts.shx === undefined ? undefined : sourceOf(parts.shx);
  const file = openShp(sourceOf(parts.shp), shx, { layer, rows, salvage });
  const table = dbf === undefined ? undefined : openTable(dbf, textOf(parts.cpg), layer, into.findings, salvage);
  into.findings.push(...countFindings(file, table, layer));
  const properties = new PropertyWriter(table, into);

  for (const shape of shapes(file)) {
    if (shape.state === 'lost') addLost(into, shape.index);
    else if (shape.state === 'null') addNothing(into, shape.index, 'has a null shape');
    else if (shape.state === 'broken') {
      const record = `record ${shape.index + 1}`;
      into.begin('broken');
      const cure = 'export the layer again, or repair that shape in the source';
      into.abandon(record, `${record} can't be read: ${shape.problem}`, cure);
    } else addShape(shape, file, into);
    properties.end(shape.index);
  }
  // Every row of the table is a feature, also where its shape is not there. Rows that only a damaged header states are
  // believed where the .shp had room for them: then they stand among its records already.
  const all = table?.count ?? 0;
  for (let index = file.starts.length; index < all; index++) {
    if (file.salvaged !== null) addLost(into, index);
    else addNothing(into, index, 'is in the .dbf only, without a shape');
    properties.end(index);
  }
  const prj = textOf(parts.prj);
  return into.finish({
    crs: prj === undefined || prj === '' ? null : { from: 'prj', text: prj },
    sha256: options.sha256 ?? null,
  });
}

/** With salvage, a table that can't be opened counts as one with all rows lost. */
function openTable(
  dbf: ByteSource,
  cpg: string | undefined,
  layer: string,
  findings: Finding[],
  salvage: boolean,
): DbfTable {
  try {
    return openDbf(dbf, cpg, layer, findings, salvage);
  } catch (error) {
    if (!salvage || !(error instanceof InputError)) throw error;
    return { count: 0, damage: error.message, fields: [], record: () => ({}) };
  }
}

/** Ends features with the table's rows, kept as JSON: an object a row would take more memory than all the rest. */
class PropertyWriter {
  readonly #table: DbfTable | undefined;
  readonly #into: LayerBuilder;
  readonly #encoder = new TextEncoder();

  constructor(table: DbfTable | undefined, into: LayerBuilder) {
    this.#table = table;
    this.#into = into;
    for (const field of table?.fields ?? []) into.field(field);
  }

  end(index: number): void {
    const table = this.#table;
    const into = this.#into;
    if (table !== undefined && index < table.count) {
      const json = this.#encoder.encode(JSON.stringify(table.record(index, into.findings)));
      into.endBytes(json, 0, json.length, false);
      return;
    }
    if (table !== undefined && table.damage !== '') {
      into.findings.push(lost(into.name, index, 'row of the .dbf', `it has no properties`));
    }
    into.end(NO_PROPERTIES);
  }
}

const NO_PROPERTIES: Properties = {};

function lost(layer: string, index: number, what: string, so: string): Finding {
  return finding(
    'record-lost',
    { layer, feature: index, path: `record ${index + 1}` },
    `the ${what} of record ${index + 1} is lost: ${so}`,
    'get a fresh copy of the file from its source',
  );
}

function addLost(into: LayerBuilder, index: number): void {
  into.begin('none');
  into.findings.push(lost(into.name, index, 'shape', 'it has no position'));
}

function textOf(bytes: Uint8Array | undefined): string | undefined {
  return bytes === undefined ? undefined : new TextDecoder('utf-8').decode(bytes).replaceAll('\0', '').trim();
}

function addNothing(into: LayerBuilder, index: number, problem: string): void {
  into.begin('none');
  into.findings.push(
    finding(
      'geometry-null',
      { layer: into.name, feature: index, path: `record ${index + 1}` },
      `record ${index + 1} ${problem}`,
      'give it a position, or delete it from the source',
    ),
  );
}

function addShape(shape: ShpShape, file: ShpFile, into: LayerBuilder): void {
  const { geometry, index } = shape;
  let vertex = 0; // runs through the record in file order, as Z and M do
  let faulty = -1;
  let told: Finding[] = [];
  const add = (position: Position, number: number): void => {
    const [x, y] = position;
    if (!isCoordinate(x) || !isCoordinate(y)) faulty = number;
    else into.vertex(x, y, shape.ordinates?.z(number), shape.ordinates?.m(number));
  };
  const addRing = (ring: readonly Position[], from: number): void => {
    into.ring();
    for (let i = 0; i < ring.length; i++) add(ring[i]!, from + i);
  };
  if (geometry?.type === 'Point' || geometry?.type === 'MultiPoint') {
    const list = geometry.type === 'Point' ? [geometry.coordinates] : geometry.coordinates;
    into.begin(file.family === 'point' ? 'point' : 'multipoint');
    for (const position of list) {
      into.part();
      into.ring();
      add(position, vertex++);
    }
  } else if (geometry?.type === 'LineString' || geometry?.type === 'MultiLineString') {
    const rings = geometry.type === 'LineString' ? [geometry.coordinates] : geometry.coordinates;
    const starts = rings.map((ring) => {
      vertex += ring.length;
      return vertex - ring.length;
    });
    if (file.family === 'polygon') {
      const { groups, orphans } = groupRings(rings);
      into.begin(groups.length === 1 ? 'polygon' : 'multipolygon');
      for (const group of groups) {
        into.part();
        for (const r of group) addRing(rings[r]!, starts[r]!);
      }
      told = orphans.map((r) => orphanFinding(into.name, index, r));
    } else {
      into.begin(rings.length === 1 ? 'line' : 'multiline');
      rings.forEach((ring, r) => {
        into.part();
        addRing(ring, starts[r]!);
      });
    }
  } else {
    into.begin('broken');
    into.abandon(`record ${index + 1}`, `record ${index + 1} can't be read`, 'export the layer again');
    return;
  }
  if (faulty >= 0) {
    const path = `record ${index + 1}, point ${faulty + 1}`;
    into.abandon(path, `${path} has no usable coordinates`, 'correct that point in the source');
  } else into.findings.push(...told);
}

/** Finite and not the format's "no data" (below -1e38). */
function isCoordinate(value: number | undefined): value is number {
  return value !== undefined && Number.isFinite(value) && Math.abs(value) < 1e38;
}

function orphanFinding(layer: string, index: number, ring: number): Finding {
  return finding(
    'hole-outside',
    { layer, feature: index, path: `record ${index + 1}, ring ${ring + 1}` },
    `ring ${ring + 1} of record ${index + 1} is drawn as a hole but lies in no shell; it was read as a separate polygon`,
    'check the polygon in the source',
  );
}

function countFindings(file: ShpFile, table: DbfTable | undefined, layer: string): Finding[] {
  const found: Finding[] = [];
  const say = (message: string, cure: string): void => {
    found.push(finding('record-count', { layer }, message, cure));
  };
  const together = 'export the layer again with all its parts';
  const count = file.starts.length;
  if (table === undefined) {
    say('there is no .dbf beside the .shp: the features have no properties', 'copy the .dbf to the same folder');
  } else if (table.count !== count && table.damage === '' && file.salvaged === null) {
    say(`the .shp has ${count} records, the .dbf has ${table.count}`, together);
  }
  for (const message of file.disagreements) say(message, together);
  const anew = 'get a fresh copy of the file from its source';
  const tell = (message: string): void => void found.push(finding('record-lost', { layer }, message, anew));
  if (file.salvaged !== null && !file.salvaged.countKnown) {
    tell(`the .shp ends or breaks off after record ${count}; how many records it had is not known`);
  }
  if (table !== undefined && table.damage !== '') tell(`the table was read up to the damage: ${table.damage}`);
  return found;
}
