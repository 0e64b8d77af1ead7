// Options of a job -> AssessFilesOptions, for assess, siting and split. In: options of the command line; out: the job, or
// wrong usage. Terms: see table/take.ts. Everything is done by the library; this file only translates. Linear in the options.

import type { LayerRole } from '../model/index.js';
import type { AssessFilesOptions, WorksFile } from '../node/index.js';
import type { FileReadOptions } from '../node/read/index.js';
import { outputSystem } from '../node/write/index.js';
import { gradesOf } from './grade-values.js';
import type { JobCommand } from './job-keys.js';
import { limbsOf } from './limb-values.js';
import { notesTold } from './note-values.js';
import { groundOf, stemOf } from './place-values.js';
import type { Flags } from './table/index.js';
import { type Takers, take } from './table/take.js';
import {
  boxesOf,
  clearanceOf,
  fieldsOf,
  given,
  layersOf,
  lengthOf,
  limitOf,
  optionOf,
  overdigOf,
  type ReadFlags,
  readOptionsOf,
  soilOf,
  surveyAgeOf,
  threadsOf,
  usage,
  valuesOf,
  worksOf,
} from './values.js';

type JobFlags = Flags<JobCommand>;
type Reading = NonNullable<AssessFilesOptions['read']>;

const readTaker = (_: unknown, flags: JobFlags): { readonly read: Reading } => ({ read: readFor(flags) });
const crsTaker = (_: unknown, flags: JobFlags): Required<Pick<AssessFilesOptions, 'crsFor'>> => ({
  crsFor: systemsOf(flags),
});

const gradesTaker = (_: unknown, flags: JobFlags): Pick<AssessFilesOptions, 'grades'> => ({ grades: gradesOf(flags) });

/** Every option of the three commands that ends in the job. */
export const JOB: Takers<JobCommand, 'job'> = {
  trees: (trees) => ({ trees }),
  works: (_, flags) => ({ works: worksFor(flags) }),
  option: (_, flags) => ({ works: worksFor(flags) }),
  layer: readTaker,
  bbox: readTaker,
  columns: readTaker,
  xy: readTaker,
  header: readTaker,
  code: readTaker,
  salvage: readTaker,
  format: readTaker,
  noteNorth: readTaker,
  noteDeclination: readTaker,
  noteClosing: readTaker,
  existing: (existing) => ({ existing }),
  lots: (lots) => ({ lots }),
  zones: (zones) => ({ zones }),
  crowns: (crowns) => ({ crowns }),
  limbs: (limbList) => ({ limbList }),
  rule: (rule) => ({ rule }),
  database: (database) => ({ database }),
  threads: (threads) => ({ threads: threadsOf(threads) }),
  crs: (crs) => ({ crs }),
  dbhUnit: (dbhUnit) => ({ dbhUnit }),
  grid: (gridFiles) => ({ gridFiles }),
  mitigation: (mitigationFile) => ({ mitigationFile }),
  treeFacts: (treeFactsFile) => ({ treeFactsFile }),
  soil: (soil) => ({ soil: soilOf(soil) }),
  existingUse: (existingUse) => ({ existingUse }),
  margins: (margins) => ({ margins: margins === 'all' }),
  dbhAccuracy: (accuracy) => ({ dbhAccuracyM: lengthOf('--dbh-accuracy', accuracy, '1cm') }),
  groundFactor: (_, flags) => ({ ground: groundOf(flags) }),
  groundOrigin: (_, flags) => ({ ground: groundOf(flags) }),
  stemAt: (_, flags) => ({ stemAt: stemOf(flags) }),
  stemBearing: (_, flags) => ({ stemAt: stemOf(flags) }),
  stemNorth: (_, flags) => ({ stemAt: stemOf(flags) }),
  surveyAge: (_, flags) => surveyAgeOf(flags),
  today: (_, flags) => surveyAgeOf(flags),
  treesCrs: crsTaker,
  worksCrs: crsTaker,
  existingCrs: crsTaker,
  lotsCrs: crsTaker,
  zonesCrs: crsTaker,
  crownsCrs: crsTaker,
  gradesCrs: crsTaker,
  grades: gradesTaker,
  gradeSurfaces: gradesTaker,
  gradeUnit: gradesTaker,
  gradeDepths: gradesTaker,
  gradeLeast: gradesTaker,
  limit: (limit) => ({ limit: limitOf(limit) }),
  field: (fields) => ({ fields: fieldsOf(fields) }),
  value: (values) => ({ values: valuesOf(values) }),
  limbBearing: (_, flags) => ({ limbs: limbsOf(flags) }),
  declination: (_, flags) => ({ limbs: limbsOf(flags) }),
  limbLimit: (_, flags) => ({ limbs: limbsOf(flags) }),
  clearance: (clearance) => ({ clearanceM: clearanceOf(clearance) }),
  workingSpace: (_, flags) => ({ fences: fencesFor(flags) }),
  postSpacing: (_, flags) => ({ fences: fencesFor(flags) }),
  overdig: (overdig) => ({ overdigM: overdigOf(overdig) }),
};

