// rootberth demo. In: a folder; out: the whole job on the shipped, invented subdivision. Terms: invented data = no place,
// person or firm is meant. It runs the same path as `assess`, with nothing of its own.

import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { guarded } from '../node/write-file.js';
import { runAssess } from './assess.js';
import type { Io } from './io.js';

export async function runDemo(dir: string, io: Io): Promise<number> {
  const data = fileURLToPath(new URL('../../data/demo/', import.meta.url));
  await guarded(dir, () => mkdir(dir, { recursive: true }));
  const out = join(dir, 'assessed.geojson');
  await io.out(
    'INVENTED DATA: a subdivision that does not exist. The command this stands for:\n' +
      '  rootberth assess --trees survey.csv --crs EPSG:2913 --works works.geojson --lots lots.geojson \\\n' +
      '    --clearance 6ft --limbs limbs.csv --limb-limit 4in --limb-schedule limb-schedule.csv \\\n' +
      '    --working-space 5ft --stakes stakes.csv --mitigation inch-for-inch --lot-table lot-table.csv \\\n' +
      '    --units us --out assessed.geojson --schedule schedule.csv --findings findings.json \\\n' +
      '    --report report.html --plan plan.svg\n\n',
  );
  const code = await runAssess(
    {
      trees: join(data, 'survey.csv'),
      works: [join(data, 'works.geojson')],
      lots: join(data, 'lots.geojson'),
      crs: 'EPSG:2913',
      clearance: '6ft',
      limbs: join(data, 'limbs.csv'),
      limbLimit: '4in',
      limbSchedule: join(dir, 'limb-schedule.csv'),
      workingSpace: '5ft',
      stakes: join(dir, 'stakes.csv'),
      mitigation: 'inch-for-inch',
      lotTable: join(dir, 'lot-table.csv'),
      units: 'us',
      today: '2026-07-01', // the invented survey is of that spring
      out,
      schedule: join(dir, 'schedule.csv'),
      findings: join(dir, 'findings.json'),
      report: join(dir, 'report.html'),
      plan: join(dir, 'plan.svg'),
      title: 'Alder Bench: trees and proposed works',
      stamp: 'invented data',
    },
    io,
  );
  await io.out(
    `\nINVENTED DATA. Open ${join(dir, 'report.html')} in a browser and ${out} in any map tool; the rest is beside them.\n`,
  );
  return code;
}
