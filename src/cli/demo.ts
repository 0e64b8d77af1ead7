// rootberth demo. In: a folder; out: the whole job on the shipped, invented subdivision. Terms: invented data = no place,
// person or firm is meant. The words printed are the words run: the same path as `assess`, with nothing of its own.

import { existsSync } from 'node:fs';
import { mkdir } from 'node:fs/promises';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Command } from 'commander';
import { guarded } from '../node/write/index.js';
import { type AssessFlags, runAssess } from './assess.js';
import { EXIT, type Io } from './io.js';
import { runNotes } from './notes.js';
import { withOptions } from './options.js';
import { runSiting, type SitingFlags } from './siting.js';
import type { Flags } from './table/index.js';

export async function runDemo(dir: string, io: Io): Promise<number> {
  await guarded(dir, () => mkdir(dir, { recursive: true }));
  const lines = demoLines(dir);
  await io.out(
    'INVENTED DATA: a subdivision that does not exist. The demo runs this command:\n' +
      `  rootberth assess ${lines.map((line) => line.map(quoted).join(' ')).join(' \\\n    ')}\n\n`,
  );
  const command = withOptions(new Command('assess')).parse(lines.flat(), { from: 'user' });
  const code = await runAssess({ ...command.opts<AssessFlags>(), stamp: 'invented data' }, io);
  if (code !== EXIT.done) return code;
  const sited = sitingLines(dir);
  await io.out(
    '\nINVENTED DATA. With the house of lot 8 as drawn, the big oak T109 is over its limit. Where can the house go? The demo runs this command:\n' +
      `  rootberth siting ${sited.map((line) => line.map(quoted).join(' ')).join(' \\\n    ')}\n\n`,
  );
  const siting = withOptions(new Command('siting')).parse(sited.flat(), { from: 'user' });
  const found = await runSiting({ ...siting.opts<SitingFlags>(), quiet: true, stamp: 'invented data' }, io);
  if (found !== EXIT.done) return found;
  const noted = await runNotesStory(dir, io);
  await io.out(
    `\nINVENTED DATA. Open ${join(dir, 'report.html')} and ${join(dir, 'siting.html')} in a browser, ` +
      `${join(dir, 'assessed.geojson')} and ${join(dir, 'siting.geojson')} in any map tool; the rest is beside them.\n`,
  );
  return noted;
}

/** The second story: one lot, one tree, and a notebook in place of a survey, to a report and distances to set out by tape. */
async function runNotesStory(dir: string, io: Io): Promise<number> {
  const to = (name: string): string => join(dir, name);
  const notes = from('notes.csv');
  const told = [notes, '--sketch', to('notes-sketch.svg')];
  await io.out(
    '\nINVENTED DATA. A second story: one lot, one oak, four stakes and a tape. What does the notebook say, and is a reading wrong?\n' +
      `  rootberth notes ${told.map(quoted).join(' ')}\n\n`,
  );
  const read = await runNotes(notes, { sketch: to('notes-sketch.svg') } as Flags<'notes'>, io);
  if (read !== EXIT.done) return read;
  const lines = [
    ['--trees', notes, '--works', notes, '--lots', notes, '--rule', 'foot-per-inch', '--units', 'us'],
    ['--title', 'One lot, one oak: from a notebook', '--out', to('notes.geojson'), '--report', to('notes.html')],
    [
      '--save-notes',
      to('set-out.csv'),
      '--note-stake',
      'A=0,0',
      '--note-stake',
      'B=100.4,0',
      '--note-stake',
      'D=-1,120.4',
    ],
  ];
  await io.out(
    '\nINVENTED DATA. The same notes as trees, works and lot; the plan goes back to the ground as distances from the stakes:\n' +
      `  rootberth assess ${lines.map((line) => line.map(quoted).join(' ')).join(' \\\n    ')}\n\n`,
  );
  const command = withOptions(new Command('assess')).parse(lines.flat(), { from: 'user' });
  return runAssess({ ...command.opts<AssessFlags>(), quiet: true, stamp: 'invented data' }, io);
}

/** The words after `rootberth assess`, in the lines they are printed in: one subject a line. */
function demoLines(dir: string): readonly (readonly string[])[] {
  const to = (name: string): string => join(dir, name);
  return [
    ['--trees', from('survey.csv'), '--crs', 'EPSG:2913', '--lots', from('lots.geojson')],
    ['--works', from('works.geojson'), '--option', `B=${from('option-b.geojson')}`],
    ['--existing', from('existing.geojson'), '--existing-use', 'spared', '--zones', from('zones.geojson')],
    ['--rule', 'foot-per-inch', '--rule', from('town.json'), '--dbh-accuracy', '1cm'],
    ['--clearance', '6ft', '--limbs', from('limbs.csv'), '--limb-limit', '4in', '--working-space', '5ft'],
    ['--mitigation', 'inch-for-inch', '--today', '2026-07-01'], // the invented survey is of that spring
    ['--units', 'us', '--title', 'Alder Bench: trees and proposed works'],
    ['--out', to('assessed.geojson'), '--schedule', to('schedule.csv'), '--findings', to('findings.json')],
    ['--lot-table', to('lot-table.csv'), '--option-table', to('option-table.csv')],
    ['--inventory', to('inventory.csv'), '--removals', to('removals.csv')],
    ['--limb-schedule', to('limb-schedule.csv'), '--stakes', to('stakes.csv')],
    ['--shade', to('facades.geojson'), '--shade-table', to('shade.csv')],
    ['--packet', from('packet.json'), '--report', to('report.html'), '--plan', to('plan.svg')],
  ];
}

/** The words after `rootberth siting`. */
function sitingLines(dir: string): readonly (readonly string[])[] {
  const to = (name: string): string => join(dir, name);
  return [
    ['--trees', from('survey.csv'), '--crs', 'EPSG:2913', '--lots', from('lots.geojson')],
    ['--works', from('works.geojson'), '--zones', from('zones.geojson')],
    ['--existing', from('existing.geojson'), '--existing-use', 'spared', '--rule', 'foot-per-inch'],
    ['--move', 'B-08', '--setback', '5ft', '--shift', '20ft', '--turn', '10deg', '--today', '2026-07-01'],
    ['--units', 'us', '--title', 'Alder Bench, lot 8: a place for the house'],
    ['--out', to('siting.geojson'), '--table', to('siting.csv')],
    ['--plan', to('siting.svg'), '--report', to('siting.html')],
  ];
}

/** A file of the shipped demo. */
function from(name: string): string {
  // published, this code lies in dist/; from the sources, in a folder of src/
  const folder = ['../data/demo/', '../../data/demo/']
    .map((path) => fileURLToPath(new URL(path, import.meta.url)))
    .find(existsSync)!;
  return join(relative('', folder), name);
}

/** A word as a POSIX shell takes it. */
function quoted(word: string): string {
  return /^[\w@%+=:,./\\-]+$/.test(word) ? word : `'${word.replaceAll("'", "'\\''")}'`;
}
