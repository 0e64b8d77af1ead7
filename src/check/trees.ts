// The tree layer: in: a Layer and the field options; out: a TreeTable with every feature of it, and findings.
// Terms: row = feature in input order; zone override = a radius the surveyor or arborist gives; note = a reason code
// on a row that is still assessed.

import { twins } from '../geometry/index.js';
import type { Finding, GroupTable, Layer, Names, TreeTable } from '../model/index.js';
import { LengthColumn, textOf } from './columns.js';
import { CrownSpread } from './crown-spread.js';
import { type DiameterColumns, DiameterReader } from './diameter.js';
import { diameterFieldMissing } from './field-errors.js';
import { TREE_FIELDS, type TreeField } from './field-table.js';
import { type FieldOptions, resolveFields, type Sources } from './fields.js';
import { groupsOf } from './groups.js';
import { Keys } from './keys.js';
import { Reporter, type UnknownWord } from './reporter.js';
import { isOnEarth, LARGEST_COORDINATE } from './ring-buffer.js';
import { askForLayer } from './several.js';
import { type SurveyAge, tellOldSurvey } from './survey-date.js';
import { wordReaders } from './tree-words.js';
import { readWorth, shownFigure } from './tree-worth.js';
import type { ValueOptions } from './words/index.js';

/** Two trees nearer than this are one place: 1e-6 of a metre or foot; in degrees 1e-8, about a millimetre. */
const SAME_PLACE = 1e-6;
const SAME_PLACE_DEGREES = 1e-8;

const SIZE_FIELDS: readonly TreeField[] = ['dbh', 'stems', 'girth', 'zone_radius'];

/**
 * Checks a tree layer. Every feature becomes a row; rows that can't be assessed carry reasons in `rejected`
 * (`no-geometry`, `geometry-broken`, `geometry-type`, `several-points`, `dbh-missing`, `dbh-absurd`).
 * Lengths come out in metres, positions in the layer's own coordinates. An empty layer gives an empty table.
 *
 * Throws InputError: `unit-missing`, `dbh-field-missing`, `layer-several`, `field-missing`, `field-unknown` (usage).
 *
 * @example
 * const { table, findings } = checkTrees(layer, { dbhUnit: 'in', fields: { dbh: 'DIAM' } });
 */
export function checkTrees(
  layer: Layer,
  options: FieldOptions & SurveyAge & { readonly values?: ValueOptions } = {},
): { readonly table: TreeTable; readonly findings: readonly Finding[]; readonly words: readonly UnknownWord[] } {
  const findings: Finding[] = [];
  askForLayer(layer, 'trees', findings);
  const sources = (resolveFields([layer], 'trees', TREE_FIELDS, options, findings)[0] ?? {}) as Sources<TreeField>;
  if (
    options.diameter !== 'optional' &&
    layer.count > 0 &&
    !SIZE_FIELDS.some((field) => sources[field] !== undefined)
  ) {
    throw diameterFieldMissing(layer, options.dbhUnit);
  }
  const out = new Reporter(layer, findings);
  const keys = new Keys();
  keys.add(layer, sources.id, sources.tag, out);
  const groups = groupsOf(layer, out, options.degrees);
  const inDegrees = options.degrees?.has(layer) ?? layer.crs?.from === 'rfc7946';
  const { xy, z } = positions(layer, groups, inDegrees, out);
  tellZero(xy, out);
  const columns = properties(layer, sources, out, (options.diameter ?? 'required') === 'required', options.values);
  tellTwins(xy, keys.all, out);
  tellOldSurvey(layer, sources.surveyed, options, out);
  if (z !== null) {
    const cure = 'read rb_z in the unit your survey uses';
    out.sayOnce('height-unit', null, 'survey heights are kept as read; their unit is not stated', cure);
  }
  const table = {
    layer,
    count: layer.count,
    xy,
    z,
    key: keys.all.done(),
    groups,
    ...columns,
    rejected: out.rejected,
    notes: out.notes,
  };
  return { table, findings, words: out.words };
}

