// Options of field notes. In: nothing; out: rows of the table, in the order of the help. Terms: see row.ts. Constant.

export const NOTE_ROWS = [
  {
    flag: '--note-north <north>',
    group: 'Field notes',
    in: ['assess', 'siting', 'split', 'check', 'notes'],
    help: 'what bearings of field notes count from; needed beside known points',
    parser: ['true', 'grid', 'magnetic'],
    target: 'job.read',
  },
  {
    flag: '--note-declination <degrees>',
    group: 'Field notes',
    in: ['assess', 'siting', 'split', 'check', 'notes'],
    help: 'of magnetic north, east positive: 15.2, 15.2E or 3W',
    parser: 'text',
    target: 'job.read',
    needs: { anyOf: ['noteNorth'], cure: 'add --note-north magnetic, or leave it out' },
  },
  {
    flag: '--note-closing <way>',
    group: 'Field notes',
    in: ['assess', 'siting', 'split', 'check', 'notes'],
    help: 'how running dimensions round an outline are closed; default least-squares, with all other readings',
    parser: ['least-squares', 'compass'],
    target: 'job.read',
  },
  {
    flag: '--crs <code>',
    group: 'Field notes',
    in: ['notes'],
    help: 'system of known points given as easting and northing: EPSG:2913, local:ft, ...',
    parser: 'text',
    target: 'job.crs',
  },
  {
    flag: '--sketch <file.svg>',
    group: 'Field notes',
    in: ['notes'],
    help: 'a drawing of stakes, trees and outlines with the readings written on it',
    parser: 'text',
    target: 'file.sketch',
  },
] as const;

export const STAKE_OUT_ROWS = [
  {
    flag: '--save-notes <file.csv>',
    group: 'Fences',
    in: ['assess'],
    help: 'distances and offsets from stakes to every corner of works and fences, to set out by tape',
    parser: 'text',
    target: 'file.saveNotes',
    needs: { anyOf: ['noteStake'], cure: 'name two stakes or more: --note-stake A=7650000,680000' },
  },
  {
    flag: '--note-stake <name=E,N>',
    group: 'Fences',
    in: ['assess'],
    help: 'a stake to measure from, in the survey’s own coordinates (or those of --out-crs); repeat',
    parser: 'texts',
    target: 'notes.stakes',
    needs: { anyOf: ['saveNotes'], cure: 'add --save-notes F.csv, or leave it out' },
  },
] as const;
