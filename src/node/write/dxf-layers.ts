// Layers of a drawing: our names, and an office's own for them. In: names given; out: the name and colour of each layer, or
// an InputError that names every entry that can't be used. Terms: key = our name of a layer: plain words of our own, what it
// is before what becomes of it; no office's standard is followed. Colours are the format's index (1 to 255).

import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { type Disposition, InputError, type Verdict, type WorksKind } from '../../model/index.js';
import { didYouMean, printable } from '../../text/index.js';

/** Each layer's colour, and what lies on it (the table of docs/formats.md). */
export const DXF_LAYERS = {
  'TREES-KEEP': [92, 'signs of trees to be kept'],
  'TREES-REMOVE': [1, 'signs of trees to be removed'],
  'TREES-TRANSPLANT': [30, 'signs of trees to be transplanted'],
  'TREES-UNKNOWN': [6, 'signs of trees with a disposition that is not known: kept until it is'],
  'TREES-LABELS': [7, 'what is written beside the signs'],
  TRUNKS: [32, 'a point at the surveyed place, a circle of the diameter'],
  'ROOT-ZONES-UNTOUCHED': [3, 'zones that no works touch'],
  'ROOT-ZONES-WITHIN-LIMIT': [40, 'zones within their limit'],
  'ROOT-ZONES-OVER-LIMIT': [1, 'zones over their limit'],
  'ROOT-ZONES-STEM-IN-WORKS': [6, 'zones of trees whose trunk stands in the works'],
  'ROOT-ZONES-NOT-ASSESSED': [9, 'zones without a verdict'],
  'ROOT-ZONES-REMOVE': [8, 'zones of trees to be removed, whatever their verdict'],
  'ROOT-ZONES-TRANSPLANT': [8, 'zones of trees to be transplanted, whatever their verdict'],
  'ROOT-RINGS': [2, 'rings of the rule inside the zones'],
  CROWNS: [92, 'crowns'],
  LIMBS: [52, 'limbs of the limb list, from the trunk’s face to their end'],
  'LIMBS-IN-THE-WAY': [20, 'limbs that meet a building'],
  OVERLAP: [30, 'ground of the zones that works take'],
  'SEVERED-GROUND': [6, 'ground of the zones cut off behind works'],
  'WORKS-BUILDING': [5, 'buildings'],
  'WORKS-PAVING': [253, 'paving'],
  'WORKS-EXCAVATION': [24, 'excavation'],
  'WORKS-TRENCH': [4, 'trenches'],
  'WORKS-FILL': [42, 'fill'],
  'WORKS-COMPACTION': [212, 'compaction'],
  'WORKS-BORE': [134, 'bores'],
  'WORKS-OTHER-OPTION': [8, 'works of design options that are not weighed'],
  FENCE: [1, 'protection fences'],
  'FENCE-GATES': [4, 'gates of the fences'],
  'FENCE-STAKES': [7, 'a point and a name for each stake, as in --stakes'],
  'GROUND-PROTECTION': [34, 'ground outside the fences to be covered'],
  EXISTING: [9, 'hard ground and structures of today'],
  LOTS: [8, 'lots'],
  NOTES: [7, 'system, unit and cautions, below the drawing'],
} as const;

export type DxfLayer = keyof typeof DXF_LAYERS;

export const TREE_LAYERS: Readonly<Record<Disposition, DxfLayer>> = {
  keep: 'TREES-KEEP',
  remove: 'TREES-REMOVE',
  transplant: 'TREES-TRANSPLANT',
  unknown: 'TREES-UNKNOWN',
};

const ZONE_LAYERS: Readonly<Record<Verdict, DxfLayer>> = {
  untouched: 'ROOT-ZONES-UNTOUCHED',
  'within-limit': 'ROOT-ZONES-WITHIN-LIMIT',
  'over-limit': 'ROOT-ZONES-OVER-LIMIT',
  'stem-in-works': 'ROOT-ZONES-STEM-IN-WORKS',
  'not-assessed': 'ROOT-ZONES-NOT-ASSESSED',
};

export const WORKS_LAYERS: Readonly<Record<WorksKind, DxfLayer>> = {
  building: 'WORKS-BUILDING',
  paving: 'WORKS-PAVING',
  excavation: 'WORKS-EXCAVATION',
  trench: 'WORKS-TRENCH',
  fill: 'WORKS-FILL',
  compaction: 'WORKS-COMPACTION',
  bore: 'WORKS-BORE',
};

