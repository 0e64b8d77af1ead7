// Cells of a notebook -> figures. In: text as a person writes it; out: metres, radians, or a Slip that says what is wrong.
// Terms: slip = a cell that can't be read as what its column holds; feet and inches = 34' 6", 34-6, 34-6 1/2.

import { type LengthUnit, lengthInMetres, METRES_PER, UNIT_WORDS } from '../model/index.js';

/** A cell that can't be read. */
export class Slip {
  readonly message: string;
  readonly cure: string;
  constructor(message: string, cure: string) {
    this.message = message;
    this.cure = cure;
  }
}

export interface Length {
  readonly metres: number;
  readonly unit: LengthUnit;
}

const RAD = Math.PI / 180;
const NUMBER = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)$/;
const FEET_DASH = /^\s*(\d+)-(\d+(?:\.\d+)?)(?:[ -](\d+)\/(\d+))?\s*"?\s*$/;
const FOOT_WORDS = /['′’]|\b(?:ft|feet|foot)\b/i;
const METRIC: readonly LengthUnit[] = ['m', 'cm', 'mm'];
const LONGEST = 64;

/**
 * A length in a column of this unit; null: the column says none, and each cell has to.
 *
 * @example
 * lengthOf(`34' 6"`, 'ft'); // { metres: 10.5156, unit: 'ft' }
 */
export function lengthOf(cell: string, unit: LengthUnit | null): Length | Slip {
  const text = cell.trim();
  if (text.length > LONGEST) return notLength(`${text.slice(0, LONGEST)}...`);
  if (NUMBER.test(text)) {
    if (unit === null) {
      return new Slip(
        `${JSON.stringify(text)} does not say its unit`,
        'name the column with its unit (distance_ft, distance_m), or write 34.5 ft',
      );
    }
    return { metres: Number(text) * METRES_PER[unit], unit };
  }
  const dashed = FEET_DASH.exec(text);
  const metres = dashed === null ? lengthInMetres(text) : dashedFeet(dashed);
  if (metres === undefined) return notLength(text);
  const isFeet = dashed !== null || FOOT_WORDS.test(text) || /["″”]|\bin(?:ch(?:es)?)?\.?$/i.test(text);
  const said: LengthUnit = isFeet ? 'ft' : 'm';
  if (unit !== null && METRIC.includes(unit) === isFeet) {
    return new Slip(
      `${JSON.stringify(text)} is in ${UNIT_WORDS[said]}, and its column is in ${UNIT_WORDS[unit]}`,
      `write it in ${UNIT_WORDS[unit]}, or move it to a column of its own unit`,
    );
  }
  return { metres, unit: unit ?? said };
}

function dashedFeet([, feet, inches, part = '0', of = '1']: RegExpExecArray): number | undefined {
  const all = Number(inches) + Number(part) / Number(of);
  return all < 12 ? Number(feet) * METRES_PER.ft + all * METRES_PER.in : undefined; // 34-14 is a slip of the pen
}

function notLength(text: string): Slip {
  return new Slip(
    `${JSON.stringify(text)} is not a length`,
    'write a plain number, or feet and inches as 34\' 6" or 34-6',
  );
}

const ANGLE =
  /^([+-]?)(\d{1,3}(?:\.\d+)?)(?:\s*(?:[-°:]|d(?:eg)?)\s*(\d{1,2}(?:\.\d+)?)(?:\s*[-'′:]\s*(\d{1,2}(?:\.\d+)?)?\s*["″]?)?)?\s*(?:°|deg)?$/i;

/** Degrees, or degrees, minutes and seconds (45.5, 45-30, 45-30-15, 45°30'15") in radians; undefined when it is none. */
export function angleOf(cell: string): number | undefined {
  const text = cell.trim();
  const match = text.length > LONGEST ? null : ANGLE.exec(text);
  if (match === null) return undefined;
  const [, sign, d, m = '0', s = '0'] = match;
  if (Number(m) >= 60 || Number(s) >= 60 || Number(d) > 360) return undefined;
  return (sign === '-' ? -1 : 1) * (Number(d) + Number(m) / 60 + Number(s) / 3600) * RAD;
}

const QUADRANT = /^\s*([NS])\s*(.+?)\s*([EW])\s*$/i;

/**
 * A bearing in radians clockwise: N45-30E, S 10°15' W, or an azimuth of 0 to 360 degrees.
 *
 * @example
 * bearingOf('S30E'); // 150 degrees, in radians
 */
export function bearingOf(cell: string): number | Slip {
  const quadrant = QUADRANT.exec(cell.slice(0, LONGEST));
  const angle = angleOf(quadrant?.[2] ?? cell);
  const most = quadrant === null ? 2 * Math.PI : Math.PI / 2;
  if (angle === undefined || angle < 0 || angle > most + 1e-12) {
    return new Slip(
      `${JSON.stringify(cell.trim().slice(0, LONGEST))} is not a bearing`,
      'write N45-30E (an angle of 0 to 90 from north or south), or degrees clockwise from north, 0 to 360',
    );
  }
  if (quadrant === null) return angle;
  const [, ns, , ew] = quadrant;
  const north = ns!.toUpperCase() === 'N';
  const east = ew!.toUpperCase() === 'E';
  if (north) return east ? angle : 2 * Math.PI - angle;
  return east ? Math.PI - angle : Math.PI + angle;
}

/** The share of a distance on a slope that is level: of `8%` or `4.5deg`. */
export function levelShare(cell: string): number | Slip {
  const match = /^\s*[+-]?(\d+(?:\.\d+)?)\s*(%|°|deg)\s*$/i.exec(cell.slice(0, LONGEST));
  const size = Number(match?.[1]);
  if (match === null || (match[2] !== '%' && size >= 80) || size > 500) {
    return new Slip(`${JSON.stringify(cell.trim().slice(0, LONGEST))} is not a slope`, 'write 8% or 4.5deg');
  }
  return match[2] === '%' ? 1 / Math.hypot(1, size / 100) : Math.cos(size * RAD);
}

/** The turn at a corner, right positive: right, left, or degrees. */
export function turnOf(cell: string): number | Slip {
  const text = cell.trim().toLowerCase();
  if (text === 'right' || text === 'r') return Math.PI / 2;
  if (text === 'left' || text === 'l') return -Math.PI / 2;
  const side = /^(.*?)\s*(left|right|l|r)$/.exec(text);
  const angle = angleOf(side?.[1] ?? text);
  if (angle === undefined || Math.abs(angle) >= Math.PI) {
    return new Slip(
      `${JSON.stringify(text.slice(0, LONGEST))} is not a turn`,
      'write right, left, or the degrees by which the way turns: 45, -45, 45 left',
    );
  }
  return side !== null && side[2]!.startsWith('l') ? -angle : angle;
}

export function sideOf(cell: string): boolean | Slip {
  const text = cell.trim().toLowerCase();
  if (text === 'left' || text === 'l') return true;
  if (text === 'right' || text === 'r') return false;
  return new Slip(
    `${JSON.stringify(cell.trim().slice(0, LONGEST))} is no side`,
    'write left or right, as seen along the line',
  );
}

/** The height of a tree by clinometer: the level distance times the tangents of the angles up to its top and down to its foot. */
export function clinoHeight(distanceM: number, up: number, down: number): number {
  return distanceM * (Math.tan(up) + Math.tan(down));
}

/** The angle of a clinometer: degrees, or percent. */
export function clinoAngle(cell: string): number | undefined {
  const percent = /^\s*([+-]?\d+(?:\.\d+)?)\s*%\s*$/.exec(cell.slice(0, LONGEST));
  const angle = percent === null ? angleOf(cell) : Math.atan(Number(percent[1]) / 100);
  return angle !== undefined && Math.abs(angle) < 89 * RAD ? angle : undefined;
}