/** Trunk positions; rows without one are rejected and hold NaN. */
function positions(
  layer: Layer,
  groups: GroupTable | null,
  inDegrees: boolean,
  out: Reporter,
): { readonly xy: Float64Array; readonly z: Float64Array | null } {
  const g = layer.geometry;
  // The layer's own column is used as long as every row is a usable point, which is mostly to the end.
  const same = g.xy.length === layer.count * 2;
  let xy = same ? g.xy : new Float64Array(layer.count * 2).fill(Number.NaN);
  const apart = (row: number): void => {
    if (xy !== g.xy) return;
    xy = new Float64Array(layer.count * 2).fill(Number.NaN);
    xy.set(g.xy.subarray(0, row * 2));
  };
  const z = g.z === null ? null : new Float64Array(layer.count).fill(Number.NaN);
  for (let row = 0; row < layer.count; row++) {
    const kind = g.kind[row]!;
    if (groups !== null && (kind === POLYGON || kind === MULTIPOLYGON)) {
      apart(row);
      xy.set(groups.placeOf.get(row) ?? [Number.NaN, Number.NaN], row * 2);
      continue;
    }
    const first = vertexOf(layer, g.partStart[row]!);
    const points = vertexOf(layer, g.partStart[row + 1]!) - first;
    if (!isTreeGeometry(kind, points, row, out)) {
      apart(row);
      continue;
    }
    const x = g.xy[first * 2]!;
    const y = g.xy[first * 2 + 1]!;
    if (!(Math.abs(x) <= LARGEST_COORDINATE && Math.abs(y) <= LARGEST_COORDINATE)) {
      const message = 'the position is not a usable pair of numbers';
      out.refuse('geometry-broken', 'geometry-broken', row, 'coordinates', message, 'give the tree its position');
      apart(row);
      continue;
    }
    if (inDegrees && !isOnEarth(x, y)) {
      const swapped = isOnEarth(y, x) ? ': the two may be swapped' : '';
      const message = `the position ${x}, ${y} is not a longitude, latitude${swapped}`;
      out.refuse('geometry-broken', 'geometry-broken', row, 'coordinates', message, 'give the tree its position');
      apart(row);
      continue;
    }
    if (xy !== g.xy) {
      xy[row * 2] = x;
      xy[row * 2 + 1] = y;
    }
    if (z !== null && g.z !== null) z[row] = g.z[first]!;
  }
  return { xy, z };
}

/** First vertex of a part (or the end of all of them). */
function vertexOf(layer: Layer, part: number): number {
  const g = layer.geometry;
  return g.vertexStart[g.ringStart[part]!]!;
}

const NONE = 0;
const POINT = 1;
const MULTIPOINT = 2;
const POLYGON = 5;
const MULTIPOLYGON = 6;
const BROKEN = 7;

function isTreeGeometry(kind: number, points: number, row: number, out: Reporter): boolean {
  if (kind === BROKEN) {
    const message = 'the geometry could not be read';
    out.refuse('geometry-broken', 'geometry-broken', row, 'geometry', message, 'give the tree its position');
  } else if (kind === NONE || (kind <= MULTIPOINT && points === 0)) {
    out.refuse('geometry-null', 'no-geometry', row, 'geometry', 'the tree has no position', 'give the tree a point');
  } else if (kind !== POINT && kind !== MULTIPOINT) {
    const message = 'a tree is a point, a group of trees a polygon; this is a line';
    out.refuse(
      'geometry-type',
      'geometry-type',
      row,
      'geometry',
      message,
      'give the trunk centre as a point, or the outline of a hedge as a polygon',
    );
  } else if (points > 1) {
    const message = `the tree holds ${points} points`;
    out.refuse(
      'several-points',
      'several-points',
      row,
      'coordinates',
      message,
      'make a separate feature for each stem or tree',
    );
  } else return true;
  return false;
}

type PropertyColumns = Omit<TreeTable, 'layer' | 'count' | 'xy' | 'z' | 'key' | 'groups' | 'rejected' | 'notes'>;

