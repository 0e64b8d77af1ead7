// What has to be said before a layer can be used. In: a layer with what was found out of it; out: needs, and the check of the
// layer once they are met. Terms: see describe.ts and drawing.ts. A check for each field that can't be read, 40 at most.

import type { LikelyField, SizeColumn } from '../check/index.js';
import { type AssignedLayer, boundsOf } from '../crs/index.js';
import {
  type AssessOptions,
  type Finding,
  InputError,
  type Layer,
  type LayerRole,
  type LengthUnit,
} from '../model/index.js';
import { type Need, SWAPPED } from './drawing.js';
import { type Judged, judge } from './judge.js';

/** Figures that can only be latitude and longitude, in this order. */
function isTurned(box: readonly [number, number, number, number] | null): boolean {
  if (box === null) return false;
  const [minX, minY, maxX, maxY] = box;
  const turned = minX >= -90 && maxX <= 90 && minY >= -180 && maxY <= 180;
  return turned && !(minY >= -90 && maxY <= 90);
}

/** No system is guessed from figures; they can only show lon/lat. */
export function crsNeed(layer: Layer, problems: readonly InputError[]): Need {
  const box = boundsOf(layer.geometry.xy);
  const degrees = box !== null && box[0] >= -180 && box[2] <= 180 && box[1] >= -90 && box[3] <= 90;
  const unreadable = problems.find((one) => one.code !== 'crs-missing' && one.code.startsWith('crs-'));
  const turned = isTurned(box);
  const order = turned ? 'latitude and longitude, the wrong way round' : 'longitude and latitude';
  const why =
    unreadable !== undefined
      ? `${unreadable.message}; put the code of its coordinate system in place of EPSG:NNNN`
      : degrees || turned
        ? `${layer.name} does not say its coordinate system; its figures could be ${order}: check this`
        : `${layer.name} does not say its coordinate system: put its code in place of EPSG:NNNN (the survey's sheet names it)`;
  const lonLat = (degrees || turned) && unreadable === undefined;
  if (lonLat) {
    // Small offsets on a site fit degrees too: only columns that are named so are taken for them unasked.
    if (layer.columns?.every((name) => /lon|lat/i.test(name)) === true) {
      return { option: '--crs', value: 'EPSG:4326', why };
    }
    const question = `which coordinate system is ${layer.name} in? Its figures could be longitude and latitude (EPSG:4326), or offsets on a site (local:ft, local:m)`;
    return {
      option: '--crs',
      value: 'EPSG:4326',
      why,
      ask: [{ about: 'crs', choices: [], entry: 'ANSWER', question }],
    };
  }
  const question = `which coordinate system is ${layer.name} in? Its code, such as EPSG:2913 (the survey's sheet names it), or local:ft, local:m for a local ground system`;
  return {
    option: '--crs',
    value: 'EPSG:NNNN',
    why,
    ask: [{ about: 'crs', choices: [], entry: 'ANSWER', question }],
  };
}

/** The coordinate columns the other way round, where a finding says that they are swapped. */
export function swapNeeds(layer: Layer, placed: AssignedLayer | null, findings: readonly Finding[]): Need[] {
  const unplaced = placed === null && isTurned(boundsOf(layer.geometry.xy));
  if (!unplaced && !findings.some((one) => one.code === 'axes-swapped')) return [];
  if (layer.format === 'points') {
    return [{ option: '--columns', value: SWAPPED, why: 'northing and easting are the other way round: check' }];
  }
  if (layer.columns === undefined) return [];
  const [x, y] = layer.columns.map((name) => columnWord(layer, name));
  const needs: Need[] = [{ option: '--xy', value: `${y},${x}`, why: 'easting and northing are swapped: check' }];
  // Columns named longitude and latitude state the system only in that order.
  if (layer.crs !== null) {
    const why = 'columns in another order than their names say don’t state their system';
    needs.push({ option: '--trees-crs', value: 'EPSG:4326', why });
  }
  return needs;
}

/** A column as --xy takes it: by its position where its name would be read as two, or as a position. */
function columnWord(layer: Layer, name: string): string {
  return /,|^\d+$|^\s|\s$/.test(name) ? String(layer.fields.indexOf(name) + 1) : name;
}

/** Said once for all fields that are mapped by their names. */
export const LIKELY = 'chosen by the names of the fields: remove any that are wrong';

/** A likely field with a known unit, or without need of one. */
export function fieldNeed(one: LikelyField): Need[] {
  if (one.length === 'length' && one.unit === null) return [];
  return [{ option: '--field', value: `${one.field}=${one.source}`, why: LIKELY }];
}

/** What has to be said of a layer's fields, and the check once it is said; null where it can't be read all the same. */
interface Asked {
  readonly needs: readonly Need[];
  readonly judged: Judged | null;
}

