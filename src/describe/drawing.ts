// Drawing layers -> what to write after --layer. In: a layer read from a drawing (DXF); out: needs, one a drawing layer.
// Terms: drawing layer = the CAD layer an entity lies on; its kind is guessed from its name, for the user to confirm.

import { mixesLayers } from '../check/index.js';
import { GEOMETRY_KINDS, type Layer, type LayerRole, WORKS_KINDS, type WorksKind } from '../model/index.js';
import { listOf } from '../text/index.js';

/** Words in the names of drawing layers (common practice, no source); the first that fits counts. */
const KIND_OF_NAME: readonly (readonly [name: RegExp, kind: WorksKind])[] = [
  [/bldg|build|foot.?print|house|garage|struct|fndn|found/i, 'building'],
  [/driv|pav|pvmt|park|road|walk|patio|conc|asph|curb/i, 'paving'],
  [/trench|util|sewr|sewer|watr|water|strm|storm|gas|elec|powr|comm|pipe/i, 'trench'],
  [/excav|cut/i, 'excavation'],
  [/fill|embank/i, 'fill'],
];
const TREES = /tree|plnt|plant|veg/i;
const LISTED = 12;

/** Nothing for layers that are not a drawing, or whose drawing layers have been chosen. */
export function drawingNeeds(layer: Layer, role: LayerRole): Need[] {
  if (layer.format !== 'dxf' || layer.setAside?.size === layer.count) return [];
  const chosen = layer.fields.includes('kind') || layer.findings.some((one) => one.code === 'layer-not-mapped');
  if (chosen) return [];
  const shapes = drawingLayers(layer, role === 'trees' ? ['point'] : ['polygon', 'line']);
  if (shapes.length === 0) return [];
  return role === 'trees' ? treeNeeds(shapes, mixesLayers(layer)) : worksNeeds(shapes, layer.name);
}

type Counted = readonly (readonly [name: string, count: number])[];

/** The kind of works by the name of a layer; undefined where the name does not tell. */
export function kindOfName(name: string): WorksKind | undefined {
  return KIND_OF_NAME.find(([words]) => words.test(name))?.[1];
}

function drawingLayers(layer: Layer, kinds: readonly string[]): Counted {
  const counts = new Map<string, number>();
  for (let f = 0; f < layer.count; f++) {
    const kind = GEOMETRY_KINDS[layer.geometry.kind[f]!] ?? 'broken';
    if (!kinds.includes(kind) || layer.setAside?.has(f) === true) continue;
    const name = String(layer.value(f, 'layer') ?? '0');
    counts.set(name, (counts.get(name) ?? 0) + 1);
  }
  return [...counts];
}

/** One drawing layer holds the trees: the one whose name says so, where there are several. */
function treeNeeds(layers: Counted, mixed: boolean): Need[] {
  const [one] = layers;
  if (layers.length === 1 && one !== undefined) {
    const why = `the only drawing layer with points (${one[1]}); the others hold lines or areas`;
    return mixed ? [{ option: '--layer', value: one[0], why }] : [];
  }
  const named = layers.filter(([name]) => TREES.test(name));
  const [only] = named;
  const value = named.length === 1 && only !== undefined ? only[0] : 'NAME';
  const why = `its drawing layers with points are ${listed(layers)}: name the one with the trees`;
  if (value !== 'NAME') return [{ option: '--layer', value, why }];
  const choices = layers.map(([name]) => name);
  return [{ option: '--layer', value, why, ask: [{ about: 'trees.layer', choices, entry: 'trees=ANSWER' }] }];
}

function worksNeeds(layers: Counted, name: string): Need[] {
  const known: Need[] = [];
  const others: (readonly [string, number])[] = [];
  for (const one of layers) {
    const kind = kindOfName(one[0]);
    if (kind === undefined) others.push(one);
    else known.push({ option: '--layer', value: `${one[0]}=${kind}`, why: `by the name of the drawing layer: check` });
  }
  if (others.length === 0) return known;
  const kinds = 'building, paving, excavation, trench, fill, compaction or bore';
  if (known.length > 0) {
    const why = `left out, unless you add --layer NAME=kind for those that are works: ${listed(others)}`;
    return [...known, { option: '--layer', value: '', why }];
  }
  const [first] = others as [readonly [string, number]];
  const why = `the drawing layers of ${name} are ${listed(others)}: for each that holds works, give its kind (${kinds}); repeat the option`;
  const ask = others.map(([name, count]) => ({
    about: `works.layer.${name}`,
    choices: [...WORKS_KINDS, '-'],
    entry: `${name}=ANSWER`,
    question: `what does the drawing layer ${name} (${count}) hold? - leaves it out`,
  }));
  return [{ option: '--layer', value: `${first[0]}=KIND`, why, ask }];
}

function listed(layers: Counted): string {
  return listOf(layers, LISTED, ([name, count]) => `${name} (${count})`);
}

/** Used in place of a value: the given one, with northing and easting exchanged. */
export const SWAPPED = 'swapped';

/** Something that `assess` needs to know: an option with its value, and why. A value in capitals is to be filled in. */
export interface Need {
  readonly option: string; // '--crs'
  readonly value: string; // 'EPSG:NNNN'
  readonly why: string;
  /** What a person has to answer: the value is not known, or only a guess of the hand. Without it the value can be used. */
  readonly ask?: readonly Ask[];
}

/** One thing to be asked; see Question in questions.ts. */
export interface Ask {
  readonly about: string;
  /** What can be answered; empty: any text. */
  readonly choices: readonly string[];
  /** The option's value, with ANSWER in place of the answer. */
  readonly entry: string;
  /** Where the need's own reason does not say it. */
  readonly question?: string;
}
