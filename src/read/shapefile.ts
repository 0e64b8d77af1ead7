// Shapefile -> Layer. In: the bytes of its parts; out: a Layer in native coordinates.
// Terms: .shp shapes, .shx index, .dbf table, .prj coordinate system, .cpg encoding of the table.
// Every record of the .shp becomes one feature; rows of the table without a shape become features without geometry.

import type { Geometry, Position } from 'geojson';
import { type Finding, finding } from '../findings.js';
import { LayerBuilder } from '../layer.js';
import type { Layer, Properties } from '../types.js';
import { type DbfTable, openDbf } from './dbf.js';
import type { ReadOptions } from './options.js';
import { groupRings } from './rings.js';
import { openShp, ordinatesOf, type ShpFile, type ShpRecord, shapes } from './shp.js';

/** The parts of one shapefile; all but .shp may be missing. */
export interface ShapefileParts {
  readonly shp: Uint8Array;
  readonly shx?: Uint8Array;
  readonly dbf?: Uint8Array;
  readonly prj?: Uint8Array;
  readonly cpg?: Uint8Array;
}

/**
 * Reads a shapefile. A missing .prj leaves `crs` null; a missing .dbf is a finding.
 *
 * @throws InputError `shp-truncated`, `shp-broken`, `shp-type`, `dbf-truncated`, `dbf-broken`
 * @example
 * readShapefile({ shp, dbf, prj }, { name: 'trees.shp' });
 */
export function readShapefile(parts: ShapefileParts, options: ReadOptions): Layer {
  const layer = options.name;
  const into = new LayerBuilder(layer, 'shapefile');
  const file = openShp(parts.shp, parts.shx, layer);
  const table = parts.dbf === undefined ? undefined : openDbf(parts.dbf, textOf(parts.cpg), layer, into.findings);
  into.findings.push(...countFindings(file, table, layer));
  const propertiesOf = (index: number): Properties =>
    table !== undefined && index < table.count ? table.record(index, into.findings) : {};

  const source = shapes(file);
  let shape = source.next();
  for (let index = 0; index < file.records.length; index++) {
    const record = file.records[index] as ShpRecord;
    if (record.state === 'null') addNothing(into, index, 'has a null shape');
    else if (record.state === 'broken') {
      into.begin('broken');
      into.abandon(
        `record ${index + 1}`,
        `record ${index + 1} can't be read: ${record.problem}`,
        'export the layer again, or repair that shape in the source',
      );
    } else {
      const next = shape.done !== true && shape.value.index === index ? shape.value.geometry : null;
      addShape(next, file, record, index, into);
      shape = source.next();
    }
    into.end(propertiesOf(index));
  }
  for (let index = file.records.length; index < (table?.count ?? 0); index++) {
    addNothing(into, index, 'stands in the .dbf only, without a shape');
    into.end(propertiesOf(index));
  }
  const prj = textOf(parts.prj);
  return into.finish({
    crs: prj === undefined || prj === '' ? null : { from: 'prj', text: prj },
    sha256: options.sha256 ?? null,
  });
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

function addShape(
  geometry: Geometry | null,
  file: ShpFile,
  record: ShpRecord,
  index: number,
  into: LayerBuilder,
): void {
  const ordinates = ordinatesOf(file, record);
  let vertex = 0; // runs through the record in file order, as Z and M do
  let faulty = -1;
  const add = (position: Position, number: number): void => {
    const [x, y] = position;
    if (!isCoordinate(x) || !isCoordinate(y)) faulty = number;
    else into.vertex(x, y, ordinates.z(number), ordinates.m(number));
  };
  const addRing = (ring: readonly Position[], from: number): void => {
    into.ring();
    for (let i = 0; i < ring.length; i++) add(ring[i] as Position, from + i);
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
        for (const r of group) addRing(rings[r] as Position[], starts[r] as number);
      }
      for (const r of orphans) into.findings.push(orphanFinding(into.name, index, r));
    } else {
      into.begin(rings.length === 1 ? 'line' : 'multiline');
      rings.forEach((ring, r) => {
        into.part();
        addRing(ring, starts[r] as number);
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
  }
}

/** Finite and not the format's "no data" (below -1e38). */
function isCoordinate(value: number | undefined): value is number {
  return value !== undefined && Number.isFinite(value) && Math.abs(value) < 1e38;
}

function orphanFinding(layer: string, index: number, ring: number): Finding {
  return finding(
    'hole-outside',
    { layer, feature: index, path: `record ${index + 1}, ring ${ring + 1}` },
    `ring ${ring + 1} of record ${index + 1} is drawn as a hole but lies in no shell; it was taken as a polygon of its own`,
    'check the polygon in the source',
  );
}

function countFindings(file: ShpFile, table: DbfTable | undefined, layer: string): Finding[] {
  const found: Finding[] = [];
  const say = (message: string, cure: string): void => {
    found.push(finding('record-count', { layer }, message, cure));
  };
  const count = file.records.length;
  if (table === undefined) {
    say('there is no .dbf beside the .shp: the features have no properties', 'copy the .dbf to the same folder');
  } else if (table.count !== count) {
    say(`the .shp has ${count} records, the .dbf has ${table.count}`, 'export the layer again, all parts together');
  }
  if (file.indexIgnored) {
    say(
      'the .shx does not match the .shp; the shapes were read without it',
      'export the layer again, all parts together',
    );
  }
  return found;
}
