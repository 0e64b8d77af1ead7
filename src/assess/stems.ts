// Shots on the trunk's face -> trunk centres. In: checked trees, their diameters, positions; out: positions moved.
// Terms: bearing = the direction from the face (where the rod stood, instrument side) towards the trunk's centre, degrees
// clockwise from true north, or from the grid north of the survey's own system. Moved in the true-to-size frame.

import type { CrsTransform, Frame, StemAtFace, TreeTable } from '../model/index.js';
import { type Finding, finding, InputError } from '../model/index.js';
import { someOf } from '../text/index.js';

const LISTED = 20; // trees named one by one; the rest are counted
const RAD = Math.PI / 180;

export interface StemsInput {
  readonly trees: TreeTable;
  readonly dbhM: Float64Array; // diameter used, per tree; NaN where there is none
  readonly treeLonLat: Float64Array;
  readonly transform: CrsTransform; // of the tree layer
  readonly stemAt: StemAtFace;
  frameAt(lon: number, lat: number): Frame;
}

export interface Stems {
  readonly trees: TreeTable; // native positions of the centres
  readonly treeLonLat: Float64Array;
  readonly findings: readonly Finding[];
}

/**
 * Moves every shot by half its diameter along its bearing. A tree without a bearing or a diameter stays where it was
 * shot; the former has a finding.
 *
 * @throws InputError `field-missing` (usage) when the layer has no such field
 */
export function stemCentres(input: StemsInput): Stems {
  const { trees, dbhM, transform, stemAt } = input;
  const field = fieldOf(trees, stemAt.bearing);
  const treeLonLat = input.treeLonLat.slice();
  const at = new Float64Array(2);
  const unclear: { readonly row: number; readonly value: unknown }[] = [];
  let moved = 0;
  for (let row = 0; row < trees.count; row++) {
    const lon = treeLonLat[row * 2]!;
    const lat = treeLonLat[row * 2 + 1]!;
    if (!Number.isFinite(lon) || !Number.isFinite(lat)) continue;
    const value = trees.layer.properties(row)[field];
    const bearing = bearingOf(value);
    if (Number.isNaN(bearing)) {
      unclear.push({ row, value });
      continue;
    }
    const half = dbhM[row]! / 2;
    if (!(half > 0)) continue; // no diameter: another stage's finding
    const frame = input.frameAt(lon, lat);
    at[0] = lon;
    at[1] = lat;
    frame.toFrame(at, at);
    const x = at[0];
    const y = at[1];
    const north = stemAt.north === 'grid' ? transform.convergence(lon, lat) : 0;
    const angle = (bearing + north - frame.convergence(x, y)) * RAD;
    at[0] = x + half * Math.sin(angle);
    at[1] = y + half * Math.cos(angle);
    frame.toLonLat(at, at);
    treeLonLat[row * 2] = at[0];
    treeLonLat[row * 2 + 1] = at[1];
    moved++;
  }
  const xy = treeLonLat.slice();
  transform.fromLonLat(xy);
  return { trees: { ...trees, xy }, treeLonLat, findings: findingsOf(trees, field, stemAt, moved, unclear) };
}

function fieldOf(trees: TreeTable, asked: string): string {
  const { fields, name } = trees.layer;
  const field = fields.find((f) => f === asked) ?? fields.find((f) => f.toLowerCase() === asked.toLowerCase());
  if (field !== undefined) return field;
  throw new InputError('field-missing', `${name} has no field "${asked}"; fields are: ${fields.join(', ')}`, {
    layer: name,
    path: `properties.${asked}`,
    cure: 'name the field that holds the bearing from the face to the centre with --stem-bearing',
    usage: true,
  });
}

/** Degrees from 0 to 360; NaN for anything else. */
function bearingOf(value: unknown): number {
  const number =
    typeof value === 'number' ? value : typeof value === 'string' && value.trim() !== '' ? Number(value) : Number.NaN;
  return number >= 0 && number <= 360 ? number : Number.NaN;
}

function findingsOf(
  trees: TreeTable,
  field: string,
  stemAt: StemAtFace,
  moved: number,
  unclear: readonly { readonly row: number; readonly value: unknown }[],
): Finding[] {
  const layer = trees.layer.name;
  const path = `properties.${field}`;
  const cure = 'fill in degrees clockwise from north, 0 to 360, from the face towards the centre';
  const findings = unclear.slice(0, LISTED).map(({ row, value }) => {
    const said =
      value === undefined || value === null || value === '' ? 'is blank' : `"${String(value)}" is not a bearing`;
    const place = { layer, feature: row, id: trees.key.at(row), path };
    return finding('stem-bearing-missing', place, `${field} ${said}: the tree stays where it was shot`, cure);
  });
  if (unclear.length > LISTED) {
    const message = `${someOf(unclear.length, trees.count, 'tree', 'has no usable bearing and stays where it was shot', 'have no usable bearing and stay where they were shot')}; the first ${LISTED} are listed`;
    findings.push(finding('stem-bearing-missing', { layer, path }, message, cure));
  }
  const how = `half a diameter along ${field} (degrees from ${stemAt.north} north) to the trunk's centre`;
  const message = `shots on the face that were moved ${how}: ${moved} of ${trees.count}`;
  findings.push(finding('stem-moved', { layer, path }, message, 'nothing to do'));
  return findings;
}
