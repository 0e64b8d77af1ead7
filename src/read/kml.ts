// KML -> Layer. In: bytes of a .kml (KMZ is unpacked by rootberth/node); out: one feature per Placemark.
// Terms: Placemark, Folder, ExtendedData as in OGC 12-007r2; positions are longitude, latitude on WGS 84 by definition.
// Every Placemark is a feature: one whose coordinates can't be read stays, broken, with a finding.

import type { Layer, WorksKind } from '../model/index.js';
import { finding, InputError, LayerBuilder } from '../model/index.js';
import { ALL, contentsOf, NO_FOLDER } from './contents.js';
import { withExtras } from './extras.js';
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
 * @param options `layer` picks the placemarks of one folder and of those in it, by its name or its path (`Site/Trees`);
 *   `layerKinds` picks folders and gives their placemarks a `kind`; `*` reads all, which no name does too
 * @throws InputError `xml-broken`, `kml-empty` (no Placemark), `layer-missing`, `layer-several` (a name of two folders)
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
  const chosen = picked(all, options);
  for (const { placemark, folders, kind } of chosen) {
    const path = addGeometry(placemark, into);
    if (path === undefined) {
      into.begin('none');
      const place = { layer: into.name, feature: into.count, path: 'Placemark' };
      into.findings.push(finding('geometry-null', place, 'the placemark has no geometry', 'give it one, or delete it'));
    }
    const id = placemark.attributes.id;
    const properties = propertiesOf(placemark, folders, types);
    if (kind !== undefined) properties.kind = kind;
    into.end(properties, id === undefined || id === '' ? undefined : id);
  }
  const layer = into.finish({ crs: { from: 'file', text: 'OGC:CRS84' }, sha256: options.sha256 ?? null });
  if (options.layer?.endsWith(ALL) === true || options.layerKinds !== undefined) return layer;
  return withExtras(layer, {
    contents: contentsOf(
      layer,
      chosen.map(({ folders }) => pathOf(folders)),
    ),
  });
}

function* placemarks(element: XmlElement, folders: readonly string[]): Generator<Placed> {
  for (const child of element.children) {
    if (child.name === 'Placemark') yield { placemark: child, folders };
    else if (child.name === 'Folder') yield* placemarks(child, [...folders, childNamed(child, 'name')?.text ?? '']);
    else if (child.name === 'Document' || child.name === 'kml') yield* placemarks(child, folders);
  }
}

// ---------------------------------------------------------------- which folders

/** Names of folders as the option takes them; a folder without a name is left out of the path. */
function pathOf(folders: readonly string[]): string {
  return folders.filter((name) => name !== '').join('/') || NO_FOLDER;
}

/** One spelling for all ways to write a name: small letters, no spaces round the slashes. */
function plain(name: string): string {
  return name
    .trim()
    .toLowerCase()
    .replace(/\s*\/\s*/g, '/');
}

type Chosen = Placed & { readonly kind?: WorksKind };

function picked(all: readonly Placed[], options: ReadOptions): readonly Chosen[] {
  const kinds = Object.entries(options.layerKinds ?? {});
  const wanted = options.layer === undefined ? [] : [options.layer];
  const whole = wanted.map((name) => name.replace(/\/?\*$/, ''));
  if (kinds.length === 0 && (whole[0] ?? '') === '') return all;
  const kindOf = new Map<Placed, WorksKind | undefined>();
  for (const name of whole) for (const one of inFolder(all, name, options.name)) kindOf.set(one, undefined);
  for (const [name, kind] of kinds) for (const one of inFolder(all, name, options.name)) kindOf.set(one, kind);
  // In the order of the file, whatever order they were named in.
  return all.flatMap((one) => {
    if (!kindOf.has(one)) return [];
    const kind = kindOf.get(one);
    return [kind === undefined ? one : { ...one, kind }];
  });
}

/** The placemarks of one folder and of the folders in it. A whole path is preferred to a name or the end of a path. */
function inFolder(all: readonly Placed[], name: string, file: string): readonly Placed[] {
  const wanted = plain(name);
  const starts = (folders: readonly string[], fits: (path: string) => boolean): string | undefined => {
    for (let length = 1; length <= folders.length; length++) {
      const path = pathOf(folders.slice(0, length));
      if (fits(plain(path))) return path;
    }
    return undefined;
  };
  const within = (fits: (path: string) => boolean): Map<string, Placed[]> => {
    const found = new Map<string, Placed[]>();
    for (const one of all) {
      const path = starts(one.folders.length === 0 ? [''] : one.folders, fits);
      if (path !== undefined) found.set(path, [...(found.get(path) ?? []), one]);
    }
    return found;
  };
  const exact = within((path) => path === wanted);
  const found = exact.size > 0 ? exact : within((path) => path.endsWith(`/${wanted}`));
  const [only] = found.values();
  if (only !== undefined && found.size === 1) return only;
  const paths = [...(found.size > 0 ? found.keys() : new Set(all.map(({ folders }) => pathOf(folders))))];
  const where = { layer: file, cure: `choose one with --layer: ${paths.join(', ')}`, choices: paths };
  if (found.size > 1) {
    throw new InputError('layer-several', `${file} has ${found.size} folders called ${JSON.stringify(name)}`, where);
  }
  const none = paths.length === 1 && paths[0] === NO_FOLDER;
  throw new InputError(
    'layer-missing',
    `${file} has no folder called ${JSON.stringify(name)}`,
    none ? { ...where, cure: 'leave --layer out: it has no folders' } : where,
  );
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
