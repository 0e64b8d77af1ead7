// In: a WKT 1 tree (OGC 01-009, or the ESRI dialect of .prj files); out: what it states. Terms: see stated.ts.

import { simplified } from '../crs-table.js';
import type { Earth, Stated } from '../stated.js';
import { methodKey, parameterReader } from './wkt-parameters.js';
import { child, children, numberAt, textAt, type WktNode } from './wkt-tree.js';

const DEGREE = Math.PI / 180;
const UNIT_TOLERANCE = 1e-7; // relative: texts write the degree to 10 digits or more

/** What a PROJCS or GEOGCS states; undefined for any other node. */
export function statedByWkt1(node: WktNode): Stated | undefined {
  if (node.keyword === 'GEOGCS') {
    const unit = child(node, 'UNIT');
    const angle = { name: textAt(unit, 0), radians: numberAt(unit, 1) };
    return { kind: 'geographic', name: textAt(node, 0), epsg: epsgOf(node), earth: earth(node), angle };
  }
  if (node.keyword !== 'PROJCS') return undefined;
  const geogcs = child(node, 'GEOGCS');
  const metresPerUnit = numberAt(child(node, 'UNIT'), 1);
  return {
    kind: 'projected',
    name: textAt(node, 0),
    epsg: epsgOf(node),
    earth: earth(geogcs),
    metresPerUnit,
    method: textAt(child(node, 'PROJECTION'), 0),
    parameters: parameters(node, geogcs, metresPerUnit),
    axes: children(node, 'AXIS').map((axis) => textAt(axis, 1).toLowerCase()),
    webMercator: isWebMercator(node),
  };
}

function epsgOf(node: WktNode): number {
  const authority = child(node, 'AUTHORITY');
  return textAt(authority, 0).toUpperCase() === 'EPSG' ? Number(textAt(authority, 1)) : Number.NaN;
}

function earth(geogcs: WktNode | undefined): Earth {
  const datum = child(geogcs, 'DATUM');
  const spheroid = child(datum, 'SPHEROID', 'ELLIPSOID');
  const label = textAt(geogcs, 0);
  const shift = child(datum, 'TOWGS84')?.values.map(Number) ?? null;
  const pm = numberAt(child(geogcs, 'PRIMEM'), 1);
  return {
    names: [simplified(textAt(datum, 0)), simplified(label)].filter((name) => name !== ''),
    a: numberAt(spheroid, 1),
    rf: numberAt(spheroid, 2),
    pm: Number.isNaN(pm) ? 0 : pm,
    shift: shift?.every(Number.isFinite) ? shift : null,
    label,
  };
}

/** The mark GDAL sets on Web Mercator, whose own parameters describe an ordinary Mercator. */
function isWebMercator(node: WktNode): boolean {
  return children(node, 'EXTENSION').some((extension) => {
    const text = textAt(extension, 1);
    return /nadgrids=@null/.test(text) && /\+a=6378137 \+b=6378137/.test(text);
  });
}

function parameters(node: WktNode, geogcs: WktNode | undefined, perUnit: number): ReturnType<typeof parameterReader> {
  const angle = numberAt(child(geogcs, 'UNIT'), 1);
  const degrees = Number.isNaN(angle) || Math.abs(angle / DEGREE - 1) < UNIT_TOLERANCE ? 1 : angle / DEGREE;
  const found = new Map<string, number>();
  for (const p of children(node, 'PARAMETER')) {
    const name = methodKey(textAt(p, 0));
    const per = name.startsWith('false') ? perUnit : /scal/.test(name) ? 1 : degrees;
    found.set(name, numberAt(p, 1) * per);
  }
  return parameterReader(found);
}
