// In: layers with their Crs; out: a finding where a file states another unit than its coordinate system has.
// Terms: stated unit = what a drawing ($INSUNITS) or a LandXML file (<Units>) says of its coordinates.
// Nothing is scaled: coordinates are read as they stand, and a person decides which of the two is wrong.

import type { Crs, StatedUnit } from '../model/index.js';
import { type Finding, finding } from '../model/index.js';
import type { AssignedLayer } from './stated.js';

/** A foot whose kind is not said agrees with both: they are 2e-6 apart. */
const EITHER_FOOT = 3e-6;
/** Two spellings of one unit differ by rounding only. */
const SAME = 1e-9;

const WORDS: Readonly<Record<string, string>> = {
  ft: 'international feet',
  ftUS: 'US survey feet',
  foot: 'feet',
  m: 'metres',
  cm: 'centimetres',
  mm: 'millimetres',
  in: 'inches',
  degree: 'degrees',
};

/** One finding per layer whose stated unit and coordinate system disagree. */
export function unitConflicts(layers: readonly AssignedLayer[]): readonly Finding[] {
  return layers.flatMap(({ layer, crs, role }) => {
    const { unit } = layer;
    if (unit === undefined || agrees(unit, crs)) return [];
    const stated = WORDS[unit.unit] ?? `a unit of ${unit.metresPerUnit} m`;
    const own = WORDS[crs.unit] ?? `a unit of ${crs.metresPerUnit} m`;
    const message = `${layer.name} states ${stated} (${unit.from}), but its coordinate system ${crs.code} is in ${own}; the coordinates were read as they stand`;
    const cure = `find out which is right: scale the file, or name the system of its unit with --${role}-crs`;
    return [finding('crs-unit-conflict', { layer: layer.name }, message, cure)];
  });
}

function agrees(stated: StatedUnit, crs: Crs): boolean {
  if (crs.unit === 'degree') return false;
  const ratio = stated.metresPerUnit / crs.metresPerUnit;
  return Math.abs(ratio - 1) <= (stated.unit === 'foot' ? EITHER_FOOT : SAME);
}
