// Assessment -> FlatGeobuf 3.0, roles in one file (distinguished by rb_role) or one file per role in a folder.
// In: a path and what to write; out: a file, feature by feature, without index (the library makes none).
// Terms: column = a property with its type, stated in the header; the header's counts are filled in at the end.

import { peer } from '../../read/index.js';
import { type GeometryType, type OutGeometry, promoted } from '../../write/index.js';
import { withByteFile } from './byte-file.js';
import { epsgOf, type OutputFormat, systemOf, tablesFor } from './format.js';
import { unionOf } from './union.js';
import { writeWhole } from './write-file.js';

/** Geometry codes of FlatGeobuf (header.fbs); 0 lets each feature say its own. */
const CODES: Readonly<Record<GeometryType, number>> = {
  Point: 1,
  LineString: 2,
  Polygon: 3,
  MultiPoint: 4,
  MultiLineString: 5,
  MultiPolygon: 6,
};
/** Column types of FlatGeobuf (header.fbs). */
const COLUMN_TYPES = { text: 11, integer: 7, real: 10, boolean: 2 } as const;

const MAGIC = Uint8Array.of(0x66, 0x67, 0x62, 3, 0x66, 0x67, 0x62, 0);

export const flatgeobuf: OutputFormat = {
  extensions: ['fgb'],
  title: 'FlatGeobuf',
  sidecar: true,
  roles: null,
  write: async (path, writing) => {
    const [{ buildHeader }, { buildFeature }] = await peer('flatgeobuf', 'FlatGeobuf', path, () =>
      Promise.all([
        import('flatgeobuf/lib/mjs/generic/featurecollection.js'),
        import('flatgeobuf/lib/mjs/generic/feature.js'),
      ]),
    );
    const tables = tablesFor(writing);
    const table = unionOf(tables.tables);
    const columns = table.fields.map(({ name, type }) => ({
      name,
      type: COLUMN_TYPES[type],
      title: null,
      description: null,
      width: -1,
      precision: -1,
      scale: -1,
      nullable: true,
      unique: false,
      primary_key: false,
    }));
    const header = (featuresCount: number) => ({
      geometryType: 0,
      columns,
      envelope: null,
      featuresCount,
      indexNodeSize: 0,
      crs: null,
      title: null,
      description: null,
      metadata: null,
    });
    const code = epsgOf(systemOf(writing.plan)) ?? 0;
    await writeWhole(path, async (temporary) =>
      withByteFile(temporary, (file) => {
        file.write(MAGIC);
        file.write(buildHeader(header(1), code));
        let count = 0;
        for (const { geometry, values } of table.features()) {
          const properties = Object.fromEntries(
            table.fields.map((field, i) => [field.name, plain(values[i] ?? null)] as const),
          );
          file.write(buildFeature(parsed(geometry), properties, header(1)));
          count++;
        }
        // The count takes the same eight bytes whatever it is, unless it is 0, which the format leaves out.
        if (count > 0) file.patch(MAGIC.length, buildHeader(header(count), code));
      }),
    );
    return tables.findings();
  },
};

function plain(value: unknown): string | number | boolean | null {
  // A column of 64-bit integers takes digits as text: numbers past 2^53 stay exact.
  return typeof value === 'bigint' ? value.toString() : (value as string | number | boolean | null);
}

interface Parsed {
  xy: number[];
  ends: number[];
  parts: Parsed[];
  type: number;
}

/** What the library builds a geometry from; a feature without one gets an empty point. */
function parsed(geometry: OutGeometry | null): Parsed {
  const nothing = undefined! as never[]; // the library asks for `undefined` where its types ask for lists
  if (geometry === null) return { xy: [], ends: nothing, parts: nothing, type: CODES.Point };
  const kept = geometry.type === 'Polygon' ? promoted(geometry) : geometry;
  const type = CODES[kept.type];
  if (kept.type === 'MultiPolygon') {
    const parts = kept.parts.map((rings) => flat(rings, CODES.Polygon, true));
    return { xy: nothing, ends: nothing, parts, type };
  }
  return flat(kept.parts.flat(), type, kept.type === 'MultiLineString');
}

function flat(rings: readonly Float64Array[], type: number, ended: boolean): Parsed {
  const nothing = undefined! as never[];
  const xy: number[] = [];
  const ends: number[] = [];
  for (const ring of rings) {
    for (const value of ring) xy.push(value);
    ends.push(xy.length / 2);
  }
  return { xy, ends: ended ? ends : nothing, parts: nothing, type };
}
