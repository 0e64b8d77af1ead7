// Works in several layers of one file. In: files, the layers that were chosen with their kinds; out: a source a layer, or one for a
// drawing, as the command line reads `--layer house=building --layer drive=paving`. See src/node/several-layers.ts.

import { kindOfName } from '../../describe/drawing.js';
import { type Layer, WORKS_KINDS, type WorksKind } from '../../model/index.js';
import { type LayerKinds, readFiles, type Source, sourceOf } from '../files.js';

/** Drawings and KML are read as one layer whose features have the kinds. */
const AT_ONCE = /\.(?:dxf|km[lz])$/i;

/** Reads the chosen layers of one of the files, and the other files as they are. */
export async function readLayers(files: readonly File[], of: string, kinds: LayerKinds): Promise<Source[]> {
  const file = files.find(({ name }) => name === of);
  const others = await readFiles(
    files.filter((one) => one !== file),
    undefined,
    'works',
  );
  return file === undefined
    ? others
    : [...(await layersOf(of, new Uint8Array(await file.arrayBuffer()), kinds)), ...others];
}

/** The chosen layers of a file's bytes. */
export async function layersOf(name: string, bytes: Uint8Array, kinds: LayerKinds): Promise<Source[]> {
  if (AT_ONCE.test(name)) return [await sourceOf(name, bytes, undefined, 'works', kinds)];
  return Promise.all(
    Object.entries(kinds).map(async ([layer, kind]) => {
      const { layerKinds: _, ...source } = await sourceOf(name, bytes, layer, 'works');
      const own = renamed(source.layer, `${name} (${layer})`);
      return { ...source, layer: own, picked: layer, kind, ownKind: true, layerKinds: { [layer]: kind } } as const;
    }),
  );
}

/** Under a name that tells the layers of a file apart, as the command line names them. */
function renamed(layer: Layer, name: string): Layer {
  const findings = layer.findings.map((one) => (one.layer === layer.name ? { ...one, layer: name } : one));
  return Object.assign(layer, { name, findings });
}

/** A list to tick, with a kind for each; what a layer's name says of its kind is proposed. */
export function layersForm(box: HTMLElement, names: readonly string[], use: (kinds: LayerKinds) => void): void {
  box.hidden = names.length < 2;
  const legend = document.createElement('legend');
  legend.textContent = 'or several, each with its kind';
  const lines = names.map((name, i) => {
    const kind = kindOfName(name);
    const line = document.createElement('div');
    line.className = 'map-row';
    const label = document.createElement('label');
    const tick = document.createElement('input');
    tick.type = 'checkbox';
    tick.id = `map-layer-${i}`;
    tick.checked = kind !== undefined;
    label.append(tick, ` ${name}`);
    const list = document.createElement('select');
    list.id = `map-layer-${i}-kind`;
    list.setAttribute('aria-label', `Kind of: ${name}`);
    list.append(...WORKS_KINDS.map((one) => new Option(one, one, false, one === (kind ?? 'building'))));
    line.append(label, list);
    return { name, line, tick, list };
  });
  const button = document.createElement('button');
  button.type = 'button';
  button.id = 'map-layers-use';
  button.textContent = 'Use the layers that are ticked';
  button.addEventListener('click', () => {
    const chosen = lines.filter(({ tick }) => tick.checked).map(({ name, list }) => [name, list.value as WorksKind]);
    if (chosen.length > 0) use(Object.fromEntries(chosen));
  });
  box.replaceChildren(legend, ...lines.map(({ line }) => line), button);
}
