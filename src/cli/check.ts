// rootberth check. In: files; out: what they hold, in a table, and what is wrong with them, on stderr.
// Terms: role guess = what a layer would be taken for, by its geometry, fields and name; `assess` is told, never guesses.

import Table from 'cli-table3';
import { checkLots, checkTrees, checkWorks } from '../check.js';
import { type Finding, InputError } from '../findings.js';
import { readLayer } from '../node/files.js';
import { lonLatBounds } from '../project/bounds.js';
import { assignCrs, checkPositions } from '../project.js';
import { type AssessOptions, type Crs, GEOMETRY_KINDS, type Layer, type LayerRole } from '../types.js';
import type { LengthUnit } from '../units.js';
import { printable } from '../write.js';
import { digest, inputErrorText } from './digest.js';
import { EXIT, type Io } from './io.js';
import { fieldsOf, type ReadFlags, readOptionsOf } from './values.js';

export interface CheckFlags extends ReadFlags {
  readonly crs?: string;
  readonly dbhUnit?: LengthUnit;
  readonly field?: readonly string[];
  readonly layer?: string;
}

/** One file's row and what was found. */
interface Checked {
  readonly rows: readonly (readonly [title: string, value: string])[];
  readonly findings: readonly Finding[];
  readonly usable: boolean;
}

export async function runCheck(files: readonly string[], flags: CheckFlags, io: Io): Promise<number> {
  const options: AssessOptions = {
    ...(flags.crs === undefined ? {} : { crs: flags.crs }),
    ...(flags.dbhUnit === undefined ? {} : { dbhUnit: flags.dbhUnit }),
    ...(flags.field === undefined ? {} : { fields: fieldsOf(flags.field) }),
  };
  const read = readOptionsOf(flags, flags.layer);
  let usable = true;
  const findings: Finding[] = [];
  for (const file of files) {
    try {
      const layer = await readLayer(file, read);
      const checked = checkLayer(layer, options, io);
      findings.push(...checked.findings);
      usable &&= checked.usable;
      await io.out(`${printable(layer.name)}\n${tableOf(checked.rows)}\n`);
    } catch (error) {
      // One file that can't be used does not keep the others from being looked at; a slip in the options does.
      if (!(error instanceof InputError) || error.usage) throw error;
      usable = false;
      io.err(inputErrorText(error, io.colour.err));
    }
  }
  io.err(digest(findings, io.colour.err));
  return usable ? EXIT.done : EXIT.unusableInput;
}

function checkLayer(layer: Layer, options: AssessOptions, io: Io): Checked {
  const role = roleOf(layer);
  const findings: Finding[] = [...layer.findings];
  let usable = true;
  const attempt = <T>(act: () => T): T | undefined => {
    try {
      return act();
    } catch (error) {
      if (!(error instanceof InputError) || error.usage) throw error;
      usable = false;
      io.err(inputErrorText(error, io.colour.err));
      return undefined;
    }
  };
  const assigned = attempt(() => assignCrs([{ role, layer }], options));
  const one = assigned?.assigned[0];
  findings.push(...(assigned?.findings ?? []), ...(assigned ? checkPositions(assigned.assigned) : []));
  const judged = attempt(() => CHECKS[role](layer, options));
  findings.push(...(judged?.findings ?? []));
  const fields = layer.fields.length === 0 ? 'none' : layer.fields.join(', ');
  return {
    rows: [
      ['looks like', role],
      ['format', layer.format],
      ['features', featuresOf(layer)],
      ['usable', judged === undefined ? 'no' : `${layer.count - judged.rejected} of ${layer.count}`],
      ['coordinate system', one === undefined ? 'not known' : `${one.crs.code} ${one.crs.name} (${one.from})`],
      ...(one === undefined ? [] : placeRows(layer, one.crs)),
      ['fields', fields],
      ['SHA-256', layer.sha256 ?? 'not computed'],
    ],
    findings,
    usable,
  };
}

type LayerCheck = (
  layer: Layer,
  options: AssessOptions,
) => { readonly findings: readonly Finding[]; readonly rejected: number };

const worksCheck: LayerCheck = (layer, options) => {
  const { table, findings } = checkWorks([{ layer }], options);
  return { findings, rejected: table.rejected.size };
};

const CHECKS: Readonly<Record<LayerRole, LayerCheck>> = {
  trees: (layer, options) => {
    const { table, findings } = checkTrees(layer, options);
    return { findings, rejected: table.rejected.size };
  },
  works: worksCheck,
  existing: worksCheck,
  lots: (layer, options) => {
    const { table, findings } = checkLots(layer, options);
    return { findings, rejected: table.rejected.size };
  },
};

/** Points are trees; of areas and lines, those named or keyed like parcels are lots, the others works. */
function roleOf(layer: Layer): LayerRole {
  const counts = countKinds(layer);
  const of = (...kinds: (typeof GEOMETRY_KINDS)[number][]): number =>
    kinds.reduce((sum, kind) => sum + (counts.get(kind) ?? 0), 0);
  const areas = of('polygon', 'multipolygon');
  const lines = of('line', 'multiline');
  if (of('point', 'multipoint') >= areas + lines) return 'trees';
  const kinds = layer.fields.some((name) => name.toLowerCase() === 'kind');
  return !kinds && lines === 0 && /lot|parcel|plat/i.test(layer.name) ? 'lots' : 'works';
}

function countKinds(layer: Layer): Map<(typeof GEOMETRY_KINDS)[number], number> {
  const counts = new Map<(typeof GEOMETRY_KINDS)[number], number>();
  for (const code of layer.geometry.kind) {
    const kind = GEOMETRY_KINDS[code] ?? 'broken';
    counts.set(kind, (counts.get(kind) ?? 0) + 1);
  }
  return counts;
}

function featuresOf(layer: Layer): string {
  const kinds = [...countKinds(layer)].map(([kind, count]) => `${count} ${kind}`).join(', ');
  return kinds === '' ? '0' : `${layer.count} (${kinds})`;
}

function placeRows(layer: Layer, crs: Crs): [string, string][] {
  const rows: [string, string][] = [['unit', crs.unit === 'other' ? `${crs.metresPerUnit} m` : crs.unit]];
  if (crs.kind === 'local') return rows;
  rows.push(['datum', `${crs.datum.name}: ${crs.datum.operation}`]);
  const box = lonLatBounds(layer, crs);
  if (box === null) return [...rows, ['extent', 'no position can be placed']];
  const [west, south, east, north] = box.map((v) => v.toFixed(6));
  const outside = checkPositions([{ role: 'trees', layer, crs, from: '' }]).some(
    (f) => f.code === 'outside-area-of-use',
  );
  rows.push(['extent (lon, lat)', `${west}, ${south} to ${east}, ${north}`]);
  rows.push(['inside its area of use', crs.areaOfUse === null ? 'not known' : outside ? 'NO' : 'yes']);
  return rows;
}

// A row a line: rules between rows would double the length.
const NO_LINES = { mid: '', 'left-mid': '', 'mid-mid': '', 'right-mid': '' };

function tableOf(rows: Checked['rows']): string {
  const table = new Table({ style: { head: [], border: [] }, chars: NO_LINES, colWidths: [24, 92], wordWrap: true });
  for (const [title, value] of rows) table.push([title, printable(value)]);
  return table.toString();
}