/** One pass over the rows: each one's properties are asked for once. */
function properties(
  layer: Layer,
  sources: Sources<TreeField>,
  out: Reporter,
  diameterRequired: boolean,
  values: ValueOptions | undefined,
): PropertyColumns {
  const n = layer.count;
  const length = (field: TreeField): LengthColumn =>
    new LengthColumn(field, TREE_FIELDS[field], sources[field], 'trees', out);
  // Fields that the layer does not have share one column: a city has a million rows of each.
  const absent = new Float64Array(n * 4).fill(Number.NaN);
  const columnFor = (...fields: readonly TreeField[]): Float64Array =>
    fields.some((field) => length(field).given) ? new Float64Array(n).fill(Number.NaN) : absent.subarray(0, n);
  const zoneRadiusM = columnFor('zone_radius');
  const heightM = columnFor('height');
  const crownBaseM = columnFor('crown_base');
  const accuracyM = columnFor('accuracy');
  const singles = (
    [
      ['height', heightM],
      ['crown_base', crownBaseM],
      ['accuracy', accuracyM],
    ] as const
  )
    .map(([field, column]) => ({ reader: length(field), column }))
    .filter((pair) => pair.reader.given);
  const zone = length('zone_radius');
  const crown = length('crown_radius');
  const spread = new CrownSpread(length('crown_spread'), out);
  const quarters = (['crown_n', 'crown_e', 'crown_s', 'crown_w'] as const).map(length);
  const hasCrown = crown.given || spread.given || quarters.some((quarter) => quarter.given);
  const crownM = hasCrown ? new Float64Array(n * 4).fill(Number.NaN) : absent;
  const words = wordReaders(layer, sources, values, out);
  const sizes: DiameterColumns = {
    dbhM: new Float64Array(n).fill(Number.NaN),
    baseDiaM: columnFor('base_dia'),
    stemsM: new Map<number, readonly number[]>(),
    estimated: words.columns.estimated,
  };
  const diameters = new DiameterReader(sources, sizes, out);
  let zeroRadii = 0;
  const species = new Array<string | undefined>(n);
  for (let row = 0; row < n; row++) {
    if (zone.given) {
      const radius = zone.read(layer, row);
      if (radius > 0) zoneRadiusM[row] = radius;
      else if (radius === 0) zeroRadii++;
    }
    diameters.read(layer, row, !diameterRequired || !Number.isNaN(zoneRadiusM[row]!));
    for (const { reader, column } of singles) column[row] = reader.read(layer, row);
    if (hasCrown) {
      const radius = crown.read(layer, row);
      for (let q = 0; q < 4; q++) {
        const own = quarters[q]!.read(layer, row);
        crownM[row * 4 + q] = Number.isNaN(own) ? radius : own;
      }
      if (spread.given) spread.read(layer, row, crownM);
    }
    words.read(row);
    species[row] = textOf(sources.species, layer, row) ?? textOf(sources.common_name, layer, row);
  }
  if (zeroRadii > 0) {
    const name = sources.zone_radius?.[0]?.name ?? 'zone_radius';
    const message = `${name} is 0 for ${zeroRadii} of ${n} trees: treated as missing; the rule sizes their zones`;
    out.sayOnce('zone-radius-zero', `properties.${name}`, message, 'clear it, or fill in the radius');
  }
  diameters.report();
  words.report();
  const text: TreeTable['text'] = (row, field) =>
    field === 'condition'
      ? words.conditionOf(row)
      : shownFigure(field, textOf(sources[field], layer, row), sources[field]?.[0]?.name);
  const { letters } = words;
  const own = Object.keys(letters).length === 0 ? {} : { letters };
  return {
    ...sizes,
    zoneRadiusM,
    heightM,
    crownBaseM,
    crownM,
    accuracyM,
    species,
    ...words.columns,
    ...own,
    ...readWorth(layer, sources, values, out),
    text,
  };
}

const FAR = 10; // times the size of the site

/**
 * Trees at exactly 0, 0, which programs write when a position is missing. Reported when the others (at least two)
 * lie together and far from there. In a local ground system 0, 0 is an ordinary place.
 */
function tellZero(xy: Float64Array, out: Reporter): void {
  const zero: number[] = [];
  let [west, south, east, north, others] = [Infinity, Infinity, -Infinity, -Infinity, 0];
  for (let i = 0; i < xy.length; i += 2) {
    const x = xy[i]!;
    const y = xy[i + 1]!;
    if (x === 0 && y === 0) zero.push(i / 2);
    else if (!Number.isNaN(x)) {
      others++;
      [west, east] = [Math.min(west, x), Math.max(east, x)];
      [south, north] = [Math.min(south, y), Math.max(north, y)];
    }
  }
  if (zero.length === 0 || others < 2) return;
  const away = Math.hypot(Math.max(west, 0, -east), Math.max(south, 0, -north));
  if (away <= FAR * Math.hypot(east - west, north - south)) return;
  for (const row of zero) {
    const message = 'the position is exactly 0, 0, which programs write when a position is missing';
    out.say('position-zero', row, 'coordinates', message, 'give the tree its position, or leave it empty');
  }
}

function tellTwins(xy: Float64Array, keys: Names, out: Reporter): void {
  // a place within 180 and 90 is treated as degrees, but only to choose the finer tolerance
  let degrees = true;
  for (let i = 0; degrees && i < xy.length; i += 2) {
    if (Math.abs(xy[i]!) > 180 || Math.abs(xy[i + 1]!) > 90) degrees = false;
  }
  const earlier = twins(xy, degrees ? SAME_PLACE_DEGREES : SAME_PLACE);
  for (let row = 0; row < earlier.length; row++) {
    const other = earlier[row]!;
    if (other < 0) continue;
    const message = `tree "${keys.at(row)}" stands at the same place as tree "${keys.at(other)}"; both are kept`;
    out.say(
      'duplicate-position',
      row,
      'coordinates',
      message,
      'delete one; if they are stems of one tree, list them in its field stems',
    );
  }
}
