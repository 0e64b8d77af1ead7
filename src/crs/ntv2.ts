// In: the bytes of an NTv2 file (.gsb); out: a ShiftGrid. Terms: record = 16 bytes: a name of 8 and its value.
// Layout: NTv2 Developer's Guide (Geomatics Canada 1995): an overview of 11 records, then each subgrid with 11 records
// and its nodes, south to north and EAST to WEST; longitudes and their shifts count positive WEST, in the file's unit.

import type { ShiftGrid } from '../model/index.js';
import { InputError } from '../model/index.js';
import { type GridPart, shiftGrid } from './grid.js';

const RECORD = 16;
const HEAD = 11 * RECORD;
const MOST_NODES = 60_000_000;

/** Degrees per unit that GS_TYPE names. */
const UNITS: Readonly<Record<string, number>> = { SECONDS: 1 / 3600, MINUTES: 1 / 60, DEGREES: 1 };

/**
 * Reads an NTv2 shift grid, in either byte order.
 *
 * @param about `source`: the datum it is for, where the file's own statement (SYSTEM_F) is to be overridden
 * @throws InputError `grid-unreadable`, naming the file
 * @example
 * const grid = readNtv2(bytes, 'conus.gsb'); // grid.source: 'NAD27'
 */
export function readNtv2(
  bytes: Uint8Array,
  name: string,
  about: { source?: string; sha256?: string | null } = {},
): ShiftGrid {
  const fail = (message: string): InputError =>
    new InputError('grid-unreadable', `${name}: ${message}`, {
      layer: name,
      cure: 'give an NTv2 grid (.gsb) or a GeoTIFF shift grid (.tif), complete and unchanged, as its publisher provides it',
    });
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length < HEAD || text(bytes, 0) !== 'NUM_OREC') throw fail('it is not an NTv2 grid');
  const little = view.getInt32(8, true) === 11;
  if (!little && view.getInt32(8, false) !== 11) throw fail('its overview does not have 11 records');
  const int = (at: number): number => view.getInt32(at + 8, little);
  const real = (at: number): number => view.getFloat64(at + 8, little);
  const count = int(2 * RECORD);
  const unit = UNITS[text(bytes, 3 * RECORD + 8)];
  if (unit === undefined) throw fail(`its shifts are in "${text(bytes, 3 * RECORD + 8)}", which is not read`);
  if (!(count >= 1 && count <= 10_000)) throw fail(`it says it holds ${count} subgrids`);

  const parts: GridPart[] = [];
  let at = HEAD;
  for (let g = 0; g < count; g++) {
    if (at + HEAD > bytes.length) throw fail(`it ends before subgrid ${g + 1} of ${count}`);
    const field = (record: number): number => real(at + record * RECORD);
    const south = field(4) * unit;
    const north = field(5) * unit;
    const east = -field(6) * unit;
    const west = -field(7) * unit;
    const stepLat = field(8) * unit;
    const stepLon = field(9) * unit;
    const rows = Math.round((north - south) / stepLat) + 1;
    const columns = Math.round((east - west) / stepLon) + 1;
    const nodes = int(at + 10 * RECORD);
    if (!(rows >= 2 && columns >= 2 && rows * columns === nodes && nodes <= MOST_NODES))
      throw fail(`subgrid ${g + 1} has ${nodes} nodes, which does not match its limits`);
    if (at + HEAD + nodes * RECORD > bytes.length) throw fail(`it ends inside subgrid ${g + 1} of ${count}`);
    parts.push({
      west,
      south,
      stepLon,
      stepLat,
      columns,
      rows,
      ...nodesOf(view, at + HEAD, columns, rows, unit, little),
    });
    at += HEAD + nodes * RECORD;
  }
  const source = about.source ?? text(bytes, 5 * RECORD + 8);
  return shiftGrid({ name, source, target: text(bytes, 6 * RECORD + 8), sha256: about.sha256 ?? null }, parts);
}

function nodesOf(
  view: DataView,
  start: number,
  columns: number,
  rows: number,
  unit: number,
  little: boolean,
): Pick<GridPart, 'lonShift' | 'latShift' | 'accuracyM'> {
  const count = columns * rows;
  const lonShift = new Float32Array(count);
  const latShift = new Float32Array(count);
  const accuracyM = new Float32Array(count);
  const seconds = unit * 3600;
  for (let r = 0; r < rows; r++)
    for (let c = 0; c < columns; c++) {
      const at = start + (r * columns + c) * RECORD;
      const to = r * columns + (columns - 1 - c); // the file runs westwards
      latShift[to] = view.getFloat32(at, little) * seconds;
      lonShift[to] = -view.getFloat32(at + 4, little) * seconds;
      accuracyM[to] = Math.max(view.getFloat32(at + 8, little), view.getFloat32(at + 12, little));
    }
  return { lonShift, latShift, accuracyM };
}

function text(bytes: Uint8Array, at: number): string {
  return new TextDecoder('latin1')
    .decode(bytes.subarray(at, at + 8))
    .replaceAll('\0', ' ')
    .trim();
}
