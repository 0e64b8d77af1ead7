// One file through the whole job, with sound companions. In: a layer, or a way to read one, its role and options; out:
// what came of it: the error, or findings and the output, held to what every output promises.
// Terms: companion = the sound layers of the other roles; promise = a rule that no input may break.

import * as gjv from 'geojson-validation';
import { type AssessJob, assess } from '../../src/assess/index.js';
import { type Finding, InputError } from '../../src/model/findings.js';
import type { AssessOptions, Layer } from '../../src/model/index.js';
import { readLayer as readBytes } from '../../src/read/index.js';
import { geojsonText } from '../../src/write/index.js';
import { bytesOf } from './layers.js';

export type Role = 'trees' | 'works' | 'lots';

export interface Outcome {
  readonly outcome: 'layer' | 'error';
  readonly error: InputError | null;
  readonly layer: Layer | null;
  readonly findings: readonly Finding[];
  /** Promises that were broken; empty when all is well. */
  readonly broken: readonly string[];
}

const square = (x: number, y: number, s: number): number[][] => [
  [x, y],
  [x + s, y],
  [x + s, y + s],
  [x, y + s],
  [x, y],
];
const collection = (geometry: object, properties: object): Layer =>
  readBytes(
    bytesOf(JSON.stringify({ type: 'FeatureCollection', features: [{ type: 'Feature', geometry, properties }] })),
    { name: 'companion.geojson' },
  );
const TREES = collection({ type: 'Point', coordinates: [-122.5001, 45.5001] }, { dbh_in: 20, id: 'companion' });
const WORKS = collection(
  { type: 'Polygon', coordinates: [square(-122.50005, 45.50005, 0.0001)] },
  { kind: 'building' },
);

/** Reads and assesses; whatever is thrown that is not an InputError comes out as thrown. */
export async function wholeJob(
  read: () => Promise<Layer> | Layer,
  role: Role,
  options: AssessOptions = {},
): Promise<Outcome> {
  let layer: Layer | null = null;
  try {
    layer = await read();
    const assessment = assess(jobOf(layer, role, options));
    const text = [...pieces(geojsonText(assessment))].join('');
    const broken = [...readPromises(layer), ...outputPromises(text, layer, role)];
    return { outcome: 'layer', error: null, layer, findings: assessment.findings, broken };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return { outcome: 'error', error, layer, findings: layer?.findings ?? [], broken: errorPromises(error) };
  }
}

function* pieces(text: Generator<string, unknown>): Generator<string> {
  for (const piece of text) yield piece;
}

function jobOf(layer: Layer, role: Role, options: AssessOptions): AssessJob {
  if (role === 'trees') return { trees: layer, works: [{ layer: WORKS }], options };
  if (role === 'works') return { trees: TREES, works: [{ layer }], options };
  return { trees: TREES, works: [{ layer: WORKS }], lots: layer, options };
}

function readPromises(layer: Layer): string[] {
  const broken: string[] = [];
  if (layer.geometry.kind.length !== layer.count) broken.push('a kind per feature');
  if (!layer.geometry.xy.every(Number.isFinite)) broken.push('coordinates are numbers');
  for (const one of layer.findings) {
    if (one.message === '' || one.cure === '') broken.push(`${one.code} says nothing`);
    if (/\bNaN\b|undefined|\[object|\n\s+at /.test(unquoted(one.message)))
      broken.push(`${one.code} says "${one.message}"`);
  }
  return broken;
}

/** Words without what they quote from a file. */
function unquoted(text: string): string {
  return text.replace(/"(?:[^"\\]|\\.)*"/g, '""').replace(/\((?:at \d+: )*(?:Position|coordinates) .*\)/, '');
}

function errorPromises(error: InputError): string[] {
  const broken: string[] = [];
  if (error.cure.trim() === '') broken.push('an error has a cure');
  if (error.message.trim() === '') broken.push('an error has words');
  if (/\n\s+at |undefined|\[object/.test(unquoted(`${error.message} ${error.cure}`)))
    broken.push(`words for a person: ${error.message}`);
  return broken;
}

function outputPromises(text: string, layer: Layer, role: Role): string[] {
  const broken: string[] = [];
  // A bare NaN is not JSON: it would not parse.
  const { features } = JSON.parse(text) as { features: { geometry: unknown; properties: Record<string, unknown> }[] };
  const out = features.filter((f) => f.properties.rb_role === { trees: 'tree', works: 'works', lots: 'lot' }[role]);
  if (out.length !== layer.count) broken.push(`features in = features out: ${layer.count} in, ${out.length} out`);
  for (const one of features) {
    for (const [key, value] of Object.entries(one.properties)) {
      if (
        key.startsWith('rb_') &&
        /NaN|Infinity|undefined/.test(String(value)) &&
        !['rb_id', 'rb_tree', 'rb_tree_key', 'rb_works_key', 'rb_lot', 'rb_nearest_works', 'rb_worst_works'].includes(
          key,
        )
      ) {
        broken.push(`${key} is ${String(value)}`);
      }
    }
    const faults = gjv.isFeature(one, true) as unknown as string[];
    if (faults.length > 0) broken.push(`valid GeoJSON: ${JSON.stringify(one).slice(0, 200)}: ${faults.join('; ')}`);
  }
  return broken;
}
