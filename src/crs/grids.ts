// In: a Crs and the shift grids at hand; out: the Crs that uses those made for its datum, and findings on their use.
// Terms: serves = the grid's source is the datum the Crs stands on. Outside the grid the table's own operation holds.

import type { Crs, Layer, ShiftGrid } from '../model/index.js';
import { type Finding, finding, firstVertex, InputError } from '../model/index.js';
import { someOf } from '../text/index.js';
import { type Box, boundsOf, lonLatBounds } from './bounds.js';
import { type DatumRow, datumCount, datumPart, datumRow, simplified } from './crs-table.js';
import { transformFor } from './transform.js';

/** Abbreviations of datums that grids use, in addition to the names in the table. */
const SYNONYMS: Readonly<Record<string, string>> = {
  dhdn90: 'dhdn',
  nzgd1949: 'nzgd49',
  osgb1936: 'osgb36',
  etrf89: 'etrs89',
  ntf: 'ntf',
  rgf93: 'rgf93v1',
  nad831986: 'nad83',
  nad83csrs: 'nad83csrs',
};

/** The table's row of a datum by a name or the EPSG code of its geographic system; undefined when there is none. */
export function datumNamed(name: string): DatumRow | undefined {
  const code = /^(?:EPSG:)?(\d{4,5})$/i.exec(name.trim());
  const plain = simplified(name);
  const wanted = SYNONYMS[plain] ?? plain;
  let found: DatumRow | undefined;
  for (let i = 0; i < datumCount(); i++) {
    const row = datumRow(i);
    if (
      code !== null ? row.code !== Number(code[1]) : simplified(row.name) !== wanted && !row.otherNames.includes(wanted)
    )
      continue;
    if (simplified(row.name) === wanted || found === undefined) found = row;
  }
  return found;
}

/** Whether a grid is made for the datum a Crs stands on. */
export function serves(grid: ShiftGrid, crs: Crs): boolean {
  return crs.kind !== 'local' && datumNamed(grid.source)?.name === crs.datum.name;
}

/** The same system with the grids made for its datum as its operation; unchanged if there is no such grid. */
export function withGrids(crs: Crs, grids: readonly ShiftGrid[], layer: Layer): Crs {
  const own = grids.filter((grid) => serves(grid, crs));
  const [first] = own;
  if (first === undefined) return crs;
  const box: Box | null = lonLatBounds(layer, crs);
  const targets = own.map((grid) => datumNamed(grid.target));
  const odd = own.find((grid, i) => grid.target !== '' && targets[i] === undefined);
  if (odd !== undefined) {
    throw new InputError('grid-target', `${odd.name} leads to "${odd.target}", a datum that is not known`, {
      layer: odd.name,
      cure: 'use a grid that leads to a datum of the EPSG registry (NAD83, ETRS89, GDA94, ...)',
    });
  }
  const accuracies = own.flatMap((grid) => (box === null ? [] : (grid.accuracyOver(box) ?? [])));
  const target = targets[0];
  const onward = target === undefined ? 'taken as WGS 84' : `${target.name} to WGS 84: ${target.operation}`;
  const gridM = accuracies.length === 0 ? null : Math.max(...accuracies);
  const targetM = target === undefined ? null : target.accuracyM;
  const good = gridM === null ? 'accuracy not stated' : `${gridM} m`;
  const names = own.map((grid) => grid.name).join(', ');
  return {
    ...crs,
    datum: {
      name: crs.datum.name,
      operation: `${crs.datum.name} to ${target?.name ?? 'WGS 84'} by the grid ${names} (${good}); ${onward}`,
      accuracyM: gridM === null || targetM === null ? null : Math.round((gridM + targetM) * 1000) / 1000,
    },
    grids: own.map((grid, i) => ({ grid, onwards: onwardsOf(targets[i]) })),
  };
}

function onwardsOf(target: DatumRow | undefined): string {
  return target === undefined || target.shift === '' ? '' : `+proj=longlat ${datumPart(target)} +no_defs`;
}

/** Findings about grids, once every layer has its system: unused, without effect, too small. */
export function gridFindings(
  layers: readonly { readonly layer: Layer; readonly crs: Crs }[],
  grids: readonly ShiftGrid[],
): readonly Finding[] {
  const findings: Finding[] = [];
  for (const grid of grids) {
    if (layers.some(({ crs }) => crs.grids?.some((one) => one.grid === grid))) continue;
    const message = `${grid.name} (${grid.source} to ${grid.target}) matches none of the layers`;
    const cure = `leave it out, or say which datum it is for: --grid NAD27=${grid.name}`;
    findings.push(finding('grid-unused', {}, message, cure));
  }
  for (const { layer, crs } of layers) if (crs.grids !== undefined) findings.push(...useOf(layer, crs));
  return findings;
}

function useOf(layer: Layer, crs: Crs): Finding[] {
  const grids = crs.grids ?? [];
  const { grids: _, ...plain } = crs;
  // Positions on the layer's own datum: the transformation without any shift.
  const own = layer.geometry.xy.slice();
  if (boundsOf(own) === null) return [];
  transformFor({ ...plain, proj: crs.proj.replace(/ \+towgs84=\S+/, '') }).toLonLat(own);
  const moved = own.slice();
  let outside = 0;
  let moves = 0;
  for (let f = 0; f < layer.count; f++) {
    const first = firstVertex(layer.geometry, f);
    const last = firstVertex(layer.geometry, f + 1);
    let missed = false;
    for (let v = first; v < last; v++) {
      if (Number.isNaN(own[v * 2]!)) continue;
      const hit = grids.some(({ grid }) => grid.apply(moved, v * 2));
      if (!hit) missed = true;
      else if (moved[v * 2] !== own[v * 2] || moved[v * 2 + 1] !== own[v * 2 + 1]) moves++;
    }
    if (missed) outside++;
  }
  const names = grids.map(({ grid }) => grid.name).join(', ');
  const place = { layer: layer.name };
  const out: Finding[] = [];
  if (outside > 0) {
    const some = someOf(outside, layer.count, 'feature', `lies outside ${names}`, `lie outside ${names}`);
    const message = `${some}; there the coarser operation without a grid was used`;
    out.push(finding('grid-outside', place, message, 'give the grid of that place as well: --grid may be repeated'));
  }
  if (moves === 0) {
    const message = `the grid ${names} moved no position of the layer`;
    out.push(finding('grid-no-shift', place, message, 'check that it is the grid of that place, and not an empty one'));
  }
  return out;
}
