// Surfaces of a LandXML file. In: bytes; out: points with heights and faces, as given, not looked at yet (grades/surface.ts). Terms: P = a point, northing easting height;
// F = a face of three points by their ids; i="1" = a face that is not shown: it only fills the outline, and is left out. Linear.

import { type Finding, finding, InputError, LayerBuilder, type StopSignal, type Surface } from '../model/index.js';
import { counted, didYouMean, listOf } from '../text/index.js';
import { withExtras } from './extras.js';
import { crsOf, unitOf } from './landxml.js';
import { childNamed, childrenNamed, descendants, parseXml, type XmlElement } from './xml.js';

export interface SurfaceOptions {
  /** The file's name; it names the layer. */
  readonly name: string;
  /** Which of several surfaces, by name. */
  readonly surface?: string | undefined;
  readonly sha256?: string | undefined;
  readonly signal?: StopSignal | undefined;
}

/** Large parts that are not needed. */
const SKIPPED = [
  'CgPoints',
  'Alignments',
  'PipeNetworks',
  'Roadways',
  'Parcels',
  'PlanFeatures',
  'Survey',
  'SourceData',
];
const NAMED = 5;

/**
 * Reads one surface with its faces as they are given; nothing is triangulated again.
 *
 * @throws InputError `xml-broken`, `surface-missing`, `surface-several`, `surface-kind` (a grid), `unit-missing`
 * @example
 * readLandXmlSurface(bytes, { name: 'site.xml', surface: 'EG' }).faces.length / 3;
 */
export function readLandXmlSurface(bytes: Uint8Array, options: SurfaceOptions): Surface {
  const { name, signal } = options;
  const root = parseXml(bytes, name, SKIPPED);
  const element = chosen(root, options);
  const definition = childNamed(element, 'Definition');
  const kind = definition?.attributes.surfType ?? 'TIN';
  if (kind.toUpperCase() !== 'TIN') {
    throw new InputError(
      'surface-kind',
      `${name}: the surface ${named(element)} is a ${kind}, and only TINs are read`,
      {
        layer: name,
        cure: 'export it as a TIN (points and faces)',
      },
    );
  }
  const unit = unitOf(root);
  if (unit === undefined) {
    throw new InputError('unit-missing', `${name} does not state its unit (<Units>), so its heights mean nothing`, {
      layer: name,
      cure: 'export it again with its units',
    });
  }
  refuseOtherHeights(root, name, unit.unit);
  const points = pointsOf(definition, name);
  const faces = facesOf(definition, points.index);
  signal?.throwIfAborted();
  const into = new LayerBuilder(name, 'landxml');
  into.begin('multipoint');
  for (let i = 0; i < points.z.length; i++) {
    into.part();
    into.ring();
    into.vertex(points.xy[i * 2]!, points.xy[i * 2 + 1]!);
  }
  into.end({ name: element.attributes.name ?? '' });
  const bare = into.finish({ crs: crsOf(root), sha256: options.sha256 ?? null });
  const layer = withExtras(bare, { unit, setAside: new Map() });
  const findings = [...points.findings, ...brokenFaces(faces, name)];
  const z = Float64Array.from(points.z, (height) => height * unit.metresPerUnit);
  return { layer, xy: Float64Array.from(points.xy), z, faces: Uint32Array.from(faces.corners), findings };
}

function named(element: XmlElement): string {
  return JSON.stringify(element.attributes.name ?? '');
}

function surfacesIn(root: XmlElement): XmlElement[] {
  return childrenNamed(root, 'Surfaces').flatMap((group) => childrenNamed(group, 'Surface'));
}

