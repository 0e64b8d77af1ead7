// Assessment -> zipped shapefiles, one per role (a second one where a role holds several kinds of geometry).
// In: a path and what to write; out: a zip of .shp .shx .dbf .prj .cpg, `fieldnames.csv` and `rootberth.json`.
// Terms: short name = a field's name in the table, at most 10 characters; layer = one shapefile of the zip.

import { createReadStream } from 'node:fs';
import { join } from 'node:path';
import { CRS84, esriWkt } from '../../crs/index.js';
import { type Finding, InputError } from '../../model/index.js';
import { provenance, quoted, type RoleTable, tablesOf } from '../../write/index.js';
import { type DbfField, DbfWriter, dbfFields } from './dbf.js';
import { type OutputFormat, systemOf, type Writing } from './format.js';
import { type ShapeName, ShpWriter, shapeOf } from './shp.js';
import { withScratchFolder, writeWhole } from './write-file.js';
import { ZipWriter } from './zip.js';

export const shapefile: OutputFormat = {
  extensions: ['zip'],
  title: 'shapefiles in a zip, one per role',
  sidecar: false,
  roles: null,
  check: ({ plan }) => {
    if (plan.output?.crs.kind === 'local' || esriWkt(systemOf(plan) ?? CRS84) !== null) return;
    throw new InputError('format-crs', `a .prj can't state ${plan.output?.crs.code ?? 'this system'}`, {
      cure: 'choose another --out-crs, or another format',
      usage: true,
    });
  },
  write: (path, writing) =>
    writeWhole(path, (temporary) => withScratchFolder(path, (folder) => fill(temporary, folder, writing))),
};

const PARTS = ['shp', 'shx', 'dbf'] as const;

/** Each layer is made in scratch files first: a shapefile's headers state what is known only at the end. */
async function fill(path: string, folder: string, { assessment, plan }: Writing): Promise<readonly Finding[]> {
  const zip = new ZipWriter(path);
  const findings: Finding[] = [];
  try {
    const text = (name: string, content: string): Promise<void> => zip.add(name, [Buffer.from(content, 'utf8')]);
    const prj = esriWkt(systemOf(plan) ?? CRS84); // null: a ground system, which a .prj cannot state
    const map = ['layer,short,name\r\n'];
    const tables = tablesOf(assessment, plan);
    for (const table of tables.tables) {
      const fields = dbfFields(table, plan.prefix);
      for (const { short, name } of fields) map.push(`${table.role},${quoted(short)},${quoted(name)}\r\n`);
      const layers = makeLayers(table, fields, folder);
      for (const layer of layers) {
        for (const part of PARTS) await zip.add(`${layer}.${part}`, createReadStream(join(folder, `${layer}.${part}`)));
        if (prj !== null) await text(`${layer}.prj`, prj);
        await text(`${layer}.cpg`, 'UTF-8');
      }
      for (const field of fields) findings.push(...field.findings(table.role));
    }
    await text('fieldnames.csv', map.join(''));
    await text('rootberth.json', `${[...provenance(assessment, plan)].join('')}\n`);
    findings.push(...tables.findings());
    zip.finish();
  } finally {
    zip.close();
  }
  return findings;
}

/** Writes the features of one role; returns the names of the layers made, the role's own first. */
function makeLayers(table: RoleTable, fields: readonly DbfField[], folder: string): string[] {
  const usual: ShapeName = table.role === 'tree' ? 'point' : table.role === 'fence' ? 'line' : 'polygon';
  const open = new Map<ShapeName, { readonly shp: ShpWriter; readonly dbf: DbfWriter }>();
  const layerName = (shape: ShapeName): string => (shape === usual ? table.role : `${table.role}_${shape}`);
  const layer = (shape: ShapeName) => {
    let made = open.get(shape);
    if (made === undefined) {
      const base = join(folder, layerName(shape));
      made = { shp: new ShpWriter(base, shape), dbf: new DbfWriter(`${base}.dbf`, fields) };
      open.set(shape, made);
    }
    return made;
  };
  layer(usual); // written even if it stays empty, so that a reader finds every requested role
  try {
    for (const { geometry, values } of table.features()) {
      const { shp, dbf } = layer(geometry === null ? usual : shapeOf(geometry));
      shp.add(geometry);
      dbf.add(values);
    }
  } finally {
    for (const { shp, dbf } of open.values()) {
      shp.finish();
      dbf.finish();
    }
  }
  return [...open.keys()].map(layerName);
}
