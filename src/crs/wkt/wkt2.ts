// In: a WKT 2 tree (ISO 19162, 2015 or 2019; PROJJSON comes as one too); out: what it states. Terms: see stated.ts.
// bound = a system with a shift to WGS 84 attached; compound = a horizontal and a vertical system.

import { simplified } from '../crs-table.js';
import type { Earth, Fail, Stated } from '../stated.js';
import { methodKey, parameterKey, parameterReader } from './wkt-parameters.js';
import { child, children, numberAt, textAt, type WktNode } from './wkt-tree.js';

const DEGREE = Math.PI / 180;
const UNIT_TOLERANCE = 1e-7; // relative: texts write the degree to 10 digits or more

const PROJECTED = ['PROJCRS', 'PROJECTEDCRS'] as const;
const GEOGRAPHIC = ['GEOGCRS', 'GEOGRAPHICCRS', 'GEODCRS', 'GEODETICCRS'] as const;
const HORIZONTAL = [...PROJECTED, ...GEOGRAPHIC, 'BOUNDCRS', 'DERIVEDPROJCRS', 'DERIVEDGEOGCRS'] as const;
const BASES = ['BASEGEOGCRS', 'BASEGEODCRS'] as const;

const isOne = (names: readonly string[], keyword: string): boolean => names.includes(keyword);

/**
 * What a WKT 2 node states; undefined when it does not describe positions.
 *
 * @throws what `fail` makes, for derived and geocentric systems.
 */
export function statedByWkt2(
  node: WktNode,
  fail: Fail,
  shift: readonly number[] | null = null,
  depth: number = 0,
): Stated | undefined {
  if (depth > 4) return undefined;
  if (node.keyword === 'COMPOUNDCRS') {
    const part = child(node, ...HORIZONTAL);
    return part === undefined ? undefined : statedByWkt2(part, fail, shift, depth + 1);
  }
  if (node.keyword === 'BOUNDCRS') {
    const source = child(child(node, 'SOURCECRS'), ...HORIZONTAL, 'COMPOUNDCRS');
    return source === undefined ? undefined : statedByWkt2(source, fail, shiftOf(node), depth + 1);
  }
  if (isDerived(node)) throw fail(`it is derived from another system ("${textAt(node, 0)}"), which is not read`);
  if (isOne(GEOGRAPHIC, node.keyword)) return geographic(node, fail, shift);
  return isOne(PROJECTED, node.keyword) ? projected(node, shift) : undefined;
}

function isDerived(node: WktNode): boolean {
  if (node.keyword.startsWith('DERIVED') || child(node, 'DERIVINGCONVERSION') !== undefined) return true;
  const base = child(node, ...BASES);
  if (isOne(GEOGRAPHIC, node.keyword)) return base !== undefined || child(node, 'CONVERSION') !== undefined;
  return child(base, 'DERIVINGCONVERSION', ...BASES) !== undefined;
}

function geographic(node: WktNode, fail: Fail, shift: readonly number[] | null): Stated {
  const system = textAt(child(node, 'CS'), 0).toLowerCase();
  if (system === 'cartesian' || system === 'spherical')
    throw fail(`"${textAt(node, 0)}" is geocentric (${system} coordinates), which is not read`);
  const unit = child(node, 'ANGLEUNIT', 'UNIT') ?? child(child(node, 'AXIS'), 'ANGLEUNIT', 'UNIT');
  const angle = { name: textAt(unit, 0), radians: numberAt(unit, 1) };
  return { kind: 'geographic', name: textAt(node, 0), epsg: epsgOf(node), earth: earth(node, shift), angle };
}

function projected(node: WktNode, shift: readonly number[] | null): Stated {
  const conversion = child(node, 'CONVERSION');
  const base = child(node, ...BASES);
  const unit = child(node, 'LENGTHUNIT', 'UNIT') ?? child(child(node, 'AXIS'), 'LENGTHUNIT', 'UNIT');
  const metresPerUnit = numberAt(unit, 1);
  return {
    kind: 'projected',
    name: textAt(node, 0),
    epsg: epsgOf(node),
    earth: earth(base, shift),
    metresPerUnit,
    method: textAt(child(conversion, 'METHOD', 'PROJECTION'), 0),
    parameters: parameters(conversion, base, metresPerUnit),
    axes: children(node, 'AXIS').map((axis) => textAt(axis, 1).toLowerCase()),
    webMercator: false,
  };
}

function epsgOf(node: WktNode): number {
  const id = children(node, 'ID').find((one) => textAt(one, 0).toUpperCase() === 'EPSG');
  return id === undefined ? Number.NaN : Number(textAt(id, 1));
}