function chosen(root: XmlElement, { name, surface }: SurfaceOptions): XmlElement {
  const all = surfacesIn(root);
  const names = all.map((element) => element.attributes.name ?? '');
  if (all.length === 0) {
    throw new InputError('surface-missing', `${name} holds no surface`, {
      layer: name,
      cure: 'export the surface with its points and faces, or give spot heights',
    });
  }
  if (surface === undefined && all.length === 1) return all[0]!;
  const found = all.filter((element) => (element.attributes.name ?? '').toLowerCase() === surface?.toLowerCase());
  if (found.length === 1) return found[0]!;
  const listed = names.map((one) => JSON.stringify(one)).join(', ');
  const several = surface === undefined || found.length > 1;
  const message = several
    ? `${name} holds ${counted(all.length, 'surface')}: ${listed}`
    : `${name} holds no surface ${JSON.stringify(surface)}${didYouMean(surface, names)}: it holds ${listed}`;
  throw new InputError(several ? 'surface-several' : 'surface-missing', message, {
    layer: name,
    cure: 'name those wanted, existing first: --grade-surfaces "EG,FG"',
    choices: names,
  });
}

/** LandXML 1.2 has an attribute for the unit of heights beside that of lengths (from memory); where they differ nobody knows which holds. */
function refuseOtherHeights(root: XmlElement, name: string, unit: string): void {
  const stated = (childNamed(root, 'Units')?.children[0]?.attributes.elevationUnit ?? '').toLowerCase();
  const isFeet = /^(?:foot|feet|ussurveyfoot)$/.test(stated);
  const isMetres = /^met(?:er|re)s?$/.test(stated);
  const feet = unit === 'ft' || unit === 'ftUS';
  if (!((isFeet && unit === 'm') || (isMetres && feet))) return;
  throw new InputError('unit-missing', `${name} states lengths in ${unit} and elevations in ${stated}`, {
    layer: name,
    cure: 'export it again with one unit for both',
  });
}

interface TinPoints {
  readonly xy: readonly number[];
  readonly z: readonly number[];
  readonly index: ReadonlyMap<string, number>; // id -> place in the columns
  readonly findings: readonly Finding[];
}

function pointsOf(definition: XmlElement | undefined, name: string): TinPoints {
  const out = { xy: [] as number[], z: [] as number[], index: new Map<string, number>() };
  const broken: string[] = [];
  for (const group of definition === undefined ? [] : childrenNamed(definition, 'Pnts')) {
    for (const { attributes, text } of childrenNamed(group, 'P')) {
      const numbers = text.split(/\s+/).map(Number);
      const [northing, easting, height] = numbers;
      const id = attributes.id ?? '';
      if (numbers.length !== 3 || !numbers.every(Number.isFinite) || id === '') {
        broken.push(id);
        continue;
      }
      out.index.set(id, out.z.length);
      out.xy.push(easting!, northing!);
      out.z.push(height!);
    }
  }
  if (broken.length === 0) return { ...out, findings: [] };
  const message = `${counted(broken.length, 'point')} of ${name} ${broken.length === 1 ? 'is' : 'are'} not a northing easting height: P ${listOf(broken, NAMED)}; faces on them were left out`;
  const told = finding('grade-face-broken', { layer: name }, message, 'export the surface again');
  return { ...out, findings: [told] };
}

interface TinFaces {
  readonly corners: readonly number[];
  readonly broken: readonly string[];
}

function facesOf(definition: XmlElement | undefined, index: ReadonlyMap<string, number>): TinFaces {
  const corners: number[] = [];
  const broken: string[] = [];
  for (const group of definition === undefined ? [] : childrenNamed(definition, 'Faces')) {
    for (const { attributes, text } of descendants(group, 'F')) {
      if (attributes.i === '1') continue;
      const ids = text.split(/\s+/);
      const at = ids.map((id) => index.get(id));
      if (at.length === 3 && at.every((one) => one !== undefined)) corners.push(...(at as number[]));
      else broken.push(text.slice(0, 40));
    }
  }
  return { corners, broken };
}

function brokenFaces({ broken }: TinFaces, name: string): Finding[] {
  if (broken.length === 0) return [];
  const message = `${counted(broken.length, 'face')} of ${name} ${broken.length === 1 ? 'does' : 'do'} not name three points of the surface: ${listOf(broken, NAMED)}; the ground there is not known`;
  return [finding('grade-face-broken', { layer: name }, message, 'export the surface again')];
}
