// In: the text of a .prj (OGC or ESRI WKT1); out: the table's own definition of that system, or one composed here.
// Terms: custom = no row of the table has these numbers; proj4 never sees WKT (it misreads several kinds in silence).

import { InputError } from '../findings.js';
import type { Crs, CrsUnit } from '../types.js';
import { METRES_PER } from '../units.js';
import {
  conversion,
  type DatumRow,
  datumCount,
  datumPart,
  datumRow,
  projectionPart,
  refusal,
  rowName,
  rows,
  simplified,
  unitPart,
} from './crs-table.js';
import { crsOfCode } from './find.js';
import { projection } from './transform.js';
import { type Canonical, canonical, METHODS, methodKey, same, type WktParameters } from './wkt-methods.js';
import { child, children, numberAt, parseWkt, textAt, type WktNode } from './wkt-tree.js';

const CURE = 'name the coordinate system yourself: --crs EPSG:... (or --trees-crs, --works-crs for one layer)';
const DEGREE = Math.PI / 180;
const UNIT_TOLERANCE = 1e-7; // relative; the two feet differ by 2e-6

const WKT2 =
  /^(PROJCRS|PROJECTEDCRS|GEOGCRS|GEOGRAPHICCRS|GEODCRS|GEODETICCRS|COMPOUNDCRS|BOUNDCRS|ENGCRS|ENGINEERINGCRS)$/;

/**
 * The coordinate system of a .prj text. Its EPSG code is taken when its own numbers agree; else the row of the table
 * with the same projection, numbers, unit and datum; else, for projections that are computed well, a `custom` Crs.
 *
 * @throws InputError `crs-unreadable` when the text says nothing usable; the cure is to name the system.
 * @example
 * crsFromWkt(prjText, 'lots.shp').code; // 'EPSG:2913'
 */
export function crsFromWkt(text: string, layerName: string): Crs {
  const fail = (message: string): InputError =>
    new InputError('crs-unreadable', message, { layer: layerName, cure: CURE });
  const clean = text.replace(/^\uFEFF/, '').trim();
  if (clean.startsWith('{')) throw fail('the coordinate system is stated as PROJJSON, which is not read yet');
  const root = parseWkt(clean);
  if (root === undefined) throw fail('the text that states the coordinate system can not be read as WKT');
  if (WKT2.test(root.keyword))
    throw fail(`the coordinate system is stated in WKT 2 (${root.keyword}), which is not read yet`);
  const node = root.keyword === 'COMPD_CS' ? child(root, 'PROJCS', 'GEOGCS') : root;
  if (node?.keyword === 'PROJCS') return projected(node, clean, fail);
  if (node?.keyword === 'GEOGCS') return geographic(node, fail);
  if (root.keyword === 'LOCAL_CS' || root.keyword === 'ENGCS') {
    const message = 'the text states a local system without georeference';
    throw new InputError('crs-unreadable', message, {
      layer: layerName,
      cure: 'use --crs local:ft, local:ftUS or local:m',
    });
  }
  throw fail(`the text states a ${root.keyword}, not a projected or geographic system`);
}

// ---------------------------------------------------------------- datum

