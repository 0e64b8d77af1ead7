// GeoPackage geometry blob (OGC 12-128r18, clause 2.1.3) -> vertices. In: a blob; out: one feature's geometry in a
// LayerBuilder, begun and not yet ended. Terms: envelope = the box some writers put in front of the geometry.

import type { LayerBuilder } from '../model/index.js';
import { readWkb } from './wkb.js';

/** Bytes of the envelope by its code: none, xy, xyz, xym, xyzm. */
const ENVELOPE_BYTES: readonly number[] = [0, 32, 48, 48, 64];

/** Reads one blob; what is not a geometry leaves a broken feature and a finding. */
export function readGeoPackageBlob(blob: Uint8Array, into: LayerBuilder, path: string): void {
  const cure = 'export the layer again from the program it comes from';
  if (blob.length < 8 || blob[0] !== 0x47 || blob[1] !== 0x50) {
    into.begin('broken');
    into.abandon(path, 'the geometry is not a GeoPackage geometry', cure);
    return;
  }
  const flags = blob[3]!;
  const envelope = ENVELOPE_BYTES[(flags >> 1) & 7];
  if (envelope === undefined || (flags & 0x20) !== 0) {
    into.begin('broken');
    const message = envelope === undefined ? 'the geometry has a broken header' : 'the geometry is of an extended type';
    into.abandon(path, message, cure);
    return;
  }
  into.begin('broken');
  readWkb(blob, 8 + envelope, into, path);
}