/** The command line's words as a job. */
export function jobOf(flags: JobFlags): AssessFilesOptions {
  const trees = needed(flags.trees, '--trees', 'the tree survey');
  const works = worksFor(flags);
  // A survey's age is counted from today where nothing else is said; asking for stakes asks for fences.
  const unasked = given({ today: surveyAgeOf(flags).today, fences: fencesFor(flags) });
  return { ...take<JobCommand, 'job'>(flags, JOB), ...unasked, trees, works };
}

/** The value of an option that has to be there. */
export function needed(value: string | undefined, option: string, what: string): string {
  if (value === undefined) throw usage('option-missing', `${option} is missing`, `give ${what} with ${option} F`);
  return value;
}

function worksFor({ works = [], option = [] }: JobFlags): readonly WorksFile[] {
  return [...works.map(worksOf), ...option.map(optionOf)];
}

/** How each role's file is read. */
function readFor(flags: JobFlags): Reading {
  const { layers, kinds } = layersOf(flags.layer ?? []);
  const boxes = boxesOf(flags.bbox ?? []);
  const salvage: ReadFlags = flags.salvage === true ? { salvage: true } : {};
  const read = (
    role: LayerRole,
    paths: readonly (string | undefined)[],
    own: ReadFlags = salvage,
  ): FileReadOptions => ({
    ...readOptionsOf(own, layers[role], role === 'works' ? kinds : {}, boxes[role]),
    ...notesTold(flags),
    ...(paths.includes('-') && flags.format !== undefined ? { format: flags.format } : {}),
  });
  return {
    // Coordinate columns and headers are the survey's: a CSV holds points only.
    trees: read('trees', [flags.trees], flags),
    works: read(
      'works',
      worksFor(flags).map(({ path }) => path),
    ),
    existing: read('existing', flags.existing ?? []),
    lots: read('lots', [flags.lots]),
    zones: read('zones', [flags.zones]),
    crowns: read('crowns', [flags.crowns]),
    ...gradesRead(flags, (own) => read('grades', [], own)),
  };
}

/** Points of the survey itself are read as it is; other files of grades by their own headings. */
function gradesRead(flags: JobFlags, read: (own: ReadFlags | undefined) => FileReadOptions): Pick<Reading, 'grades'> {
  if (flags.grades === undefined) return {};
  return { grades: read(flags.grades === flags.trees ? flags : undefined) };
}

function systemsOf(flags: JobFlags): Required<AssessFilesOptions>['crsFor'] {
  return given({
    trees: flags.treesCrs,
    works: flags.worksCrs,
    existing: flags.existingCrs,
    lots: flags.lotsCrs,
    zones: flags.zonesCrs,
    crowns: flags.crownsCrs,
    grades: flags.gradesCrs,
  });
}

/** Options of fences; asking for stakes asks for fences, in a system that stakes can be set out in. */
function fencesFor({ workingSpace, postSpacing, stakes, saveNotes, outCrs }: JobFlags): AssessFilesOptions['fences'] {
  if (workingSpace === undefined && postSpacing === undefined && stakes === undefined && saveNotes === undefined)
    return undefined;
  return given({
    workingSpaceM: workingSpace === undefined ? undefined : lengthOf('--working-space', workingSpace, '1.5m'),
    postSpacingM: postSpacing === undefined ? undefined : lengthOf('--post-spacing', postSpacing, '10ft'),
    stakesInSurvey:
      (stakes ?? saveNotes) !== undefined && (outputSystem({ outCrs })?.crs.kind ?? 'geographic') === 'geographic'
        ? true
        : undefined,
  });
}
