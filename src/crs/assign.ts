// In: layers with their roles, and what the caller says; out: each layer's Crs, why it got that one, and findings.
// Order, first that applies: the layer's own option, the file's own statement, a local ground system by the common option,
// WGS 84 for a GeoJSON whose every coordinate fits degrees (RFC 7946), the common option. Nothing is guessed.

import type { Crs, CrsStatement, GroundScale, Layer, LayerRole, ShiftGrid } from '../model/index.js';
import { type Finding, finding, InputError } from '../model/index.js';
import { type Box, boundsOf, firstOutsideDegrees, fitsDegrees, type OutsideDegrees } from './bounds.js';
import { findCrs } from './find.js';
import type { AssignedLayer, ReadCrs, RoleLayer } from './stated.js';
import { type TableWork, tableWork } from './table-work.js';
export interface CrsOptions {
  readonly crs?: string;
  readonly crsFor?: Readonly<Partial<Record<LayerRole, string>>>;
  readonly grids?: readonly ShiftGrid[];
  /** For layers whose system is given by an option; a system stated by the file counts as grid. */
  readonly ground?: GroundScale;
}

/**
 * The system a file states for itself: WKT (1 or 2) or PROJJSON, the name in a GeoJSON `crs` member, a code.
 *
 * @throws InputError when the statement cannot be used; the layer is named.
 */
export function resolveStatement(statement: CrsStatement, layerName: string): Crs {
  return readStatement(statement, layerName).crs;
}

