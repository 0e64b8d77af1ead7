// Typed doors to the shapefile writer in scripts/lib (plain JavaScript), for tests.
// In: GeoJSON geometries and properties; out: the bytes of a shapefile's parts, or of a zip.
// Terms: as in the writer.

// @ts-expect-error plain JavaScript without declarations
import * as writer from '../../scripts/lib/shapefile-writer.mjs';
import type { ShapefileParts } from '../../src/read/index.js';

export interface TestField {
  readonly name: string;
  readonly type: 'N' | 'F' | 'C' | 'D' | 'L';
  readonly length: number;
  readonly decimals?: number;
}

export interface TestShapefile {
  readonly type: 'point' | 'multipoint' | 'polyline' | 'polygon';
  readonly z?: boolean;
  readonly m?: boolean;
  readonly features: readonly {
    readonly geometry: { readonly type: string; readonly coordinates: unknown } | null;
    readonly properties?: Readonly<Record<string, unknown>>;
  }[];
  readonly fields?: readonly TestField[];
  readonly prj?: string;
  readonly cpg?: string;
  readonly language?: number;
  readonly keepRings?: boolean;
}

export const writeShapefile: (input: TestShapefile) => ShapefileParts = writer.writeShapefile;

export const writeZip: (
  entries: readonly { readonly name: string; readonly bytes: Uint8Array; readonly deflate?: boolean }[],
) => Uint8Array = writer.writeZip;

export const zipShapefile: (base: string, parts: ShapefileParts, deflate?: boolean) => Uint8Array = writer.zipShapefile;
