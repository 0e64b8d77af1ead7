// The files of grades. In: paths and how they are taken; out: the grades of a job. Terms: see model/grades.ts. Reads each file once.

import { basename } from 'node:path';
import { gradesOf, holdsProposed, spotSurface } from '../../grades/index.js';
import {
  type Grades,
  InputError,
  type Layer,
  type LengthUnit,
  type StopSignal,
  type Surface,
} from '../../model/index.js';
import { holdsSurfaces, readSurface } from '../../read/index.js';
import { readBytes } from './files.js';
import { hashOf } from './parts.js';

/** What `--grades` gives; lengths in metres. */
export interface GradeFiles {
  /** LandXML surfaces, or points with heights in any format. */
  readonly existing: string;
  /** Left out where one file holds both. */
  readonly proposed?: string | undefined;
  /** Names of the existing and the proposed surface, where a LandXML file holds several. */
  readonly surfaces?: readonly [existing: string, proposed: string] | undefined;
  /** Unit of heights where neither file nor column says it. */
  readonly heightUnit?: LengthUnit | undefined;
  /** Depths to divide the ground at, beside those of the rule. */
  readonly depthsM?: readonly number[] | undefined;
  /** A change up to this is none; default 0.01. */
  readonly leastM?: number | undefined;
}

/**
 * @param readPoints reads a file that is no LandXML surface, as a layer of points
 * @throws InputError those of `readSurface` and `gradesOf`, `grades-one` (a single file with nothing proposed in it)
 */
export async function readGrades(
  files: GradeFiles,
  readPoints: (path: string) => Promise<Layer>,
  signal?: StopSignal,
): Promise<Grades> {
  const { existing: first, proposed: second = first, surfaces, heightUnit, depthsM, leastM } = files;
  const layers = new Map<string, Promise<Layer>>();
  const surfaceOf = async (path: string, which: 'existing' | 'proposed'): Promise<Surface> => {
    const name = path === '-' ? 'standard input' : basename(path);
    if (/\.(?:xml|landxml)$/i.test(path)) {
      const bytes = await readBytes(path, name);
      const surface = surfaces?.[which === 'existing' ? 0 : 1];
      if (holdsSurfaces(bytes, name)) return readSurface(bytes, { name, surface, sha256: hashOf([bytes]), signal });
    }
    const known = layers.get(path) ?? readPoints(path);
    layers.set(path, known);
    const layer = await known;
    // A file for the proposed ground alone may call its heights what it likes.
    const isOwn = which === 'proposed' && first !== second && !holdsProposed(layer);
    if (which === 'proposed' && first === second && !holdsProposed(layer)) throw nothingProposed(name);
    return spotSurface(layer, isOwn ? 'existing' : which, { heightUnit, signal });
  };
  const existing = await surfaceOf(first, 'existing');
  const proposed = await surfaceOf(second, 'proposed');
  const options = { ...(depthsM === undefined ? {} : { depthsM }), ...(leastM === undefined ? {} : { leastM }) };
  return gradesOf(existing, proposed, options);
}

function nothingProposed(name: string): InputError {
  return new InputError('grades-one', `${name} is the only file of grades, and it holds no proposed heights`, {
    layer: name,
    cure: 'add a column proposed_height_ft (or _m), or give a second file: --grades existing.csv,proposed.csv',
  });
}