/** The same, with a remark about the statement ('' when all is well). */
function readStatement(statement: CrsStatement, layerName: string, layer?: Layer): ReadCrs {
  const text = statement.text.replace(/^\uFEFF/, '').trim();
  const code = codeInJson(text) ?? text;
  const isCode = !/[[({+]/.test(code);
  if (!isCode && code.startsWith('+'))
    throw new InputError('crs-unreadable', 'the file states a PROJ string, which is not read', {
      layer: layerName,
      cure: 'name the coordinate system yourself: --crs EPSG:...',
    });
  if (!isCode) return tableWork(`the system that ${layerName} states`, layerName).readCrs(code, layerName, layer);
  try {
    return { crs: findCrs(code), remark: '' };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    throw new InputError(error.code, `the file states it: ${error.message}`, { layer: layerName, cure: error.cure });
  }
}

/** `{"type":"EPSG","properties":{"code":4326}}` and `{"type":"name",...}`, as old GeoJSON writes them. */
function codeInJson(text: string): string | undefined {
  if (!text.startsWith('{')) return undefined;
  try {
    const { properties } = JSON.parse(text) as { properties?: { code?: unknown; name?: unknown } };
    const value = properties?.name ?? properties?.code;
    return typeof value === 'string' || typeof value === 'number' ? String(value) : undefined;
  } catch {
    return undefined;
  }
}

/**
 * Gives every layer its coordinate system.
 *
 * @throws InputError `crs-missing` when nothing says a layer's system; `crs-degrees` when numbers and system cannot
 *   belong together (feet as degrees, degrees as feet); `crs-local-mixed` when some layers are local and some not.
 * @example
 * assignCrs([{ role: 'trees', layer }], { crs: 'EPSG:2913' }).assigned[0]?.crs.unit; // 'ft'
 */
export function assignCrs(
  layers: readonly RoleLayer[],
  options: CrsOptions = {},
): { readonly assigned: readonly AssignedLayer[]; readonly findings: readonly Finding[] } {
  const findings: Finding[] = [];
  const assigned = layers.map((one): AssignedLayer => {
    const choice = choose(one, options);
    const { remark = '' } = choice;
    fitOrThrow(one.layer, choice.crs);
    const { crs, from } = onGrid(choice, one.layer, options);
    if (remark !== '') findings.push(finding('crs-code-mismatch', { layer: one.layer.name }, remark, MISMATCH_CURE));
    const cure = `nothing to do if that is right; otherwise give another with ${optionOf(one.role)}`;
    findings.push(finding('crs-assigned', { layer: one.layer.name }, `${one.role}: ${label(crs)}, ${from}`, cure));
    return { ...one, crs, from };
  });
  if (options.ground !== undefined && !assigned.some((one) => one.crs.ground !== undefined)) throw groundUnused();
  const [grid] = options.grids ?? [];
  if (grid !== undefined) findings.push(...forGrid(grid).gridFindings(assigned, options.grids ?? []));
  const local = assigned.find((one) => one.crs.kind === 'local');
  const placed = assigned.find((one) => one.crs.kind !== 'local');
  if (local !== undefined && placed !== undefined) {
    const message = `${local.layer.name} is in a local ground system and ${placed.layer.name} in ${label(placed.crs)}: they cannot be combined`;
    throw new InputError('crs-local-mixed', message, {
      layer: local.layer.name,
      cure: `name the local system for the other layer too (${optionOf(placed.role)} ${local.crs.code}), or bring both into one system`,
    });
  }
  return { assigned, findings };
}

/** Ground factor and shift grids, where they apply to this layer. */
function onGrid(choice: Choice, layer: Layer, options: CrsOptions): Choice {
  const { ground } = options;
  const scaled = ground !== undefined && choice.byOption === true && choice.crs.kind === 'projected';
  const plain = scaled ? { ...choice.crs, ground } : choice.crs;
  const [grid] = options.grids ?? [];
  const crs = grid === undefined ? plain : forGrid(grid).withGrids(plain, options.grids ?? [], layer);
  if (!scaled) return { ...choice, crs };
  const { factor, east, north } = ground;
  const about = east === 0 && north === 0 ? 'the origin of coordinates' : `${east}, ${north}`;
  return { ...choice, crs, from: `${choice.from}, brought from ground to grid: divided by ${factor} about ${about}` };
}

function forGrid(grid: ShiftGrid): TableWork {
  return tableWork(`the datum of the grid ${grid.name}`, grid.name);
}

function groundUnused(): InputError {
  return new InputError(
    'ground-unused',
    'a ground factor is given, but no layer gets projected coordinates from an option',
    {
      cure: 'with --crs or the option of the layer, name the projected system from which the ground coordinates were scaled; a file that states its own system counts as grid coordinates',
      usage: true,
    },
  );
}

function optionOf(role: LayerRole): string {
  return `--${role}-crs`;
}

function label(crs: Crs): string {
  return crs.code === 'custom' ? `"${crs.name}"` : `${crs.code} (${crs.name})`;
}

const STATED: Readonly<Record<CrsStatement['from'], string>> = {
  prj: 'stated by its .prj',
  'crs-member': 'stated by its crs member',
  file: 'stated by the file',
  rfc7946: 'because it states none and every coordinate fits degrees (RFC 7946)',
};

const MISMATCH_CURE =
  'ask the maker of the file which of the two is right; if it is the code, give it with --crs or the option of the layer';

interface Choice {
  readonly crs: Crs;
  readonly from: string;
  readonly remark?: string;
  readonly byOption?: boolean;
}

/** What a file states. Where it can't be used, the cure names the option that overrides the file. */
function statedFor(role: LayerRole, layer: Layer, statement: CrsStatement): ReadCrs {
  try {
    return readStatement(statement, layer.name, layer);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const cure = error.cure
      .replace(' (or --trees-crs, --works-crs for one layer)', '')
      .replaceAll(/--crs\b/g, optionOf(role));
    throw new InputError(error.code, error.message, { layer: layer.name, cure, usage: error.usage });
  }
}

function choose({ role, layer }: RoleLayer, options: CrsOptions): Choice {
  const own = options.crsFor?.[role];
  if (own !== undefined) {
    const crs = findCrs(own);
    return { crs, from: `by ${optionOf(role)}${overridden(layer, crs)}`, byOption: true };
  }
  // Small offsets on a site fit degrees too. A user who names a local system has said what the numbers are.
  const states = layer.crs !== null && layer.crs.from !== 'rfc7946';
  if (!states && options.crs !== undefined && findCrs(options.crs).kind === 'local') {
    return {
      crs: findCrs(options.crs),
      from: 'by --crs: a local ground system applies to every layer that states no system',
      byOption: true,
    };
  }
  if (layer.crs !== null) {
    const { crs, remark, equals = '' } = statedFor(role, layer, layer.crs);
    const common = options.crs === undefined ? undefined : findCrs(options.crs);
    const passed =
      common === undefined || common.code === crs.code ? '' : `; --crs ${common.code} is for layers that state none`;
    return { crs, from: `${STATED[layer.crs.from]}${equals}${passed}`, remark };
  }
  const stray = strayIn(layer);
  // These few are rejected one by one when the layer is checked; the rest of the file is used.
  if (stray !== null) return { crs: findCrs('OGC:CRS84'), from: `because it states none and ${strayWords(stray)}` };
  if (options.crs !== undefined) return { crs: findCrs(options.crs), from: 'by --crs', byOption: true };
  const box = boundsOf(layer.geometry.xy);
  const range =
    box === null
      ? 'it holds no coordinates'
      : `its coordinates run from ${pair(box[0], box[1])} to ${pair(box[2], box[3])}`;
  throw new InputError('crs-missing', `nothing says the coordinate system of ${layer.name}; ${range}`, {
    layer: layer.name,
    cure: `give it with --crs EPSG:... or ${optionOf(role)} EPSG:... (State Plane, UTM or the like), or --crs local:ft for a local ground system`,
  });
}

/** Vertices outside degrees in a GeoJSON that otherwise holds longitude, latitude; null for any other file. */
function strayIn(layer: Layer): OutsideDegrees | null {
  if (layer.format !== 'geojson' && layer.format !== 'geojsonseq') return null;
  const stray = firstOutsideDegrees(layer);
  return stray === null || stray.outside * 2 >= stray.vertices ? null : stray;
}

function strayWords({ feature, position, outside, vertices }: OutsideDegrees): string {
  return `all but ${outside} of ${vertices} positions fit degrees (RFC 7946); the first that does not: feature ${feature}, ${pair(...position)}`;
}

/** What the option overrides, when the file says something else or something unreadable. */
function overridden(layer: Layer, crs: Crs): string {
  if (layer.crs === null || layer.crs.from === 'rfc7946') return '';
  try {
    const stated = resolveStatement(layer.crs, layer.name);
    if (stated.code === crs.code && stated.proj === crs.proj) return '';
    return `, although the file itself states ${label(stated)}`;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return `, although the file states one that cannot be used`;
  }
}

function pair(x: number, y: number): string {
  return `${Number(x.toFixed(6))}, ${Number(y.toFixed(6))}`;
}

/** Numbers that cannot belong to the system: feet read as degrees, degrees read as feet. */
function fitOrThrow(layer: Layer, crs: Crs): void {
  const box: Box | null = boundsOf(layer.geometry.xy);
  if (box === null || crs.kind === 'local') return;
  const range = `${pair(box[0], box[1])} to ${pair(box[2], box[3])}`;
  if (crs.kind === 'geographic' && Math.max(...box.map(Math.abs)) > 360) {
    const stray = firstOutsideDegrees(layer);
    if (stray !== null && stray.outside * 2 < stray.vertices) return; // each is rejected by itself
    throw new InputError(
      'crs-degrees',
      `${layer.name} is said to be in degrees (${label(crs)}), but its coordinates run from ${range}: they look like feet or metres`,
      { layer: layer.name, cure: 'name the projected system they are in, e.g. --crs EPSG:2913' },
    );
  }
  if (crs.kind === 'projected' && fitsDegrees(box)) {
    throw new InputError(
      'crs-degrees',
      `${layer.name} is said to be in ${label(crs)}, but its coordinates run from ${range}: these look like longitude, latitude`,
      {
        layer: layer.name,
        cure: 'name a system in degrees, e.g. EPSG:4326, or local:ft if they are offsets on the ground',
      },
    );
  }
}