/** Tries the check with the needs found so far and adds a need for each field it can't read, until it can read all. */
export function unitNeeds(
  role: LayerRole,
  layer: Layer,
  options: AssessOptions,
  likely: readonly LikelyField[],
  sizes: readonly SizeColumn[],
): Asked {
  const needs: Need[] = [];
  const fields: Record<string, string> = {
    ...options.fields,
    ...Object.fromEntries(likely.flatMap(fieldNeed).map((need) => need.value.split('=') as [string, string])),
  };
  let dbhUnit = options.dbhUnit;
  for (let tries = 0; tries < 40; tries++) {
    const judged = judgedOr(() =>
      judge(role, layer, { ...options, fields, ...(dbhUnit === undefined ? {} : { dbhUnit }) }),
    );
    if (!(judged instanceof InputError)) return { needs, judged };
    const source = judged.path?.replace(/^properties\./, '') ?? '';
    if (judged.code === 'unit-missing' && dbhUnit === undefined && judged.cure.includes('--dbh-unit')) {
      const size = sizes.find((one) => one.field === source);
      needs.push(dbhUnitNeed(source, size));
      dbhUnit = size?.fits[0] ?? 'in';
    } else if (judged.code === 'unit-missing') {
      const field = /--field ([\w.]+)=/.exec(judged.cure)?.[1];
      if (field === undefined || fields[field] === '-') break;
      fields[field] = '-';
      needs.push(lengthUnitNeed(field, source));
    } else if (judged.code === 'dbh-field-missing') {
      const size = sizes[0];
      if (size === undefined) {
        needs.push(diameterNeed(layer));
        break;
      }
      const as = size.fits.length === 0 || /girth|gbh|circ/i.test(size.field) ? 'girth' : 'dbh';
      fields[as] = size.field;
      const why = `${size.field} is probably the ${as}`;
      const ask = {
        about: `trees.${as}`,
        choices: sizes.map((one) => one.field),
        entry: `${as}=ANSWER`,
        question: `no field of ${layer.name} is named as a trunk diameter or girth: which one is the ${as}? ${why}`,
      };
      needs.push({ option: '--field', value: `${as}=${size.field}`, why, ask: [ask] });
    } else break;
  }
  return { needs, judged: null };
}

const LENGTH_UNITS = ['m', 'ft', 'cm', 'in'] as const;

/** A length other than a diameter whose unit nothing says. */
function lengthUnitNeed(field: string, source: string): Need {
  const why = `${source} does not say its unit and is left out; to use it write ${field}=${source}:ft (or :m, :in, :cm)`;
  const ask = {
    about: field.includes('.') ? field : `trees.${field}`,
    choices: [...LENGTH_UNITS.map((unit) => `${source}:${unit}`), '-'],
    entry: `${field}=ANSWER`,
    question: `${source} does not say its unit: in which is it? - leaves the column out`,
  };
  return { option: '--field', value: `${field}=-`, why, ask: [ask] };
}

function diameterNeed(layer: Layer): Need {
  const why = `no field of ${layer.name} looks like a trunk diameter: replace NAME with the right one`;
  const ask = {
    about: 'trees.dbh',
    choices: layer.fields,
    entry: 'dbh=ANSWER',
    question: `which field of ${layer.name} holds the trunk diameter?`,
  };
  return { option: '--field', value: 'dbh=NAME', why, ask: [ask] };
}

function dbhUnitNeed(source: string, size: SizeColumn | undefined): Need {
  const fits: readonly LengthUnit[] = size?.fits ?? [];
  const [only] = fits;
  // A girth in the next smaller unit would also look like a diameter: then nothing is filled in.
  const girth = only === 'mm' && size?.asGirth.includes('cm') === true;
  const choices = ['in', 'cm', 'mm', 'm', 'ft'];
  if (only !== undefined && fits.length === 1 && !girth) {
    const why = `${source} does not say its unit; by size only ${only} fits: check`;
    const question = `${source} does not say its unit: which is it? By size only ${only} fits`;
    return {
      option: '--dbh-unit',
      value: only,
      why,
      ask: [{ about: 'trees.dbh', choices, entry: 'ANSWER', question }],
    };
  }
  const which = fits.length === 0 ? 'in, cm, mm, m or ft' : fits.join(' or ');
  const or = girth ? `; if it is girth in cm, write --field girth=${source}:cm in place of dbh` : '';
  const ask = {
    about: 'trees.dbh',
    choices,
    entry: 'ANSWER',
    question: `${source} does not say its unit: which is it${girth ? ` (if ${source} is girth in cm, add "girth=${source}:cm" to "field" instead, and delete this question)` : ''}?`,
  };
  return {
    option: '--dbh-unit',
    value: 'UNIT',
    why: `${source} does not say its unit: put ${which} in place of UNIT${or}`,
    ask: [ask],
  };
}

function judgedOr(act: () => Judged): Judged | InputError {
  try {
    return act();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
}