/** A tree that goes limits nothing: its zone lies apart. null: there are no works to judge by. */
export function zoneLayer(disposition: Disposition, verdict: Verdict | null): DxfLayer {
  if (disposition === 'remove') return 'ROOT-ZONES-REMOVE';
  if (disposition === 'transplant') return 'ROOT-ZONES-TRANSPLANT';
  return ZONE_LAYERS[verdict ?? 'not-assessed'];
}

/** An office's own names for some of our layers: `{ "TREES-KEEP": "TREE-EXISTING" }`. Several may share one. */
export type DxfLayerNames = Readonly<Record<string, string>>;

/** The name each layer is written under; names that differ in capitals alone are one layer, spelt as the first. */
export function layerNames(own: DxfLayerNames = {}): Readonly<Record<DxfLayer, string>> {
  checkNames(own, 'dxfLayers');
  const spelt = new Map<string, string>();
  const nameOf = (key: DxfLayer): string => {
    const name = Object.hasOwn(own, key) ? own[key]!.trim() : key;
    const plain = name.toLowerCase();
    if (!spelt.has(plain)) spelt.set(plain, name);
    return spelt.get(plain)!;
  };
  const keys = Object.keys(DXF_LAYERS) as DxfLayer[];
  return Object.fromEntries(keys.map((key) => [key, nameOf(key)])) as Record<DxfLayer, string>;
}

/**
 * The names of a JSON file; or of JSON itself, where the text begins with a brace (as job files hand it over).
 *
 * @throws InputError `dxf-layers-unreadable`, `dxf-layers-invalid`
 */
export function readLayerNames(text: string): DxfLayerNames {
  const inline = text.trimStart().startsWith('{');
  const name = inline ? 'dxf-layers' : basename(text);
  let json: unknown;
  try {
    json = JSON.parse(inline ? text : readText(text).replace(/^\uFEFF/, ''));
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw invalid(name, `is not JSON (${error instanceof Error ? error.message : String(error)})`);
  }
  checkNames(json, name);
  return json;
}

function readText(path: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : String(error);
    const what = code === 'ENOENT' ? 'is not there' : `can't be read (${code})`;
    throw new InputError('dxf-layers-unreadable', `the file of layer names ${path} ${what}`, {
      layer: basename(path),
      cure: 'check its name and folder',
    });
  }
}

/** What a layer's name may not hold: the format's own list. */
const FORBIDDEN = /[<>/\\":;?*|=`,]/g;
const LONGEST = 255; // characters, of the format since the year 2000

function checkNames(json: unknown, name: string): asserts json is DxfLayerNames {
  if (typeof json !== 'object' || json === null || Array.isArray(json)) {
    throw invalid(name, 'is no object of names, such as { "TREES-KEEP": "OUR-TREES" }');
  }
  const known = Object.keys(DXF_LAYERS);
  const problems = Object.entries(json).flatMap(([key, value]) => {
    if (!Object.hasOwn(DXF_LAYERS, key)) return [`${printable(key)}: no layer of that name${didYouMean(key, known)}`];
    const fault = faultOf(value);
    return fault === null ? [] : [`${key}: ${fault}`];
  });
  if (problems.length === 0) return;
  throw invalid(
    name,
    `has ${problems.length === 1 ? '1 problem' : `${problems.length} problems`}: ${problems.join('; ')}`,
  );
}

/** What is wrong with a layer's name, with a cure; null: nothing. */
function faultOf(value: unknown): string | null {
  if (typeof value !== 'string') return `found ${JSON.stringify(value)}, expected a name in quotes`;
  const shown = JSON.stringify(printable(value));
  if (value.trim() === '') return 'the name is empty; leave the key out to keep ours';
  if (value.length > LONGEST) return `the name has ${value.length} characters, and ${LONGEST} is the most`;
  if (printable(value) !== value) return `${shown} holds a line break or another control character; take it out`;
  const signs = [...new Set(value.match(FORBIDDEN) ?? [])];
  if (signs.length === 0) return null;
  return `${shown} holds ${signs.join(' ')}, which a drawing's layer may not; write "${value.replace(FORBIDDEN, '-')}"`;
}

function invalid(name: string, what: string): InputError {
  return new InputError('dxf-layers-invalid', `layer names: ${name} ${what}`, {
    layer: name,
    cure: `map names of ours to yours, each in quotes; ours are ${Object.keys(DXF_LAYERS).join(', ')}`,
    usage: true,
  });
}
