// Assessment -> GeoParquet 1.1: roles in one file (distinguished by rb_role) or one file per role in a folder.
// In: a path and what to write; out: a file, row group by row group. Terms: `geo` = the file's own statement of its
// geometry column (WKB), types, box and coordinate system (PROJJSON; none stated means OGC:CRS84).

import type { ByteWriter, parquetWriteRows } from 'hyparquet-writer';
import { projjson } from '../../crs/index.js';
import { boxOf, positionsWords, type Value, wkb } from '../../write/index.js';
import type { ByteFile } from './byte-file.js';
import { withByteFile } from './byte-file.js';
import { columnNames, type OutputFormat, systemOf, tablesFor, type Writing } from './format.js';
import { type UnionTable, unionOf } from './union.js';
import { writeWhole } from './write-file.js';

const TYPES = { text: 'STRING', integer: 'INT64', real: 'DOUBLE', boolean: 'BOOLEAN' } as const;
const ROWS_PER_GROUP = 20_000;

export const geoparquet: OutputFormat = {
  extensions: ['parquet', 'geoparquet'],
  title: 'GeoParquet 1.1',
  sidecar: true,
  roles: null,
  write: async (path, writing) => {
    const tables = tablesFor(writing);
    const table = unionOf(tables.tables);
    const library = await import('hyparquet-writer'); // loaded only when it is first used, since loading takes time
    await writeWhole(path, async (temporary) =>
      withByteFile(temporary, (file) =>
        fill(library.parquetWriteRows, parquetSink(file, library.ByteWriter), table, writing),
      ),
    );
    return tables.findings();
  },
};

function fill(
  write: typeof parquetWriteRows,
  writer: ReturnType<typeof parquetSink>,
  table: UnionTable,
  writing: Writing,
): void {
  const names = columnNames(table, ['geometry']);
  const seen: Seen = { types: new Set(), box: null };
  // The footer is written last, so its statement may be filled in when all rows have gone by.
  const geo = { key: 'geo', value: '' };
  function* rows(): Generator<Record<string, unknown>> {
    for (const { geometry, values } of table.features()) {
      const row: Record<string, unknown> = {};
      names.forEach((name, i) => {
        row[name] = stored(values[i] ?? null, table.fields[i]?.type === 'integer');
      });
      row.geometry = geometry === null ? null : wkb(geometry);
      if (geometry !== null) notice(seen, geometry.type, boxOf(geometry));
      yield row;
    }
    geo.value = JSON.stringify(statement(seen, writing));
  }
  const columns = [
    ...names.map((name, i) => ({ name, type: TYPES[table.fields[i]?.type ?? 'text'] })),
    { name: 'geometry', type: 'BYTE_ARRAY' as const, statistics: false },
  ];
  const about = { key: 'rootberth:positions', value: positionsWords(writing.assessment, writing.plan.output) };
  const done = write({
    writer,
    rows: rows(),
    columns,
    schema: [{ name: 'root', num_children: columns.length }, ...columns.map(({ name, type }) => element(name, type))],
    rowGroupSize: ROWS_PER_GROUP,
    kvMetadata: [geo, about],
    createdBy: `rootberth ${writing.assessment.version}`,
  });
  if (done !== undefined) throw new Error('a synchronous parquet sink has been taken for an asynchronous one');
}

type Schema = NonNullable<Parameters<typeof parquetWriteRows>[0]['schema']>;

/** The type is stated, not inferred, so that a column that is blank in the first rows still has its type. */
function element(name: string, type: (typeof TYPES)[keyof typeof TYPES] | 'BYTE_ARRAY'): Schema[number] {
  if (type === 'STRING') return { name, type: 'BYTE_ARRAY', converted_type: 'UTF8', repetition_type: 'OPTIONAL' };
  return { name, type, repetition_type: 'OPTIONAL' };
}

interface Seen {
  readonly types: Set<string>;
  box: [number, number, number, number] | null;
}

function notice(seen: Seen, type: string, box: [number, number, number, number]): void {
  seen.types.add(type);
  const b = seen.box;
  seen.box =
    b === null ? box : [Math.min(b[0], box[0]), Math.min(b[1], box[1]), Math.max(b[2], box[2]), Math.max(b[3], box[3])];
}

function statement(seen: Seen, writing: Writing): unknown {
  const crs = systemOf(writing.plan);
  return {
    version: '1.1.0',
    primary_column: 'geometry',
    columns: {
      geometry: {
        encoding: 'WKB',
        geometry_types: [...seen.types].sort(),
        orientation: 'counterclockwise',
        edges: 'planar',
        ...(seen.box === null ? {} : { bbox: seen.box }),
        ...(crs === null || crs.code === 'OGC:CRS84' ? {} : { crs: projjson(crs) }),
      },
    },
  };
}

function stored(value: Value, integer: boolean): Value {
  return integer && typeof value === 'number' ? BigInt(value) : value;
}

const HOLD = 1 << 20;

/** A synchronous writer for `parquetWriteRows`; `Writer` is the library's own. */
function parquetSink(file: ByteFile, Writer: typeof ByteWriter): ByteWriter {
  const writer = new Writer(HOLD * 2);
  const grow = writer.ensure.bind(writer);
  const flush = (): void => {
    file.write(new Uint8Array(writer.buffer, 0, writer.index).slice());
    writer.index = 0;
  };
  writer.ensure = (size) => {
    if (writer.index > HOLD) flush();
    grow(size);
  };
  writer.finish = flush;
  return writer;
}
