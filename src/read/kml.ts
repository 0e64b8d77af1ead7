// KML -> Layer. In: bytes of a .kml (KMZ is unpacked by rootberth/node); out: one feature per Placemark.
// Terms: Placemark, Folder, ExtendedData as in OGC 12-007r2; positions are longitude, latitude on WGS 84 by definition.
// Every Placemark is a feature: one whose coordinates can't be read stays, broken, with a finding.

import type { Layer } from '../model/index.js';
import { finding, InputError, LayerBuilder } from '../model/index.js';
import { addGeometry } from './kml-geometry.js';
import type { ReadOptions } from './options.js';
import { childNamed, childrenNamed, descendants, parseXml, type XmlElement } from './xml.js';

/** Elements of a Placemark that hold plain text worth keeping. */
const TEXTS = ['name', 'description', 'address', 'phoneNumber', 'Snippet', 'styleUrl', 'visibility'] as const;

interface Placed {
  readonly placemark: XmlElement;
  readonly folders: readonly string[]; // names, outermost first
}

/**
 * Reads a KML document. Properties: name, description and the like, ExtendedData (Data and SchemaData, numbers and
 * booleans by the types of its Schema), and `folder`, the names of the folders joined by " / ".
 *
 * @param options `layer` picks the placemarks of one folder
 * @throws InputError `xml-broken`, `kml-empty` (no Placemark), `layer-missing`
 * @example
 * const bytes = new TextEncoder().encode('<kml><Placemark><Point><coordinates>-122,45</coordinates></Point></Placemark></kml>');
 * readKml(bytes, { name: 'site.kml' }).count; // 1
 */
export function readKml(bytes: Uint8Array, options: ReadOptions): Layer {
  const into = new LayerBuilder(options.name, 'kml');
  const root = parseXml(bytes, options.name);
  const all = [...placemarks(root, [])];
  const links = [...descendants(root, 'NetworkLink')].length;
  if (links > 0) {
    const message = `${links} network links point to data elsewhere, which was not read`;
    into.findings.push(
      finding('layer-picked', { layer: into.name }, message, 'save the linked data and give it as a file'),
    );
  }
  if (all.length === 0) {
    throw new InputError('kml-empty', `${options.name} holds no Placemark`, {
      layer: options.name,
      cure: links > 0 ? 'it only links to data elsewhere: save that and give it' : 'export the points and lines again',
    });
  }
  const types = schemaTypes(root);
  for (const { placemark, folders } of picked(all, options)) {
    const path = addGeometry(placemark, into);
    if (path === undefined) {
      into.begin('none');
      const place = { layer: into.name, feature: into.count, path: 'Placemark' };
      into.findings.push(finding('geometry-null', place, 'the placemark has no geometry', 'give it one, or delete it'));
    }
    const id = placemark.attributes.id;
    into.end(propertiesOf(placemark, folders, types), id === undefined || id === '' ? undefined : id);
  }
  return into.finish({ crs: { from: 'file', text: 'OGC:CRS84' }, sha256: options.sha256 ?? null });
}

function* placemarks(element: XmlElement, folders: readonly string[]): Generator<Placed> {
  for (const child of element.children) {
    if (child.name === 'Placemark') yield { placemark: child, folders };
    else if (child.name === 'Folder') yield* placemarks(child, [...folders, childNamed(child, 'name')?.text ?? '']);
    else if (child.name === 'Document' || child.name === 'kml') yield* placemarks(child, folders);
  }
}

function picked(all: readonly Placed[], options: ReadOptions): readonly Placed[] {
  const wanted = options.layer?.toLowerCase();
  if (wanted === undefined) return all;
  const found = all.filter((one) => one.folders.some((name) => name.toLowerCase() === wanted));
  if (found.length > 0) return found;
  const names = [...new Set(all.flatMap((one) => one.folders))];
  throw new InputError('layer-missing', `${options.name} has no folder called ${JSON.stringify(options.layer)}`, {
    layer: options.name,
    cure: names.length === 0 ? 'leave --layer out: it has no folders' : `choose one with --layer: ${names.join(', ')}`,
  });
}

// ---------------------------------------------------------------- properties

type Types = ReadonlyMap<string, string>; // "schema/field" -> type

function schemaTypes(root: XmlElement): Types {
  const types = new Map<string, string>();
  for (const schema of descendants(root, 'Schema')) {
    const id = schema.attributes.id ?? schema.attributes.name ?? '';
    for (const field of childrenNamed(schema, 'SimpleField')) {
      types.set(`${id}/${field.attributes.name ?? ''}`, field.attributes.type ?? 'string');
    }
  }
  return types;
}

function propertiesOf(placemark: XmlElement, folders: readonly string[], types: Types): Record<string, unknown> {
  const properties: Record<string, unknown> = {};
  const set = (name: string, value: unknown): void => {
    if (name !== '' && name !== '__proto__') properties[name] = value;
  };
  for (const name of TEXTS) {
    const text = childNamed(placemark, name)?.text;
    if (text !== undefined && text !== '') set(name, text);
  }
  if (folders.length > 0) set('folder', folders.join(' / '));
  for (const extended of childrenNamed(placemark, 'ExtendedData')) {
    for (const data of childrenNamed(extended, 'Data')) {
      set(data.attributes.name ?? '', blankNull(childNamed(data, 'value')?.text));
    }
    for (const table of childrenNamed(extended, 'SchemaData')) {
      const schema = (table.attributes.schemaUrl ?? '').replace(/^.*#/, '');
      for (const field of childrenNamed(table, 'SimpleData')) {
        const name = field.attributes.name ?? '';
        set(name, typed(field.text, types.get(`${schema}/${name}`)));
      }
    }
  }
  return properties;
}

function blankNull(text: string | undefined): string | null {
  return text === undefined || text === '' ? null : text;
}

const NUMERIC = ['int', 'uint', 'short', 'ushort', 'float', 'double'];

/** By the schema's type; a number that can't be read, or would lose digits, stays text. */
function typed(text: string, type: string | undefined): unknown {
  if (text === '') return null;
  if (type === 'bool') return /^(?:1|true)$/i.test(text) ? true : /^(?:0|false)$/i.test(text) ? false : text;
  if (type === undefined || !NUMERIC.includes(type)) return text;
  const value = Number(text);
  return Number.isFinite(value) && text.replace(/\D/g, '').length <= 15 ? value : text;
}
