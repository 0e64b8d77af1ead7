// Members of an archive -> the one layer that is meant. In: what the archive holds, the layer's name if one was given;
// out: a candidate with its parts. Terms: member = a file in the archive; part = a file of a shapefile, by extension.

import { InputError } from '../model/index.js';
import { layerCure } from './layer-cure.js';
import type { ShapefilePart } from './shapefile.js';

export interface Member {
  /** Path within the archive; within an archive in it: `inner.zip/trees.shp`. */
  readonly path: string;
  /** Unpacks it; `large`: it may come as access to a file. */
  open(large: boolean): Promise<ShapefilePart>;
}

export interface Candidate {
  /** File name without folders. */
  readonly name: string;
  readonly members: ReadonlyMap<string, Member>;
}

const SINGLE = [
  'geojson',
  'json',
  'geojsonl',
  'geojsons',
  'geojsonseq',
  'ndjson',
  'jsonl',
  'csv',
  'tsv',
  'kml',
  'dxf',
  'fgb',
  'gpkg',
];
const COMPANIONS = ['shp', 'dbf', 'shx', 'prj', 'cpg'];

/** Every layer of an archive: shapefiles first, then single files. */
export function candidatesOf(members: readonly Member[]): Candidate[] {
  const files = members.filter((m) => isData(m.path));
  return [...shapefiles(files), ...singles(files)];
}

/** The layers that a name means. Without a name: shapefiles, or other data where there is no shapefile. */
export function matching(all: readonly Candidate[], wanted: string | undefined): readonly Candidate[] {
  if (wanted !== undefined) return all.filter((c) => isNamed(c, wanted));
  const shapes = all.filter((c) => c.members.has('shp'));
  return shapes.length > 0 ? shapes : all;
}

/** @throws InputError `zip-empty`, `zip-several` (lists the layers), `zip-layer` */
export function theOne(all: readonly Candidate[], archive: string, wanted: string | undefined): Candidate {
  const found = matching(all, wanted);
  if (found.length === 1) return found[0]!;
  const names = (wanted === undefined || found.length === 0 ? all : found).map((c) => c.name);
  if (names.length === 0) {
    throw new InputError('zip-empty', `${archive} holds no shapefile, GeoJSON or CSV`, {
      layer: archive,
      cure: 'pack the .shp with its .dbf, .shx and .prj',
    });
  }
  const shown = distinct(found.length === 0 ? all : found, names);
  const twice = new Set(shown).size < shown.length;
  const cure = twice ? 'pack it again: it holds files of the same name twice' : layerCure(shown, undefined);
  if (wanted !== undefined && found.length === 0) {
    throw new InputError('zip-layer', `${archive} holds no layer called ${JSON.stringify(wanted)}`, {
      layer: archive,
      cure,
      choices: twice ? [] : shown,
    });
  }
  throw new InputError('zip-several', `${archive} holds ${names.length} layers: ${shown.join(', ')}`, {
    layer: archive,
    cure,
    choices: twice ? [] : shown,
  });
}

/** Names that are given twice are shown with their folders. */
function distinct(candidates: readonly Candidate[], names: readonly string[]): readonly string[] {
  if (new Set(names).size === names.length || candidates.length !== names.length) return names;
  return candidates.map((c) => (c.members.get('shp') ?? [...c.members.values()][0])?.path ?? c.name);
}

/** Neither a folder, nor a hidden file, nor the copies that macOS adds. */
function isData(path: string): boolean {
  return !path.endsWith('/') && !path.split('/').some((step) => step.startsWith('.') || step === '__MACOSX');
}

/** Members that are archives themselves. */
export function archivesIn(members: readonly Member[]): readonly Member[] {
  return members.filter((m) => isData(m.path) && split(m.path).extension === 'zip');
}

function baseName(path: string): string {
  return path.slice(path.lastIndexOf('/') + 1);
}

function split(path: string): { stem: string; extension: string } {
  const dot = path.lastIndexOf('.');
  return dot <= path.lastIndexOf('/')
    ? { stem: path, extension: '' }
    : { stem: path.slice(0, dot), extension: path.slice(dot + 1).toLowerCase() };
}

function shapefiles(files: readonly Member[]): Candidate[] {
  return files
    .filter((m) => split(m.path).extension === 'shp')
    .map((main) => {
      const stem = split(main.path).stem;
      const parts = new Map<string, Member>();
      for (const extension of COMPANIONS) {
        const same = files.filter((m) => split(m.path).extension === extension);
        const exact = same.find((m) => split(m.path).stem === stem);
        const part = exact ?? same.find((m) => split(m.path).stem.toLowerCase() === stem.toLowerCase());
        if (part !== undefined) parts.set(extension, part);
      }
      parts.set('shp', main);
      return { name: baseName(main.path), members: parts };
    });
}

function singles(files: readonly Member[]): Candidate[] {
  return files
    .filter((m) => SINGLE.includes(split(m.path).extension))
    .map((m) => ({ name: baseName(m.path), members: new Map([[split(m.path).extension, m]]) }));
}

function isNamed(candidate: Candidate, wanted: string): boolean {
  const target = wanted.toLowerCase();
  const name = candidate.name.toLowerCase();
  const path = [...candidate.members.values()].some((m) => m.path.toLowerCase() === target);
  return path || name === target || split(name).stem === target;
}