interface Earth {
  readonly names: readonly string[];
  readonly a: number;
  readonly rf: number;
  readonly pm: number; // degrees
  readonly shift: readonly number[] | null;
  readonly label: string;
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

const ensembleless = (name: string): string => name.replace(/ensemble$/, '');

function sameDatum(row: DatumRow, e: Earth): boolean {
  const own = [simplified(row.name), ...row.otherNames.map(ensembleless)];
  return e.names.some((name) => own.includes(ensembleless(name))) && sameEllipsoid(row, e);
}

/** Half-axes within a centimetre: texts round them. The sphere of Web Mercator stands for its ellipsoid. */
function sameEllipsoid(row: DatumRow, e: Earth): boolean {
  const p = projection(`+proj=longlat ${datumPart(row)}`);
  const sphere = p.es < 1e-12;
  const b = e.rf === 0 ? e.a : e.a * (1 - 1 / e.rf);
  const pm = (p.from_greenwich ?? 0) / DEGREE;
  if (Math.abs(pm - e.pm) > 1e-5) return false;
  return Math.abs(p.a - e.a) < 0.01 && (sphere || Math.abs(p.a * Math.sqrt(1 - p.es) - b) < 0.01);
}

function datumsOf(e: Earth): ReadonlySet<number> {
  const found = new Set<number>();
  for (let i = 0; i < datumCount(); i++) if (sameDatum(datumRow(i), e)) found.add(i);
  return found;
}

/** The datum part for a system composed here. */
function ownDatum(e: Earth): { readonly part: string; readonly about: Crs['datum'] } {
  const known = [...datumsOf(e)].map(datumRow)[0];
  if (known !== undefined) {
    const { name, operation, accuracyM } = known;
    return { part: datumPart(known), about: { name, operation, accuracyM } };
  }
  const ellipsoid = `+a=${e.a} ${e.rf === 0 ? `+b=${e.a}` : `+rf=${e.rf}`}`;
  const stated = e.shift?.some((v) => v !== 0) ? e.shift.join(',') : '';
  const operation = stated === '' ? 'unknown: taken as WGS 84' : 'shift stated by the file (TOWGS84)';
  const pm = e.pm === 0 ? '' : String(e.pm);
  return {
    part: datumPart({ ellipsoid, pm, shift: stated }),
    about: { name: e.label || 'unnamed datum', operation, accuracyM: null },
  };
}

// ---------------------------------------------------------------- geographic

function geographic(node: WktNode, fail: (message: string) => InputError): Crs {
  const unit = numberAt(child(node, 'UNIT'), 1);
  if (Math.abs(unit / DEGREE - 1) > UNIT_TOLERANCE && !Number.isNaN(unit))
    throw fail(`its angles are in ${textAt(child(node, 'UNIT'), 0)}; only degrees are read`);
  const e = earth(node);
  if (!(e.a > 6e6) || Number.isNaN(e.rf)) throw fail('the text names no ellipsoid');
  const datums = datumsOf(e);
  const codes: number[] = [];
  for (const row of rows().values()) if (row.conversion < 0 && datums.has(row.datum)) codes.push(row.code);
  const stated = Number(textAt(child(node, 'AUTHORITY'), 1));
  const code = codes.includes(stated) ? stated : best(codes, textAt(node, 0));
  const known = code === undefined ? undefined : crsOfCode(code);
  if (known !== undefined) return known;
  const { part, about } = ownDatum(e);
  return {
    code: 'custom',
    name: textAt(node, 0),
    kind: 'geographic',
    unit: 'degree',
    metresPerUnit: Number.NaN,
    areaOfUse: null,
    proj: `+proj=longlat ${part} +no_defs`,
    datum: about,
  };
}

/** Of codes with the same numbers: a living one before a deprecated one, one of the same name, the lowest. */
function best(codes: readonly number[], name: string): number | undefined {
  const wanted = simplified(name);
  const rank = (code: number): number => {
    const row = rows().get(code);
    if (row === undefined) return 9;
    return (row.deprecated ? 2 : 0) + (simplified(rowName(row)) === wanted ? 0 : 1);
  };
  return [...codes].sort((a, b) => rank(a) - rank(b) || a - b)[0];
}

// ---------------------------------------------------------------- projected

function projected(node: WktNode, text: string, fail: (message: string) => InputError): Crs {
  const unitNode = child(node, 'UNIT');
  const perUnit = numberAt(unitNode, 1);
  if (!(perUnit > 0)) throw fail('the text does not say the unit of its coordinates');
  const method = textAt(child(node, 'PROJECTION'), 0);
  const key = methodKey(method);
  if (isWebMercator(key, node, text)) {
    const web = crsOfCode(3857);
    if (web !== undefined && perUnit === 1) return web;
  }
  const geogcs = child(node, 'GEOGCS');
  const e = earth(geogcs);
  if (!(e.a > 6e6) || Number.isNaN(e.rf)) throw fail('the text names no ellipsoid');
  const authority = child(node, 'AUTHORITY');
  const stated = textAt(authority, 0).toUpperCase() === 'EPSG' ? Number(textAt(authority, 1)) : Number.NaN;
  const wanted = METHODS.get(key)?.(parametersOf(node, geogcs, perUnit));
  if (wanted === undefined) {
    const row = Number.isNaN(stated) ? undefined : crsOfCode(stated);
    if (row !== undefined) return row; // a method we do not read, but its code is vetted (Krovak, for instance)
    const why = refusal(stated);
    throw fail(`projection "${method}" of "${textAt(node, 0)}" can not be used${why ? `: ${why.reason}` : ''}`);
  }

  const datums = datumsOf(e);
  const codes = codesWith(wanted, perUnit, datums);
  if (codes.includes(stated)) return crsOfCode(stated) ?? custom(node, wanted, perUnit, e, '');
  const code = best(codes, textAt(node, 0));
  const known = code === undefined ? undefined : crsOfCode(code);
  if (known !== undefined) return known;
  const odd =
    Number.isNaN(stated) || crsOfCode(stated) === undefined
      ? ''
      : ` (its code EPSG:${stated} disagrees with its own numbers, which were used)`;
  return custom(node, wanted, perUnit, e, odd);
}

function isWebMercator(key: string, node: WktNode, text: string): boolean {
  if (key === 'mercatorauxiliarysphere' || key === 'popularvisualisationpseudomercator') return true;
  return children(node, 'EXTENSION').length > 0 && /nadgrids=@null/.test(text) && /\+a=6378137 \+b=6378137/.test(text);
}

/** Parameters by simplified name: lengths in metres, angles in degrees, whatever the text's units. */
function parametersOf(node: WktNode, geogcs: WktNode | undefined, perUnit: number): WktParameters {
  const angle = numberAt(child(geogcs, 'UNIT'), 1);
  const degrees = Number.isNaN(angle) ? 1 : Math.abs(angle / DEGREE - 1) < UNIT_TOLERANCE ? 1 : angle / DEGREE;
  const found = new Map<string, number>();
  for (const p of children(node, 'PARAMETER')) {
    const name = methodKey(textAt(p, 0));
    const value = numberAt(p, 1);
    const per = name.startsWith('false') ? perUnit : name.startsWith('scale') ? 1 : degrees;
    found.set(name, value * per);
  }
  return (...names) => {
    for (const name of names) {
      const value = found.get(name);
      if (value !== undefined && !Number.isNaN(value)) return value;
    }
    return undefined;
  };
}

function codesWith(wanted: Canonical, perUnit: number, datums: ReadonlySet<number>): readonly number[] {
  const fits = new Map<number, boolean>();
  const codes: number[] = [];
  for (const row of rows().values()) {
    if (row.conversion < 0 || !datums.has(row.datum)) continue;
    let fit = fits.get(row.conversion);
    if (fit === undefined) {
      const c = conversion(row.conversion);
      const unitFits = Math.abs(c.metresPerUnit / perUnit - 1) < UNIT_TOLERANCE;
      fit = unitFits && same(canonical(c.projection, c.parameters), wanted);
      fits.set(row.conversion, fit);
    }
    if (fit) codes.push(row.code);
  }
  return codes;
}

function unitOf(perUnit: number): { readonly unit: CrsUnit; readonly metresPerUnit: number } {
  for (const unit of ['m', 'ft', 'ftUS'] as const)
    if (Math.abs(METRES_PER[unit] / perUnit - 1) < UNIT_TOLERANCE) return { unit, metresPerUnit: METRES_PER[unit] };
  return { unit: 'other', metresPerUnit: perUnit };
}

function custom(node: WktNode, c: Canonical, perUnit: number, e: Earth, remark: string): Crs {
  const { unit, metresPerUnit } = unitOf(perUnit);
  const parameters = new Map(c.parameters);
  if (c.projection === 'somerc' || c.projection === 'lcc') {
    const k = parameters.get('k') ?? 1;
    parameters.delete('k');
    parameters.set('k_0', k);
  }
  if (c.projection === 'stere' && Math.abs(parameters.get('lat_ts') ?? 0) === 90) parameters.delete('lat_ts');
  if (c.projection === 'merc' && parameters.get('lat_ts') === 0) parameters.delete('lat_ts');
  else if (c.projection === 'merc') parameters.delete('k');
  if (c.flag !== '') parameters.set(c.flag, Number.NaN);
  const { part, about } = ownDatum(e);
  return {
    code: 'custom',
    name: `${textAt(node, 0)}${remark}`,
    kind: 'projected',
    unit,
    metresPerUnit,
    areaOfUse: null,
    proj: `${projectionPart(c.projection, parameters)} ${part} ${unitPart(unit, metresPerUnit)} +no_defs`,
    datum: about,
  };
}
