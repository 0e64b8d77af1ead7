// In: a text (or a PROJJSON object) that states a system; out: the table's own definition of it, or one composed here.
// Terms: custom = no row of the table has these numbers; stated = see stated.ts. All dialects take the same way:
// text -> tree -> what it states -> canonical parameters -> a row. proj4 never sees a text: it misreads several kinds.

import type { Crs, CrsUnit, Layer } from '../../model/index.js';
import { InputError, METRES_PER } from '../../model/index.js';
import { registered, tableMissing } from '../crs-registry.js';
import { conversion, projectionPart, refusal, rows, unitPart } from '../crs-table.js';
import { crsOfCode } from '../find.js';
import type { Earth, Fail, ReadCrs, Stated, StatedGeographic, StatedProjected } from '../stated.js';
import { meant, meantFor, saysEqual } from '../twins.js';
import { projjsonTree } from './projjson.js';
import { datumsOf, ownDatum } from './wkt-datum.js';
import { type Canonical, COMPOSED, canonical, METHODS, same } from './wkt-methods.js';
import { notANumber } from './wkt-numbers.js';
import { methodKey } from './wkt-parameters.js';
import { child, parseWkt, type WktNode } from './wkt-tree.js';
import { statedByWkt1 } from './wkt1.js';
import { statedByWkt2 } from './wkt2.js';

const CURE = 'name the coordinate system yourself: --crs EPSG:... (or --trees-crs, --works-crs for one layer)';
const DEGREE = Math.PI / 180;
const UNIT_TOLERANCE = 1e-7; // relative; the two feet differ by 2e-6

/**
 * The coordinate system of a text: WKT 1 (OGC, ESRI), WKT 2 (2015, 2019) or PROJJSON, or a PROJJSON object. Its EPSG
 * code is taken when its own numbers agree; else the row of the table with the same projection, numbers, unit and
 * datum; else, for projections that are computed well, a `custom` Crs. Of a compound system the horizontal part.
 *
 * @throws InputError `crs-unreadable` when the text says nothing usable; the cure is to name the system.
 *   `crs-table-missing` where a table that was not registered may have it (see `registerCrs`; not in Node)
 * @example
 * crsFromWkt(prjText, 'lots.shp').code; // 'EPSG:2913'
 */
export function crsFromWkt(text: string | object, layerName: string): Crs {
  return readCrs(text, layerName).crs;
}

/** The same, with a remark about the text. Of systems with the same numbers, the one whose area contains the layer. */
export function readCrs(text: string | object, layerName: string, layer?: Layer): ReadCrs {
  const fail: Fail = (message) => new InputError('crs-unreadable', message, { layer: layerName, cure: CURE });
  const root = treeOf(text, fail);
  if (root.keyword === 'LOCAL_CS' || root.keyword === 'ENGCRS' || root.keyword === 'ENGINEERINGCRS') {
    throw new InputError('crs-unreadable', 'the text states a local system without georeference', {
      layer: layerName,
      cure: 'use --crs local:ft, local:ftUS or local:m',
    });
  }
  const odd = notANumber(root);
  if (odd !== undefined) throw fail(`the text that states the coordinate system cannot be used: ${odd}`);
  const node = root.keyword === 'COMPD_CS' ? (child(root, 'PROJCS', 'GEOGCS') ?? root) : root;
  const stated: Stated | undefined = statedByWkt1(node) ?? statedByWkt2(node, fail);
  if (stated === undefined) throw fail(`the text states a ${root.keyword}, not a projected or geographic system`);
  if (!(stated.earth.a > 6e6) || Number.isNaN(stated.earth.rf)) throw fail('the text names no ellipsoid of the earth');
  const found = stated.kind === 'projected' ? projected(stated, fail, layer) : geographic(stated, fail);
  // A system composed from the text's own numbers has no vetted way to WGS 84. Only the whole table can show that no row
  // fits.
  if (found.crs.code === 'custom' && !registered().complete) throw tableMissing(`"${stated.name}"`, layerName);
  return found;
}

function treeOf(text: string | object, fail: Fail): WktNode {
  if (typeof text === 'object') {
    const tree = projjsonTree(text);
    if (tree === undefined) throw fail('the object that states the coordinate system is not PROJJSON');
    return tree;
  }
  const clean = text.replace(/^\uFEFF/, '').trim();
  if (!clean.startsWith('{')) {
    const tree = parseWkt(clean);
    if (tree === undefined) throw fail('the text that states the coordinate system cannot be read as WKT');
    return tree;
  }
  let value: unknown;
  try {
    value = JSON.parse(clean);
  } catch {
    throw fail('the text that states the coordinate system cannot be read as PROJJSON');
  }
  const tree = projjsonTree(value);
  if (tree === undefined) throw fail('the text that states the coordinate system is not PROJJSON');
  return tree;
}

// ---------------------------------------------------------------- geographic

function geographic(stated: StatedGeographic, fail: Fail): ReadCrs {
  const { angle, earth, name, epsg } = stated;
  if (Math.abs(angle.radians / DEGREE - 1) > UNIT_TOLERANCE && !Number.isNaN(angle.radians))
    throw fail(`its angles are in ${angle.name}; only degrees are read`);
  const datums = datumsOf(earth);
  const codes: number[] = [];
  for (const row of rows().values()) if (row.conversion < 0 && datums.has(row.datum)) codes.push(row.code);
  const known = chosen(codes, stated);
  if (known !== undefined) return known;
  const { part, about } = ownDatum(earth);
  const crs: Crs = {
    code: 'custom',
    name,
    kind: 'geographic',
    unit: 'degree',
    metresPerUnit: Number.NaN,
    areaOfUse: null,
    proj: `+proj=longlat ${part} +no_defs`,
    datum: about,
  };
  return { crs, remark: mismatch(epsg, crs) };
}

