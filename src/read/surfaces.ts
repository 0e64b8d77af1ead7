// Surfaces from bytes, whatever the format. In: a file's bytes; out: a surface with faces as given, or spot heights triangulated. Terms: see
// model/grades.ts. What it needs is loaded when it is first asked for.

import { spotSurface, surfaceOf } from '../grades/index.js';
import type { LengthUnit, StopSignal, Surface } from '../model/index.js';
import { isArchive } from './foreign.js';
import { tellFormat } from './formats.js';
import { readLayerAsync } from './on-demand.js';
import type { ReadOptions } from './options.js';
import { headText } from './text.js';

export interface SurfaceReadOptions extends Omit<ReadOptions, 'role'> {
  /** Which heights of spots: those of the ground as it is (default), or as it is proposed. */
  readonly which?: 'existing' | 'proposed' | undefined;
  /** Which of several surfaces of a LandXML file. */
  readonly surface?: string | undefined;
  /** Unit of heights where neither file nor column says it. */
  readonly heightUnit?: LengthUnit | undefined;
  readonly signal?: StopSignal | undefined;
}

/** Whether the bytes are LandXML with surfaces. */
export function holdsSurfaces(bytes: Uint8Array, name: string): boolean {
  if (isArchive(bytes, headText(bytes), name)) return false;
  try {
    if (tellFormat(bytes, name) !== 'landxml') return false;
  } catch {
    return false; // readers say what it is
  }
  return new TextDecoder('latin1').decode(bytes).includes('<Surface');
}

/**
 * Reads a surface of the ground: the faces of a LandXML surface as they are, or the spot heights of any other file (points with
 * a height), triangulated.
 *
 * @throws InputError as `readLayerAsync`, and `surface-several`, `surface-missing`, `surface-kind`, `unit-missing`, `grade-empty`, `grade-large`
 * @example
 * const existing = await readSurface(bytes, { name: 'site.xml', surface: 'EG' });
 */
export async function readSurface(bytes: Uint8Array, options: SurfaceReadOptions): Promise<Surface> {
  const { which = 'existing', surface, heightUnit, signal, ...reading } = options;
  const { name, sha256 } = options;
  if (holdsSurfaces(bytes, name)) {
    const { readLandXmlSurface } = await import('./xml-formats.js');
    return surfaceOf(readLandXmlSurface(bytes, { name, surface, sha256, signal }), signal);
  }
  return spotSurface(await readLayerAsync(bytes, { ...reading, role: 'grades' }), which, { heightUnit, signal });
}
