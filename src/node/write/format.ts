// What every output format is. In: a path and the tables of an assessment; out: a file. Terms: sidecar = a file beside the
// output, `F.rootberth.json`, with what does not fit into the format: rule, inputs, counts, findings.

import type { Assessment, Crs, Finding } from '../../model/index.js';
import { type GeoJSONOptions, type OutputSystem, type Plan, type RoleTable, tablesOf } from '../../write/index.js';
import type { DxfLayerNames } from './dxf-layers.js';

export const OUT_FORMATS = [
  'geojson',
  'ndjson',
  'geopackage',
  'shapefile',
  'flatgeobuf',
  'geoparquet',
  'csv',
  'dxf',
  'xlsx',
] as const;
export type OutFormat = (typeof OUT_FORMATS)[number];

/** What a writer gets: an assessment, checked options, the system of the coordinates. */
export interface Writing {
  readonly assessment: Assessment;
  readonly options: GeoJSONOptions;
  readonly plan: Plan;
  /** Own names for the layers of a drawing, by ours. */
  readonly dxfLayers?: DxfLayerNames | undefined;
}

/** One format: everything the dispatcher must know about it. */
export interface OutputFormat {
  /** The first is the one that files in a folder get. */
  readonly extensions: readonly string[];
  readonly title: string;
  /** Whether rule, inputs and findings go to a sidecar. */
  readonly sidecar: boolean;
  /** Roles of a single file when none are named; null: all. */
  readonly roles: readonly string[] | null;
  /** The system of the coordinates when none is asked for; without it lon/lat on WGS 84. */
  readonly system?: (assessment: Assessment) => OutputSystem | undefined;
  /** Throws, before anything is read or drawn, if a request can't be written. */
  readonly check?: (writing: Writing) => void;
  /** The text of a format that can be piped; returns the findings of writing. */
  readonly pieces?: (writing: Writing) => Generator<string, readonly Finding[], undefined>;
  /** Writes one file; returns the findings of writing. */
  readonly write: (path: string, writing: Writing) => Promise<readonly Finding[]>;
}

/** The tables of a job, as the formats take them. */
export function tablesFor(writing: Writing): ReturnType<typeof tablesOf> {
  return tablesOf(writing.assessment, writing.plan);
}

/** The system of the output's coordinates; null is lon/lat on WGS 84. */
export function systemOf(plan: Plan): Crs | null {
  return plan.output?.crs ?? null;
}

/** The number of an EPSG code, 4326 for lon/lat; null where there is none. */
export function epsgOf(crs: Crs | null): number | null {
  if (crs === null || crs.code === 'OGC:CRS84') return 4326;
  const match = /^EPSG:(\d+)$/.exec(crs.code);
  return match === null ? null : Number(match[1]);
}

/** Names of a table's columns: unlike in any case, and unlike those the format needs itself; changed ones get a number. */
export function columnNames(table: Pick<RoleTable, 'fields'>, reserved: readonly string[]): string[] {
  const taken = new Set(reserved.map((name) => name.toLowerCase()));
  return table.fields.map(({ name }) => {
    let free = name;
    for (let n = 2; taken.has(free.toLowerCase()); n++) free = `${name}_${n}`;
    taken.add(free.toLowerCase());
    return free;
  });
}