/** Datum or ensemble of a geographic system or of a base, under either of the base's two keywords. */
function earth(node: WktNode | undefined, shift: readonly number[] | null): Earth {
  const datum = child(node, 'DATUM', 'GEODETICDATUM', 'TRF', 'ENSEMBLE');
  const ellipsoid = child(datum, 'ELLIPSOID', 'SPHEROID');
  const length = numberAt(child(ellipsoid, 'LENGTHUNIT', 'UNIT'), 1);
  const meridian = child(node, 'PRIMEM', 'PRIMEMERIDIAN') ?? child(datum, 'PRIMEM', 'PRIMEMERIDIAN');
  const pm = numberAt(meridian, 1) * degreesIn(child(meridian, 'ANGLEUNIT', 'UNIT'));
  const label = textAt(node, 0);
  return {
    names: [simplified(textAt(datum, 0)), simplified(label)].filter((name) => name !== ''),
    a: numberAt(ellipsoid, 1) * (Number.isNaN(length) ? 1 : length),
    rf: numberAt(ellipsoid, 2),
    pm: Number.isNaN(pm) ? 0 : pm,
    shift,
    label,
  };
}

/** Degrees in one of a unit; a degree written to ten digits is a degree. */
function degreesIn(unit: WktNode | undefined): number {
  const factor = numberAt(unit, 1) / DEGREE;
  return Number.isNaN(factor) || Math.abs(factor - 1) < UNIT_TOLERANCE ? 1 : factor;
}

function parameters(
  conversion: WktNode | undefined,
  base: WktNode | undefined,
  perUnit: number,
): ReturnType<typeof parameterReader> {
  const baseUnit = child(base, 'ANGLEUNIT', 'UNIT');
  const found = new Map<string, number>();
  for (const p of children(conversion, 'PARAMETER')) {
    const id = children(p, 'ID').find((one) => textAt(one, 0).toUpperCase() === 'EPSG');
    const name = parameterKey(textAt(p, 0), Number(textAt(id, 1)));
    const unit = child(p, 'LENGTHUNIT', 'ANGLEUNIT', 'SCALEUNIT', 'UNIT');
    const factor = numberAt(unit, 1);
    const scale = /scal/.test(name);
    const per = name.startsWith('false')
      ? Number.isNaN(factor)
        ? perUnit
        : factor
      : scale
        ? Number.isNaN(factor)
          ? 1
          : factor
        : degreesIn(unit ?? baseUnit);
    found.set(name, numberAt(p, 1) * per);
  }
  return parameterReader(found);
}

const SECOND = DEGREE / 3600;
const SHIFT_NAMES: readonly (readonly [name: string, code: number, per: number])[] = [
  ['xaxistranslation', 8605, 1],
  ['yaxistranslation', 8606, 1],
  ['zaxistranslation', 8607, 1],
  ['xaxisrotation', 8608, SECOND],
  ['yaxisrotation', 8609, SECOND],
  ['zaxisrotation', 8610, SECOND],
  ['scaledifference', 8611, 1e-6],
];

/** The seven values of a bound system's transformation, if it is one of translations and rotations to WGS 84. */
function shiftOf(bound: WktNode): readonly number[] | null {
  const transformation = child(bound, 'ABRIDGEDTRANSFORMATION');
  const method = methodKey(textAt(child(transformation, 'METHOD'), 0));
  const target = child(child(bound, 'TARGETCRS'), ...GEOGRAPHIC);
  if (
    !/wgs ?84|world geodetic system 1984/i.test(`${textAt(target, 0)} ${textAt(child(target, 'DATUM', 'ENSEMBLE'), 0)}`)
  )
    return null;
  const turn = method.startsWith('positionvector') ? 1 : method.startsWith('coordinateframe') ? -1 : 0;
  if (turn === 0 && !method.startsWith('geocentrictranslation')) return null;
  const given = children(transformation, 'PARAMETER');
  const values = SHIFT_NAMES.map(([name, code, usual], i) => {
    const p = given.find(
      (one) => methodKey(textAt(one, 0)) === name || children(one, 'ID').some((id) => Number(textAt(id, 1)) === code),
    );
    if (p === undefined) return i < 3 ? Number.NaN : 0;
    const factor = numberAt(child(p, 'LENGTHUNIT', 'ANGLEUNIT', 'SCALEUNIT', 'UNIT'), 1);
    // A scale difference without a unit of its own is written as the scale itself (ISO 19162, 11.4.5): 1 + ppm.
    if (i === 6 && Number.isNaN(factor)) return Math.round((numberAt(p, 1) - 1) * 1e15) / 1e9;
    const sign = i >= 3 && i < 6 ? turn : 1;
    return sign * numberAt(p, 1) * (Number.isNaN(factor) ? 1 : factor / usual) + 0;
  });
  return values.every(Number.isFinite) ? values : null;
}