/** Of the codes whose numbers agree: the one the text means (see twins.ts), with a word on how it says so. */
function chosen(codes: readonly number[], { name, epsg, kind }: Stated, layer?: Layer): ReadCrs | undefined {
  const first = meant(codes, name, epsg);
  if (first === undefined) return undefined;
  const found = layer === undefined ? first : meantFor(first, layer);
  const remark = codes.includes(epsg) ? '' : mismatch(epsg, found.crs);
  return { crs: found.crs, remark, equals: kind === 'projected' ? saysEqual(found) : '' };
}

/** A remark for a text whose code belongs to other numbers; '' when it gives no known code. */
function mismatch(epsg: number, used: Crs): string {
  const row = Number.isNaN(epsg) ? undefined : crsOfCode(epsg);
  if (row === undefined || row.proj === used.proj) return '';
  const taken =
    used.code === 'custom'
      ? 'its own numbers were used'
      : `its numbers are those of ${used.code} (${used.name}), which was used`;
  return `it gives itself the code EPSG:${epsg} (${row.name}), which disagrees with its own numbers: ${taken}`;
}

// ---------------------------------------------------------------- projected

const WEB_MERCATOR: readonly string[] = ['mercatorauxiliarysphere', 'popularvisualisationpseudomercator'];

function projected(stated: StatedProjected, fail: Fail, layer?: Layer): ReadCrs {
  const { name, epsg, earth, metresPerUnit, method, parameters } = stated;
  const refuse = (why: string): Error =>
    fail(`projection "${method}" of "${name}" cannot be used${why === '' ? '' : `: ${why}`}`);
  if (!(metresPerUnit > 0)) throw fail('the text does not say the unit of its coordinates');
  const key = methodKey(method);
  if (stated.webMercator || WEB_MERCATOR.includes(key)) {
    const web = crsOfCode(3857);
    const shifted = ['centralmeridian', 'falseeasting', 'falsenorthing'].some((n) => (parameters(n) ?? 0) !== 0);
    if (web === undefined || metresPerUnit !== 1 || shifted)
      throw refuse('it is not the one commonly used by web maps');
    return { crs: web, remark: mismatch(epsg, web) };
  }
  const why = refusal(epsg)?.reason ?? '';
  if (oddAxes(stated.axes)) throw refuse(why || `its axes point ${stated.axes.join(' and ')}, not east and north`);
  const wanted = METHODS.get(key)?.(parameters);
  const datums = datumsOf(earth);
  if (wanted === undefined) {
    // A method that is not read, but its code is vetted: the code is used when datum and unit agree with it.
    const row = rows().get(epsg);
    const crs = row !== undefined && datums.has(row.datum) ? crsOfCode(epsg) : undefined;
    if (crs !== undefined && Math.abs(crs.metresPerUnit / metresPerUnit - 1) < UNIT_TOLERANCE)
      return { crs, remark: '' };
    throw refuse(why);
  }
  const [odd] = parameters.unasked();
  if (odd !== undefined) throw refuse(`its parameter "${odd}" is not understood`);
  const codes = codesWith(wanted, metresPerUnit, datums);
  // A method for spheres on an ellipsoid means different things to different makers: only its own code settles it.
  if (key.endsWith('spherical') && earth.rf !== 0 && !codes.includes(epsg))
    throw refuse('the method is for spheres, but the datum is not a sphere');
  const known = chosen(codes, stated, layer);
  if (known !== undefined) return known;
  if (!COMPOSED.has(wanted.projection)) throw refuse(why || 'only systems in the table can be used for this kind');
  const crs = custom(name, wanted, metresPerUnit, earth);
  return { crs, remark: mismatch(epsg, crs) };
}

/** Axes that point west, or one of them south. Two that both point south (or north) are those of a polar system. */
function oddAxes(axes: readonly string[]): boolean {
  return axes.includes('west') || (axes.includes('south') && axes.some((axis) => axis !== 'south'));
}

function codesWith(wanted: Canonical, perUnit: number, datums: ReadonlySet<number>): readonly number[] {
  const fits = new Map<number, boolean>();
  const codes: number[] = [];
  for (const row of rows().values()) {
    if (row.conversion < 0 || !datums.has(row.datum)) continue;
    let fit = fits.get(row.conversion);
    if (fit === undefined) {
      const c = conversion(row.conversion);
      const may = c.projection === wanted.projection && Math.abs(c.metresPerUnit / perUnit - 1) < UNIT_TOLERANCE;
      fit = may && same(canonical(c.projection, c.parameters), wanted);
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

function custom(name: string, c: Canonical, perUnit: number, e: Earth): Crs {
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
    name,
    kind: 'projected',
    unit,
    metresPerUnit,
    areaOfUse: null,
    proj: `${projectionPart(c.projection, parameters)} ${part} ${unitPart(unit, metresPerUnit)} +no_defs`,
    datum: about,
  };
}
